"""Joints that nothing in the spec makes up, and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..analysis.places import above, below, is_asked
from ..analysis.sections import Sections
from ..model.declared import Spec
from ..model.ends import FAMILY, End, must_separate
from ..model.finding import Finding, Note
from ..model.hookup import NOT_MADE_UP, UNSETTLED, CoilPort, Component, Hookup, Joint
from ..model.mend import Mend, write
from ..model.span import Span
from ..passes.mate import same_drilling
from ..passes.mirror import as_drawn
from ..passes.search import Searcher
from .registry import Verdict, cannot_tell, concerned, fault, rule, yes

_FLANGED = ("flange", "lug", "wafer")


@rule(
    "class-mismatch",
    severity="must",
    asks="flanges bolted together are drilled alike",
    why="Class 150 and class 300 flanges of one size have other bolt circles and other numbers of bolts: they do not "
    "go together, and the joint is rated as the weaker one.",
    mend="order one of the two in the other's class, or give the line a spec with flanges of that class",
    sources=("ASME B16.5 drilling templates, classes 150 and 300", "ASME B16.1 (class 125 is drilled as class 150)"),
    agreement="one table, read in two places",
)
def class_mismatch(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """Two flanged ends of different drilling side by side, or a flanged end that the spec has no flange for."""
    found: dict[str, tuple[Component, End, list[str], set[str]]] = {}
    for a, b, joint in _open_joints(hookup):
        pair = _mismatch(hookup, joint)
        if pair is None:
            continue
        odd, other = _odd_one(pair, hookup.lines[joint.line].spec)
        of, beside = (a, b) if odd == joint.end_a else (b, a)
        known = other.form in _FLANGED
        against = f"class {other.rating} `{beside.label}`" if known else f"the spec's class {other.rating} flanges"
        entry = found.setdefault(of.id, (of, odd, [], set()))
        entry[2].append(against)
        entry[3].add(other.rating)
    for of, odd, others, ratings in found.values():
        said = of.ask is not None and of.ask.rating == odd.rating and len(ratings) == 1
        against = " and ".join(dict.fromkeys(others))
        yield fault(
            f"class {odd.rating} `{of.label}` does not bolt to {against}",
            of.origin[0],
            about=concerned(hookup, of),
            label=f"class {odd.rating}",
            mend=write(of.origin[0], f"class {min(ratings)}", f"class {odd.rating}") if said else (),
        )


@rule(
    "dissimilar-metals",
    severity="must",
    title="Metals apart",
    asks="copper and steel or iron are kept apart by a dielectric fitting, an insulated flange kit or bronze",
    why="Where copper meets steel in water, the steel next to it is eaten away.",
    mend="order the coil with steel or bronze connections, or choose ends that a dielectric union, an insulated flange "
    "kit or a bronze fitting can go between",
    sources=("UFGS 15183, 15501, 15502", "University of Iowa Hospitals design standard"),
    agreement="5 sources read for; one warns of leaking dielectric unions at reheat coils",
)
def dissimilar_metals(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Copper and ferrous ends that meet wet, or that only their metals keep the spec from joining."""
    for tag, facts in hookup.coils.items():
        soldered = _solder_on_steel(hookup, tag) if facts.header_metal else None
        if soldered is not None:
            port, end = soldered
            yield fault(
                f"the {port.name} of coil `{tag}` is a solder connection of {end.metal}: solder takes on copper, brass "
                "and bronze only",
                port.span,
                about=(tag,),
                help="write `headers copper`, or the connection that the coil has, such as `3/4 male thread`; a copper "
                "stub on steel headers is `3/4 solder copper`",
            )
        elif facts.header_metal:
            yield yes(tag)
        else:
            yield cannot_tell(tag, "what the coil is made of; say `headers copper`, or the metal they are of")
    for u, v, joint in hookup.joints():
        if joint.kit or not must_separate(joint.end_a.metal, joint.end_b.metal):
            continue
        if joint.kind == NOT_MADE_UP and not _only_metals(hookup, joint):
            continue
        a, b = hookup.component(u), hookup.component(v)
        yield fault(
            f"the {joint.end_a.metal} of `{a.label}` meets the {joint.end_b.metal} of `{b.label}` with nothing between",
            _span(a, b),
            about=concerned(hookup, a, b),
            notes=_between(a, b, joint),
            mend=_spool(hookup, a, b, joint),
        )


@rule(
    "size-not-in-spec",
    severity="must",
    asks="the spec says how every size in the line is joined",
    why="Without it nothing can be counted for the component: no fitting, no gasket, no pipe.",
    mend="add a line for this size to the spec, or change the size",
    sources=("common practice, no source",),
    agreement="not counted",
)
def size_not_in_spec(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """The first component of each size on a line that no row of the line's spec covers."""
    said: set[tuple[str, str]] = set()
    for component in hookup.components():
        line = hookup.lines.get(component.line)
        if line is None or component.kind.ports in ("coil", "main") or line.spec.row(component.size) is not None:
            continue
        if (line.id, str(component.size)) not in said:
            said.add((line.id, str(component.size)))
            span = line.span if component.size is line.size else component.origin[0]
            message = f"spec `{line.spec.name}` says nothing of size {component.size}, which `{line.id}` has"
            yield fault(message, span, about=concerned(hookup, component))


@rule(
    "no-joint",
    severity="must",
    asks="the spec's fittings bring every pair of neighbours together",
    why="The bill would miss what has to be made up here on the day.",
    mend="change one of the two ends, or give the spec what goes between them",
    sources=("common practice, no source",),
    agreement="not counted",
)
def no_joint(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """Two ends for which the search found no way, and neither class nor metal is the reason."""
    for a, b, joint in _open_joints(hookup):
        if _mismatch(hookup, joint) is not None or UNSETTLED in (joint.end_a.form, joint.end_b.form):
            continue
        if must_separate(joint.end_a.metal, joint.end_b.metal) and _only_metals(hookup, joint):
            continue
        spec = hookup.lines[joint.line].spec
        ends = f"`{a.label}` ({joint.end_a}) and `{b.label}` ({joint.end_b})"
        yield fault(
            f"nothing in spec `{spec.name}` brings {ends} together",
            _span(a, b),
            about=concerned(hookup, a, b),
            mend=_flanged(spec, a) or _flanged(spec, b),
        )


def _solder_on_steel(hookup: Hookup, coil: str) -> tuple[CoilPort, End] | None:
    """The first connection of a coil that is to be soldered and is of steel or iron."""
    ends = hookup.component(coil).ends if coil in hookup.graph else {}
    return next(
        (
            (port, ends[name])
            for name, port in hookup.coils[coil].ports.items()
            if name in ends and ends[name].form == "tube" and FAMILY.get(ends[name].metal) == "ferrous"
        ),
        None,
    )


def _spool(hookup: Hookup, a: Component, b: Component, joint: Joint) -> Mend:
    """Pipe between two that bolt to each other, so that the spec's insulated flanges come in."""
    if joint.end_a.form not in _FLANGED or joint.end_b.form not in _FLANGED:
        return ()
    if is_asked(b):
        return above(b, f"{as_drawn(hookup, b.heading) or 'left'} 6 in")
    return below(hookup, a, f"{as_drawn(hookup, a.heading) or 'left'} 6 in") if is_asked(a) else ()


def _flanged(spec: Spec, item: Component) -> Mend:
    """An item that asks for ends of another kind bought flanged, where it is made so and the spec has flanges."""
    row = spec.row(item.size)
    asked = item.ask.word if item.ask is not None and item.line else ""
    if not asked or asked in _FLANGED or asked == "flanged" or row is None or not row.flange:
        return ()
    return write(item.origin[0], "flanged", asked) if item.kind.choice(item.size, "flanged") is not None else ()


def _open_joints(hookup: Hookup) -> Iterator[tuple[Component, Component, Joint]]:
    for u, v, joint in hookup.joints():
        if joint.kind == NOT_MADE_UP:
            yield hookup.component(u), hookup.component(v), joint


def _mismatch(hookup: Hookup, joint: Joint) -> tuple[End, End] | None:
    """The flanged end of an open joint and the end or flange of other drilling that it would have to meet."""
    a, b = joint.end_a, joint.end_b
    if a.form in _FLANGED and b.form in _FLANGED:
        return None if same_drilling(a, b) else (a, b)
    spec = hookup.lines[joint.line].spec
    for end in (a, b):
        row = spec.row(end.size)
        if end.form in _FLANGED and row is not None and row.rating:
            offered = End("spec flange", end.size, row.metal, row.rating)
            if not same_drilling(end, offered):
                return end, offered
    return None


def _odd_one(pair: tuple[End, End], spec: Spec) -> tuple[End, End]:
    """The pair with the end first that is not of the spec's class."""
    row = spec.row(pair[0].size)
    if row is not None and same_drilling(pair[0]._replace(rating=row.rating), pair[0]):
        return pair[1], pair[0]
    return pair


def _only_metals(hookup: Hookup, joint: Joint) -> bool:
    """Whether the two ends would go together if they were of one metal."""
    searcher = Searcher(hookup.lines[joint.line].spec)
    same = joint.end_a._replace(metal=joint.end_b.metal)
    return searcher.between(same, joint.end_b, True, False) is not None


def _span(a: Component, b: Component) -> Span:
    return next((c.origin[0] for c in (b, a) if c.kind.ports not in ("coil", "main")), a.origin[0])


def _between(a: Component, b: Component, joint: Joint) -> tuple[Note, ...]:
    return (
        Note(f"`{a.label}` ends in {joint.end_a}", a.origin[0]),
        Note(f"`{b.label}` ends in {joint.end_b}", b.origin[0]),
    )
