"""measure: moves with lengths to straights that add up, cut lengths, and places in space."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from ..catalogue.dimensions import outside
from ..catalogue.takeouts import Length, Lengths, length_of, makeup, pup, reach
from ..model.hookup import Component, Hookup, Joint, LineInfo, Link, Move
from ..model.measured import How, Mark, Measured, Part, Straight, Vector
from ..model.table import NOT_IN_TABLES, NOT_MEASURED, Unknown
from .geometry import unit_vector, vector_of
from .place import place
from .route import offset
from .run import Run

#: The direction of a branch whose file does not say it: drains hang, vents stand. Common practice, no source.
_USUAL = {"drain": "down", "vent": "up"}


def measure(hookup: Hookup, run: Run) -> Hookup:
    """Work out every straight of a hookup whose file gives lengths; any other is returned as it is.

    Needs: straights, joints. Adds: `measured`, and the lengths that follow from the two ends of a line to its pipes.
    """
    if not any(_has_length(link.moves) for link in hookup.straights):
        return hookup
    hookup.measured = Measured()
    beside = _neighbours(hookup)
    headings = _headings(hookup)
    for number, link in enumerate(hookup.straights):
        if link.line in hookup.lines:
            straight = _straight(hookup, link, headings[number], beside, run.declared.lengths)
            hookup.measured.straights.append(straight)
    place(hookup, hookup.measured)
    for straight in hookup.measured.straights:
        _cut(hookup, hookup.measured, straight)
    return hookup


def _has_length(moves: tuple[Move, ...]) -> bool:
    return any(not m.about and any(leg.length is not None for leg in m.legs) for m in moves)


# -- walking a straight -------------------------------------------------------------------------------------------

#: By component and port: the joint there, and the port of the neighbour.
Beside = dict[tuple[str, str], tuple[Joint, str, str]]


def _neighbours(hookup: Hookup) -> Beside:
    made: Beside = {}
    for u, v, joint in hookup.joints():
        made[u, joint.port_a] = (joint, v, joint.port_b)
        made[v, joint.port_b] = (joint, u, joint.port_a)
    return made


def _walk(hookup: Hookup, link: Link, beside: Beside) -> Iterator[tuple[Joint, Component, str]]:
    """Joint, next component and the port it is entered by, from one mark of a link to the other."""
    at, port = link.a, link.port_a
    while (at, port) in beside:
        joint, at, entered = beside[at, port]
        component = hookup.component(at)
        yield joint, component, entered
        if not component.between:
            return
        port = "out" if entered == "in" else "in"


def _headings(hookup: Hookup) -> list[tuple[str, bool]]:
    """The direction of every straight, and whether it is only taken to be so.

    A line that has not said any yet runs as it will first say. A branch that says none hangs if it drains and stands
    if it vents; any other leaves its line upward, or toward the reader from a riser.
    """
    first: dict[str, str] = {}
    for link in hookup.straights:
        if link.port_a in ("branch", "bypass"):
            continue
        if link.heading and link.heading != "offset":
            first.setdefault(link.line, link.heading)
    said: dict[str, tuple[str, bool]] = {}  # by component: how the line arrives there
    made = []
    for link in hookup.straights:
        heading, taken = link.heading, False
        if not heading and link.port_a not in ("branch", "bypass"):
            heading, taken = said.get(link.a, (first.get(link.line, ""), False))
        if not heading and link.port_a in ("branch", "bypass"):
            heading, taken = _usual(hookup, link, said), True
        if link.port_b == "in" and heading != "offset":
            said[link.b] = (heading, taken)
        elif link.port_b == "in":
            said[link.b] = (_along(link), False)
        made.append((heading, taken))
    return made


def _along(link: Link) -> str:
    return next((m.along for m in link.moves if m.along), "")


def _usual(hookup: Hookup, link: Link, said: dict[str, tuple[str, bool]]) -> str:
    role = hookup.component(link.b).role
    usual = _USUAL.get(role, "up")
    arrives = said.get(link.a, (hookup.component(link.a).heading, False))[0]
    return "toward" if arrives in ("up", "down") else usual


def _straight(hookup: Hookup, link: Link, heading: tuple[str, bool], beside: Beside, lengths: Lengths) -> Straight:
    info = hookup.lines[link.line]
    a, b = hookup.component(link.a), hookup.component(link.b)
    parts = [_part("take-out", a, reach(a, link.port_a, info.spec, lengths))]
    before, run, joint = a, "", None
    rise = Fraction(0)  # of the centreline, at eccentric reducers
    for joint, component, entered in _walk(hookup, link, beside):
        if before is a and joint.kind != "same piece":
            parts[0] = _with_own_pipe(parts[0], a, link.port_a, info)
        gap = makeup(before, component, joint, info.spec)
        parts.append(Part("gap", joint.kind, gap.value, gap.source))
        if component is b:
            break
        if component.pipe is not None and component.pipe.moves:
            run = component.id
        else:
            parts.append(_part("piece", component, _piece(component, info, lengths)))
            rise += _eccentric(component, entered, heading[0])
        if run == component.id:
            parts.append(Part("cut", f"{component.kind.name} {component.size}", NOT_MEASURED, "", component.id))
        before = component
    parts.append(_part("take-out", b, reach(b, link.port_b, info.spec, lengths)))
    if joint is not None and joint.kind != "same piece":
        parts[-1] = _with_own_pipe(parts[-1], b, link.port_b, info)
    centres, how = _centres(link, parts)
    made = Straight(
        link.line,
        mark_of(a, link.port_a),
        link.port_a,
        mark_of(b, link.port_b),
        link.port_b,
        "" if any(m.about and not m.legs for m in link.moves) else heading[0],
        centres,
        how,
        tuple(parts),
        run,
        None,
        tuple(m.span for m in link.moves) or ((link.span,) if link.span is not None else a.origin),
        heading[1],
        _pitch(link),
        rise,
    )
    made.vector = _offset_vector(link) if heading[0] == "offset" else vector_of(made)
    return made


def _with_own_pipe(part: Part, outlet: Component, port: str, info: LineInfo) -> Part:
    """An outlet that no run of pipe adjoins sits on a short piece of its own: half of it on either side."""
    if port == "branch" or outlet.kind.ports != "tee" or outlet.ends["in"].form not in ("pipe", "tube"):
        return part
    own = pup(outlet.size, info.spec)
    assert isinstance(own.value, Fraction)
    return replace(part, length=own.value / 2, source=f"half of its own pipe, {own.source}")


def _part(sort: str, component: Component, length: Length) -> Part:
    what = component.label if component.tag else f"{component.kind.name} {component.size}"
    return Part(sort, what, length.value, length.source, component.id)  # type: ignore[arg-type]


def mark_of(component: Component, port: str) -> Mark:
    """The mark that a port belongs to: a coil or main has one at each of its ports."""
    return (component.id, port if component.kind.ports in ("coil", "main") else "")


def _piece(component: Component, info: LineInfo, lengths: Lengths) -> Length:
    if component.pipe is not None:
        return pup(component.size, info.spec)
    return length_of(component, lengths)


def _eccentric(component: Component, entered: str, heading: str) -> Fraction:
    """How far the centreline rises through an eccentric reducer that keeps its top level; falls, its bottom."""
    if "eccentric" not in component.kind.name or heading in ("up", "down", "offset", ""):
        return Fraction(0)
    ends = component.ends
    large, small = max(e.size for e in ends.values()), min(e.size for e in ends.values())
    wide, narrow = outside(large, ends["in"].metal), outside(small, ends["in"].metal)
    if wide is None or narrow is None:
        return Fraction(0)
    shift = (wide - narrow) / 2
    if "flat on bottom" in component.remarks:
        shift = -shift
    leaving = ends["out" if entered == "in" else "in"].size
    return shift if leaving is small else -shift


# -- how long ------------------------------------------------------------------------------------------------------


def _centres(link: Link, parts: list[Part]) -> tuple[Fraction | Unknown, How]:
    """The length between the marks: the moves added up, or what close-coupled things make."""
    if not link.moves:
        total = Fraction(0)
        for part in parts:
            if not isinstance(part.length, Fraction):
                return part.length, "not known"
            total += part.length
        return total, "close coupled"
    total, given = Fraction(0), False
    for move in link.moves:
        if move.through or move.mark:
            continue
        length = move.length if move.length is not None or not move.legs else move.legs[0].length
        if move.about:
            return NOT_MEASURED, "allowed"
        if length is None:
            return NOT_MEASURED, "not given"
        total, given = total + length, True
    return (total, "as given") if given else (NOT_MEASURED, "not given")


def _pitch(link: Link) -> Fraction:
    return next((m.pitch for m in link.moves if m.pitch is not None), Fraction(0))


def _offset_vector(link: Link) -> Vector | None:
    move = next(m for m in link.moves if m.along)
    ahead, forward = offset(move, move.along), unit_vector(move.along)
    if ahead is None or forward is None:
        return None
    made = [ahead * part for part in forward]
    for leg in move.legs:
        unit = unit_vector(leg.direction)
        if leg.direction != move.along and unit is not None and leg.length is not None:
            made = [m + leg.length * part for m, part in zip(made, unit, strict=True)]
    return (made[0], made[1], made[2])


# -- what is left for the pipe -------------------------------------------------------------------------------------


def _cut(hookup: Hookup, measured: Measured, straight: Straight) -> None:
    """The pipe of a straight is what its take-outs, gaps and pieces leave of the length between the marks."""
    for part in straight.parts:
        component = hookup.component(part.id) if part.id else None
        if part.sort == "piece" and component is not None and component.pipe is not None:
            measured.cuts[part.id] = part.length
        elif part.source.startswith("half of its own pipe") and isinstance(part.length, Fraction):
            before = measured.cuts.get(part.id, Fraction(0))
            measured.cuts[part.id] = before + part.length if isinstance(before, Fraction) else before
    if not straight.run:
        return
    component = hookup.component(straight.run)
    assert component.pipe is not None
    if straight.how == "from its ends":
        component.pipe = replace(component.pipe, length=straight.centres, about=False)
    cut = _left(straight)
    gap = _gap_of(straight)
    if gap is not None and cut == -gap:
        _close_up(hookup, straight)
        return
    measured.cuts[straight.run] = cut
    straight.parts = tuple(replace(p, length=cut) if p.sort == "cut" else p for p in straight.parts)


def _left(straight: Straight) -> Fraction | Unknown:
    if not isinstance(straight.centres, Fraction):
        return NOT_MEASURED
    left = straight.centres
    for part in straight.parts:
        if part.sort == "cut":
            continue
        if not isinstance(part.length, Fraction):
            return NOT_IN_TABLES
        left -= part.length
    return left


def _gap_of(straight: Straight) -> Fraction | None:
    """The weld gap at both ends of the pipe of a straight; None if it is not welded in between two bevels."""
    place = next(n for n, part in enumerate(straight.parts) if part.sort == "cut")
    before, behind = straight.parts[place - 1], straight.parts[place + 1]
    welded = before.what == behind.what == "butt weld" and isinstance(before.length, Fraction)
    return before.length if welded and isinstance(before.length, Fraction) else None


def _close_up(hookup: Hookup, straight: Straight) -> None:
    """Fitting to fitting: what the take-outs leave is one weld gap, so there is one weld and no pipe."""
    run = straight.run
    (u, joint), (v, other) = _either_side(hookup, run)
    hookup.take_out(run)
    made = replace(joint, port_b=other.port_b, end_b=other.end_b)
    hookup.make_up(u, v, made)
    place = next(n for n, part in enumerate(straight.parts) if part.sort == "cut")
    straight.parts = (*straight.parts[:place], *straight.parts[place + 2 :])
    straight.run = ""


def _either_side(hookup: Hookup, run: str) -> tuple[tuple[str, Joint], tuple[str, Joint]]:
    """What a pipe is joined to upstream and downstream, each with its joint."""
    (u, _, before) = next(iter(hookup.graph.in_edges(run, data=True)))
    (_, v, behind) = next(iter(hookup.graph.out_edges(run, data=True)))
    return (u, before["joint"]), (v, behind["joint"])
