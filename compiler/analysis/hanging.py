"""Where hangers stand along the piping, how far apart, and what hangs between them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from ..model.hookup import Component, Hookup, Move
from ..model.span import Span
from ..model.table import NOT_MEASURED, Unknown
from .ways import Way
from .weighing import Scales, Sum

HANGER = "hanger"
_PLUMB = ("up", "down")


@dataclass(slots=True)
class Hanger:
    """One hanger: the run of pipe that it is on, its line of the file, and how far along the run it is, inches."""

    pipe: Component
    span: Span
    along: Fraction | Unknown


@dataclass(slots=True)
class Gap:
    """What lies between two neighbouring hangers, or between one and the end of its way (None).

    `least` is what is known of its length along the centreline, `sure` whether that is all of it. `level`: none of it
    rises or falls but by its pitch. `flat`: the longest stretch of it that is level, and where that begins.
    """

    before: Hanger | None
    after: Hanger | None
    least: Fraction = Fraction(0)
    sure: bool = True
    level: bool = True
    flat: Fraction = Fraction(0)
    flat_at: Component | None = None
    components: list[Component] = field(default_factory=list)  # bodies, fittings and whole runs
    shares: list[tuple[Component, float | Unknown]] = field(default_factory=list)  # runs of which a part lies here

    _flat: Fraction = Fraction(0)  # of the level stretch that is being walked
    _flat_at: Component | None = None

    def walk(self, length: Fraction | Unknown, plumb: bool, at: Component | None) -> None:
        """Count a length of the way in; what is not known of it counts as nothing and leaves the sum unsure."""
        known = length if isinstance(length, Fraction) else Fraction(0)
        self.sure &= not isinstance(length, Unknown)
        self.least += known
        self.level &= not plumb
        self._flat_at = None if plumb else self._flat_at or at
        self._flat = Fraction(0) if plumb else self._flat + known
        if self._flat > self.flat:
            self.flat, self.flat_at = self._flat, self._flat_at

    def weight(self, scales: Scales) -> Sum:
        """All that hangs in it, full of fluid."""
        made = scales.full(self.components)
        for pipe, share in self.shares:
            whole = scales.full([pipe])
            if isinstance(share, Unknown):
                made.add(share, f"a part of a {pipe.kind.name} {pipe.size}")
            else:
                made.take(whole, share=share)
        return made


def gaps(hookup: Hookup, way: Way, beside: Mapping[str, list[Component]] | None = None) -> list[Gap]:
    """A way cut at its hangers, in flow order: one more gap than there are hangers.

    `beside` is what hangs on the sides of its components, to be counted with them.
    """
    centres = _centres(hookup)
    made = [Gap(None, None)]
    mark = way.head[0].id if way.head is not None else ""
    laid = False  # a run of pipe lies behind the last mark
    for component in way.components:
        gap = made[-1]
        if component.pipe is not None and component.pipe.moves:
            laid = True
            for hanger in _along(component, gap, made):
                made[-1].after = hanger
                made.append(Gap(hanger, None))
                gap = made[-1]
            continue
        gap.components.append(component)
        gap.components.extend(beside.get(component.id, ()) if beside else ())
        gap.level &= component.heading not in _PLUMB or component.kind.group == "fittings"
        if component.between:
            continue
        if not laid:
            gap.walk(centres.get((mark, component.id), NOT_MEASURED), component.heading in _PLUMB, None)
        mark, laid = component.id, False
    if not laid and way.tail is not None:
        plumb = bool(way.components) and way.components[-1].heading in _PLUMB
        made[-1].walk(centres.get((mark, way.tail[0].id), NOT_MEASURED), plumb, None)
    return made


def _centres(hookup: Hookup) -> dict[tuple[str, str], Fraction | Unknown]:
    """From mark to mark, where `measure` knows it."""
    if hookup.measured is None:
        return {}
    return {(s.a[0], s.b[0]): s.centres for s in hookup.measured.straights}


def _along(component: Component, gap: Gap, made: list[Gap]) -> Iterator[Hanger]:
    """Walk one run of pipe, giving its hangers; its stretches are counted into the gaps on both sides of them."""
    pipe = component.pipe
    assert pipe is not None
    whole = pipe.length
    passed: Fraction | Unknown = Fraction(0)
    stretch: Fraction | Unknown = Fraction(0)
    plumb = component.heading in _PLUMB or pipe.rise != 0

    def count(gap: Gap) -> None:
        if stretch == 0:
            return
        gap.walk(stretch, plumb, component)
        if isinstance(stretch, Unknown) or isinstance(whole, Unknown) or not whole:
            gap.shares.append((component, NOT_MEASURED))
        else:
            gap.shares.append((component, float(stretch / whole)))

    hangers = 0
    for move in pipe.moves:
        if move.mark == HANGER:
            count(made[-1])
            stretch = Fraction(0)
            hangers += 1
            yield Hanger(component, move.span, passed)
        elif not move.mark and not move.through:
            length = _length(move)
            passed = _plus(passed, length)
            stretch = _plus(stretch, length)
    if hangers:
        count(made[-1])
    else:
        gap.walk(whole, plumb, component)
        gap.components.append(component)


def stretches(component: Component, step: int) -> tuple[Fraction | Unknown | None, Fraction | Unknown]:
    """From the end of a run (`step` 1: its start, -1: its far end) to its nearest hanger, and its whole length.

    The first is None where no hanger is on it, and unknown where the way to it is not measured.
    """
    pipe = component.pipe
    assert pipe is not None
    passed: Fraction | Unknown = Fraction(0)
    for move in pipe.moves[::step]:
        if move.mark == HANGER:
            return passed, pipe.length
        if not move.mark and not move.through:
            passed = _plus(passed, _length(move))
    return None, pipe.length


def _length(move: Move) -> Fraction | Unknown:
    found = move.length if move.length is not None else (move.legs[0].length if move.legs else None)
    return NOT_MEASURED if found is None else found


def _plus(a: Fraction | Unknown, b: Fraction | Unknown) -> Fraction | Unknown:
    return a + b if isinstance(a, Fraction) and isinstance(b, Fraction) else NOT_MEASURED
