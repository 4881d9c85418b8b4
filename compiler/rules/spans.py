"""How far hangers stand apart, and what holds heavy bodies."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from ..analysis.hanging import HANGER, Gap, gaps, stretches
from ..analysis.sections import Sections
from ..analysis.ways import Way, ways
from ..analysis.weighing import Scales
from ..catalogue.hangers import spacing
from ..catalogue.limits import limit
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from .registry import Verdict, cannot_tell, concerned, fault, rule, yes

#: What makes a body heavier than pipe of its length: butt-weld fittings and outlets do not.
_LUMPS = ("valves", "specialties", "instruments", "flanges")


@rule(
    "hanger-span-exceeded",
    severity="should",
    asks="no level stretch between two hangers, or from one to a main, a tee or a riser, is longer than the table "
    "allows for the pipe full of water",
    why="A span that is too long sags: it holds air and water, and its bending works on the joints.",
    mend="write another `hanger` between the two",
    sources=("MSS SP-58 / SP-69", "two lists that copy it; UFGS 15741 calls it"),
    agreement="2 tables agree, 2 others differ: one allows 8 ft up to NPS 1 and 12 ft above, one less from NPS 6",
    needs="`hanger` on the lines, and lengths between them",
)
def hanger_span_exceeded(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The longest level stretch without a hanger, along the centreline, against the table at the smallest pipe there.

    Risers part stretches. Where no hanger is in the file there is nothing to judge; how far the first is from a coil
    is another rule's.
    """
    if not _drawn(hookup):
        return
    for way in ways(hookup, sections):
        said: list[Verdict] = []
        kept = True
        found = gaps(hookup, way)
        for gap in found:
            ends = [end for end, there in ((way.head, gap is found[0]), (way.tail, gap is found[-1])) if there]
            greatest = _spacing(hookup, gap)
            if any(end is None or end[0].kind.ports == "coil" for end in ends) or greatest is None:
                continue
            if gap.flat > greatest:
                kept = False
                yield _too_far(hookup, gap, greatest)
            if ends or not gap.shares:  # no run of pipe in it: two hangers at one place
                continue
            line = hookup.lines[gap.shares[0][0].line]
            if gap.sure:
                said.append(yes(line.coil, f"{_feet(gap.flat)} of {_feet(greatest)}", line.word))
            else:
                said.append(cannot_tell(line.coil, "give the lengths between the hangers", line.word))
        said.sort(key=lambda verdict: verdict.answer)  # what cannot be told first
        yield from (verdict for verdict in said[:1] if verdict.coil and kept)


def _too_far(hookup: Hookup, gap: Gap, greatest: Fraction) -> Finding:
    pipe = gap.flat_at or gap.shares[0][0]
    wants = f"{pipe.size} pipe wants one every {_feet(greatest)}"
    if gap.before is not None and gap.after is not None and gap.level:
        how = "" if gap.sure else "at least "
        return fault(
            f"these hangers stand {how}{_feet(gap.least)} apart; {wants}",
            gap.after.span,
            about=concerned(hookup, pipe),
            notes=(Note("the hanger before it", gap.before.span),),
        )
    beside = (("before", gap.before), ("behind", gap.after))
    notes = [Note(f"the hanger {word} it", hanger.span) for word, hanger in beside if hanger is not None]
    return fault(
        f"{_feet(gap.flat)} of level pipe without a hanger begin here; {wants}",
        pipe.origin[0],
        about=concerned(hookup, pipe),
        notes=tuple(notes),
    )


def _drawn(hookup: Hookup) -> bool:
    return any(c.pipe is not None and HANGER in c.pipe.marks for c in hookup.components())


@dataclass(slots=True)
class _Lump:
    """A body with its flanges, and how far the next hanger is on each side: None if there is none."""

    components: list[Component] = field(default_factory=list)
    sides: list[Fraction | None] = field(default_factory=list)
    sure: bool = True

    @property
    def body(self) -> Component:
        """What it is called by: the first that is no flange."""
        return next((c for c in self.components if c.kind.group != "flanges"), self.components[0])


@rule(
    "lump-unsupported",
    severity="should",
    asks="a valve or other body that weighs more than 50 lb with its flanges and its water has a hanger within 2 ft on "
    "each side",
    why="The table of spans is for bare pipe: a heavy body in the middle of one bends it, and a body beside a nozzle "
    "hangs on the nozzle.",
    mend="write `hanger` on the pipe on both sides of it, and the lengths between",
    sources=(
        "MSS SP-58 / SP-69 (hangers at valves and other concentrated loads)",
        "50 lb and 2 ft: common practice, no source",
    ),
    agreement="1 text asks for a hanger on each side; the figures are ours",
    needs="`hanger` on the lines, lengths, and what valves weigh (`weighs 62 lb`, or a `weights of` block)",
)
def lump_unsupported(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Level runs alone. A main holds itself; what ends at a tee is not judged on that side.

    Where no hanger is in the file there is nothing to judge, and `coil-carries-pipe` says so.
    """
    if not _drawn(hookup):
        return
    scales = Scales(hookup)
    heavy, near = float(limit("lump")), 12 * limit("lump hanger")
    for way in ways(hookup, sections):
        if way.is_side:
            continue
        for lump in _lumps(way):
            weight = scales.full(lump.components)
            held = all(side is not None and side <= near for side in lump.sides)
            line = hookup.lines[lump.body.line]
            if held and lump.sure:
                continue
            if weight.known <= heavy:
                if not weight.whole and line.coil:
                    yield cannot_tell(line.coil, f"what `{lump.body.label}` weighs", line.word)
                continue
            if not lump.sure:
                if line.coil:
                    yield cannot_tell(line.coil, "give the lengths to the hangers", line.word)
                continue
            how = "" if weight.whole else "at least "
            yield fault(
                f"`{lump.body.label}` weighs {how}{weight.known:.0f} lb with its flanges and what is in it, and has no "
                f"hanger within {_feet(near)} on {_where(lump, near)}",
                lump.body.origin[0],
                about=concerned(hookup, lump.body),
            )


def _where(lump: _Lump, near: Fraction) -> str:
    sides = [side is not None and side <= near for side in lump.sides]
    return "either side" if not any(sides) else "its upstream side" if not sides[0] else "its downstream side"


def _lumps(way: Way) -> Iterator[_Lump]:
    """Bodies of level runs, each with its flanges."""
    groups: list[list[Component]] = [[]]
    for component in way.components:
        run = component.pipe is not None and component.pipe.moves
        if run:
            groups.append([component])
            groups.append([])
        else:
            groups[-1].append(component)
    for at in range(0, len(groups), 2):
        heavy = [c for c in groups[at] if c.kind.group in _LUMPS and c.kind.ports in ("inline", "three-way")]
        bodies = [c for c in heavy if c.kind.group != "flanges"]
        if not bodies or bodies[0].heading in ("up", "down"):
            continue
        lump = _Lump(heavy)
        for step, end in ((-1, way.head), (1, way.tail)):
            lump.sides.append(_nearest(lump, groups, at, step, end))
        yield lump


def _nearest(
    lump: _Lump, groups: list[list[Component]], at: int, step: int, end: tuple[Component, str] | None
) -> Fraction | None:
    """How far along the pipe the next hanger is; `lump.sure` is lost where that is not known."""
    far = 12 * limit("lump hanger")
    passed = Fraction(0)
    at += step
    while 0 <= at < len(groups) and passed <= far:
        for component in groups[at][::step]:
            if component.pipe is None or not component.pipe.moves:
                continue
            found, length = stretches(component, step)
            if isinstance(found, Fraction):
                return passed + found
            if found is not None or not isinstance(length, Fraction):
                lump.sure = False
                return None
            passed += length
        at += step
    if passed > far or end is None:
        return None
    if end[0].kind.ports == "coil":
        return None
    if end[0].kind.ports != "main":
        lump.sure = False
    return passed


def _spacing(hookup: Hookup, gap: Gap) -> Fraction | None:
    """The least of the spacings of the pipes in a gap."""
    pipes = [*(c for c in gap.components if c.pipe is not None), *(pipe for pipe, _ in gap.shares)]
    found = [spacing(hookup.lines[pipe.line].spec.row(pipe.size), pipe.size) for pipe in pipes]
    known = [value for value in found if value is not None]
    return min(known) if known and len(known) == len(found) else None


def _feet(inches: Fraction) -> str:
    feet, rest = divmod(inches, 12)
    return f"{feet} ft" if not rest else f"{feet} ft {float(rest):g} in"
