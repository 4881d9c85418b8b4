"""Which pipe is heat traced, and how long it is along its centreline."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from ..model.declared import Service
from ..model.hookup import Component, Hookup
from ..model.measured import Straight
from ..model.size import Size
from ..model.span import Origin
from .piping import Piping

OUTDOORS = "outdoors"


@dataclass(frozen=True, slots=True)
class Length:
    """A stretch of traced pipe of one size. `inches` None: not measured. `allowed`: it rests on an `about` length."""

    line: str
    size: Size
    inches: Fraction | None
    allowed: bool
    origin: Origin


def traced_lines(hookup: Hookup) -> dict[str, Service]:
    """The lines that are traced: of a heat-traced service those outdoors; where none of its lines says so, all."""
    made: dict[str, Service] = {}
    for name, service in hookup.services.items():
        lines = [line for line in hookup.lines.values() if line.service == name] if service.heat_traced else []
        outdoors = [line for line in lines if OUTDOORS in line.remarks]
        made.update((line.id, service) for line in outdoors or lines)
    return {line: made[line] for line in hookup.lines if line in made}


def lengths(hookup: Hookup, pipes: Piping, lines: dict[str, Service]) -> Iterator[Length]:
    """The centreline of the traced lines in pieces, from mark to mark, each shared out among the sizes along it."""
    if hookup.measured is None:
        for component in pipes.line:
            if component.line in lines and component.pipe is not None:
                yield _of_run(component)
        return
    ids = pipes.ids
    for straight in hookup.measured.straights:
        ends = [hookup.component(mark[0]) for mark in (straight.a, straight.b)]
        if straight.line not in lines or not all(c.id in ids or c.kind.ports in ("coil", "main") for c in ends):
            continue
        if isinstance(straight.centres, Fraction):
            yield from _shared(hookup, straight, straight.centres)
        elif straight.run:
            yield _of_run(hookup.component(straight.run))
        else:
            yield Length(straight.line, _size(hookup, straight), None, False, straight.origin)


def _of_run(component: Component) -> Length:
    assert component.pipe is not None
    length = component.pipe.length
    known = length if isinstance(length, Fraction) else None
    return Length(component.line, component.size, known, component.pipe.about, component.origin)


def _size(hookup: Hookup, straight: Straight) -> Size:
    """The size of a straight that is of one: of its run, else of the first thing in the line."""
    ids = [straight.run] if straight.run else [part.id for part in straight.parts if part.id]
    found = [hookup.component(id) for id in ids]
    return next((c.size for c in found if c.line), hookup.lines[straight.line].size)


def _shared(hookup: Hookup, straight: Straight, centres: Fraction) -> Iterator[Length]:
    """A straight by size: what its parts take that are of another size than its run, and the rest."""
    own = _size(hookup, straight)
    other: dict[Size, Fraction] = {}
    for part in straight.parts:
        component = hookup.component(part.id) if part.id else None
        known = part.length if isinstance(part.length, Fraction) else Fraction(0)
        if component is not None and component.line and component.size is not own and known > 0:
            other[component.size] = other.get(component.size, Fraction(0)) + known
    rest = max(centres - sum(other.values(), Fraction(0)), Fraction(0))
    for size, length in ((own, rest), *other.items()):
        if length:
            yield Length(straight.line, size, length, False, straight.origin)
