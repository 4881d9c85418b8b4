"""A typical, or a unit written out in full, to a plan: its coils, lines and lineups."""

from __future__ import annotations

from collections.abc import Sequence

from ..catalogue.declare import Declared
from ..catalogue.facts import span_of, unknown_words
from ..model.finding import Findings, Note
from ..model.hookup import Lineup, Place, Room
from ..model.plan import CoilPlan, LinePlan, Plan, PointRef
from ..model.size import Size
from ..model.span import Span
from ..source import tree
from .changes import tags_of, tags_written
from .read_coil import read_coil
from .read_details import Details, read_details
from .read_place import read_place
from .read_room import read_room
from .read_steps import StepReader

AIRFLOWS = ("left to right", "right to left")


def read_plan(
    name: str,
    details: Sequence[tree.Phrase],
    parts: Sequence[object],
    span: Span,
    declared: Declared,
    findings: Findings,
) -> Plan:
    """The plan of a body.

    Finds: coils declared twice, lines for coils that are not there, ends of lines that contradict each other.
    """
    coils: dict[str, CoilPlan] = {}
    lines: list[LinePlan] = []
    lineups: list[Lineup] = []
    cabinet: Room | None = None
    reader = StepReader(declared, findings)
    written = frozenset(tag for node in parts if isinstance(node, tree.Line) for tag in tags_written(node.block))
    for node in parts:
        if isinstance(node, tree.Coil):
            coil = read_coil(node, declared, findings)
            before = coils.setdefault(node.tag.text, coil)
            if before is not coil:
                findings.add(
                    "declared-twice",
                    f"coil `{node.tag.text}` is declared twice",
                    node.tag.span,
                    notes=(Note("first declared here", before.facts.span),),
                    help="rename one of them, or take it out",
                )
        elif isinstance(node, tree.Line):
            lines.append(_line(node, reader, len(lines), findings))
        elif isinstance(node, tree.Lineup):
            lineups.append(_lineup(node, declared, findings))
        elif isinstance(node, tree.Cabinet):
            if cabinet is not None:
                notes = (Note("the other is here", cabinet.span),)
                findings.add("declared-twice", "there are two cabinets", node.span, notes=notes, help="take one out")
            cabinet = cabinet or read_room(node.details, node.span, "cabinet", findings)
    ids: dict[str, Span] = {}
    for line in lines:
        first = ids.setdefault(line.id, line.span)
        if first is not line.span and line.word in ("supply", "return"):
            findings.add(
                "declared-twice",
                f"there are two lines `{line.id}`",
                line.span,
                notes=(Note("the other is here", first),),
                help="a coil has one of each; take one out",
            )
            lines = [other for other in lines if other is not line]
    return Plan(
        name,
        read_airflow(details, "drawn with airflow", findings),
        tuple(coils.values()),
        tuple(lines),
        tuple(lineups),
        span,
        cabinet,
        written.difference(tags_of(lines)),
    )


def read_airflow(details: Sequence[tree.Phrase], lead: str, findings: Findings) -> str:
    """The airflow that `lead` says (`drawn with airflow left to right`), empty if nothing does."""
    for phrase in details:
        if phrase.text.startswith(lead + " "):
            said = phrase.text.removeprefix(lead + " ")
            if said in AIRFLOWS:
                return said
            rest = phrase.atoms[lead.count(" ") + 1 :]
            findings.items.append(unknown_words("unknown-airflow", rest, AIRFLOWS, f"airflow `{said}` is no direction"))
    return ""


def _point(point: tree.Point, reader: StepReader, size: Size | None = None, place: Place | None = None) -> PointRef:
    port, service = (atom.text if atom is not None else "" for atom in (point.port, point.service))
    known = reader.declared.services
    if point.service is not None and service not in known:
        reader.findings.items.append(
            unknown_words("unknown-service", [point.service], known, f"there is no service `{service}`")
        )
        service = ""
    return PointRef(point.tag.text, point.is_main, port, size, point.span, place, service)


def _line(node: tree.Line, reader: StepReader, number: int, findings: Findings) -> LinePlan:
    word = node.word.text
    details = Details()
    read_details(node.details, details, findings)
    start = _point(node.start, reader) if node.start else None
    end = _point(node.end, reader) if node.end else None
    for place, step in enumerate(node.block):
        if not isinstance(step, tree.Endpoint):
            continue
        own = Details()
        where_it_is, others = read_place(step.details, findings)
        read_details(others, own, findings)
        point = _point(step.point, reader, own.sizes[0] if own.sizes else None, where_it_is)
        if where_it_is is not None and not point.is_main:
            findings.add(
                "place-not-here",
                f"where `{point.tag}` is follows from its own line",
                where_it_is.span,
                help="say where a main or a coil connection is, and take this out",
            )
        taken = start if step.word.text == "from" else end
        if taken is not None:
            findings.add(
                "two-ends",
                f"this line already has where it {'starts' if step.word.text == 'from' else 'ends'}",
                step.span,
                notes=(Note("said here", taken.span),),
                help="take one of the two out",
            )
            continue
        where = "last" if step.word.text == "to" else "first"
        if place != (len(node.block) - 1 if where == "last" else 0):
            does = "ends" if where == "last" else "starts"
            message = f"`{step.word.text}` says where the line {does} and stands {where}"
            findings.add("step-out-of-place", message, step.span, help=f"make it the {where} line of the block")
        if where == "first":
            start = point
        else:
            end = point
    known = (word, start and start.tag, end and end.tag)
    if word in ("supply", "return"):
        id = f"supply to {known[2]}" if word == "supply" else f"return from {known[1]}"
    else:
        id = f"{word} from {known[1]} to {known[2]}"
    if not details.sizes and not details.broken:
        findings.add(
            "size-missing",
            f"the size of this {word} line is not said",
            node.span.after(),
            label="a size belongs here",
            help="write the nominal size behind a comma, such as `, 2-1/2`",
        )
    steps = reader.steps(node.block, branch=end is None)
    size = details.sizes[0] if details.sizes else None
    return LinePlan(id, word, start, end, size, steps, node.span, tuple(details.remarks))


def _lineup(node: tree.Lineup, declared: Declared, findings: Findings) -> Lineup:
    open_: list[tuple[str, Span]] = []
    closed: list[tuple[str, Span]] = []
    expect: list[tuple[str, str, Span]] = []
    for fact in node.block:
        first = fact.phrases[0].atoms
        verb = first[0].text
        atoms = [*first[1:], *(a for p in fact.phrases[1:] for a in p.atoms)]
        tags = [a for a in atoms if a.kind == "tag"]
        if verb in ("open", "closed", "shut"):
            (open_ if verb == "open" else closed).extend((a.text, a.span) for a in tags)
        elif verb == "expect" and tags and atoms[-1].kind == "word":
            service = atoms[-1]
            if service.text not in declared.services:
                findings.items.append(
                    unknown_words(
                        "unknown-service", [service], declared.services, f"there is no service `{service.text}`"
                    )
                )
            expect.append((tags[0].text, service.text, span_of(atoms)))
        else:
            findings.items.append(
                unknown_words(
                    "unknown-fact",
                    first,
                    ("open", "closed", "expect COIL on SERVICE"),
                    f"`{fact.phrases[0].text}` says nothing of a lineup",
                )
            )
    return Lineup(node.name.text, tuple(open_), tuple(closed), tuple(expect), node.span)
