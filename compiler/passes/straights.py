"""A straight between two marks as a sum: take-outs, gaps, pieces, and what is left for the pipe."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from ..catalogue.dimensions import outside
from ..catalogue.takeouts import Length, Lengths, length_of, makeup, pup, reach
from ..model.declared import Spec
from ..model.hookup import Component, Hookup, Joint, Link
from ..model.measured import How, Mark, Part, Straight, Vector
from ..model.table import NOT_MEASURED, Unknown
from .geometry import unit_vector, vector_of
from .route import offset

#: By component and port: the joint there, and the port of the neighbour.
Beside = dict[tuple[str, str], tuple[Joint, str, str]]


def neighbours(hookup: Hookup) -> Beside:
    """What every port is joined to."""
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


@dataclass(frozen=True, slots=True)
class Sums:
    """Makes the straights of one hookup. `lined`: the lines that the file gives a length in."""

    hookup: Hookup
    beside: Beside
    lengths: Lengths
    lined: frozenset[str]

    def straight(self, link: Link, heading: str, taken: bool) -> Straight:
        """The straight of a link that runs in a direction; `taken`: the file does not say it."""
        a, b = self.hookup.component(link.a), self.hookup.component(link.b)
        parts, run, rise = self._parts(link, a, b, heading)
        centres, how = _centres(link, parts)
        made = Straight(
            line=link.line,
            a=mark_of(a, link.port_a),
            port_a=link.port_a,
            b=mark_of(b, link.port_b),
            port_b=link.port_b,
            heading="" if any(m.about and not m.legs for m in link.moves) else heading,
            centres=centres,
            how=how,
            parts=parts,
            run=run,
            vector=None,
            origin=tuple(m.span for m in link.moves) or ((link.span,) if link.span is not None else a.origin),
            taken=taken,
            pitch=next((m.pitch for m in link.moves if m.pitch is not None), Fraction(0)),
            rise=rise,
        )
        made.vector = _offset_vector(link) if heading == "offset" else vector_of(made)
        return made

    def _parts(self, link: Link, a: Component, b: Component, heading: str) -> tuple[tuple[Part, ...], str, Fraction]:
        """The parts in order, the run of pipe among them, and how far the centreline rises at eccentric reducers."""
        spec = self.hookup.lines[link.line].spec
        parts: list[Part] = []
        before, run, rise = a, "", Fraction(0)
        joint: Joint | None = None
        for joint, component, entered in _walk(self.hookup, link, self.beside):
            if before is a:
                parts.append(self._end(a, link.port_a, joint, spec, link.line))
            gap = makeup(before, component, joint, spec)
            parts.append(Part("gap", joint.kind, gap.value, gap.source))
            if component is b:
                break
            if component.pipe is not None and component.pipe.moves:
                run = component.id
                parts.append(_part("cut", component, Length(NOT_MEASURED, "")))
            else:
                parts.append(_part("piece", component, self._piece(component, spec, link.line)))
                rise += _eccentric(component, entered, heading)
            before = component
        parts.append(self._end(b, link.port_b, joint, spec, link.line))
        return tuple(parts), run, rise

    def _piece(self, component: Component, spec: Spec, line: str) -> Length:
        """What stands between two marks; pipe and nipples that nobody measured have their usual length in a line that
        is measured, and none in one that is not.
        """
        usual = component.pipe is not None or "nipple" in component.kind.name
        if usual and line not in self.lined:
            return Length(NOT_MEASURED, "")
        return pup(component.size, spec) if component.pipe is not None else length_of(component, spec, self.lengths)

    def _end(self, component: Component, port: str, joint: Joint | None, spec: Spec, line: str) -> Part:
        """The take-out at an end. An outlet that no run of pipe adjoins sits on a short piece of its own, half of it
        on either side.
        """
        part = _part("take-out", component, reach(component, port, spec, self.lengths))
        if joint is None or joint.kind == "same piece" or port == "branch" or not is_outlet(component):
            return part
        own = pup(component.size, spec)
        if line not in self.lined or not isinstance(own.value, Fraction):
            return replace(part, length=NOT_MEASURED)
        return replace(part, length=own.value / 2, source=f"{OWN_PIPE}, {own.source}")


#: The source of the half piece of pipe on either side of an outlet that stands alone.
OWN_PIPE = "half of its own pipe"


def is_outlet(component: Component) -> bool:
    """Whether a component is an outlet on a pipe: it has no ends of its own in the run."""
    return component.kind.ports == "tee" and "in" in component.ends and component.ends["in"].form in ("pipe", "tube")


def _part(sort: Literal["take-out", "piece", "cut"], component: Component, length: Length) -> Part:
    what = component.label if component.tag else f"{component.kind.name} {component.size}"
    return Part(sort, what, length.value, length.source, component.id)


def mark_of(component: Component, port: str) -> Mark:
    """The mark that a port belongs to: a coil or main has one at each of its ports."""
    return (component.id, port if component.kind.ports in ("coil", "main") else "")


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


def _centres(link: Link, parts: tuple[Part, ...]) -> tuple[Fraction | Unknown, How]:
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
