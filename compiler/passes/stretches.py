"""Where the pieces of a straight lie in space."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ..model.measured import Measured, Part, Point, Straight, Stretch, Vector
from .geometry import unit_vector


def lay(measured: Measured, straight: Straight) -> None:
    """Lay the parts of a straight along it, from both of its ends as far as their lengths are known."""
    direction = _direction(straight)
    if direction is None:
        return
    parts, known = straight.parts, all(isinstance(part.length, Fraction) for part in straight.parts)
    near, far = (straight.a[0], straight.port_a), (straight.b[0], straight.port_b)
    _lay(measured, parts, measured.marks[straight.a], direction, (near, far))
    if not known:
        back = (-direction[0], -direction[1], -direction[2])
        _lay(measured, parts[::-1], measured.marks[straight.b], back, (far, near), backward=True)


def _direction(straight: Straight) -> Point | None:
    unit = unit_vector(straight.heading)
    if unit is not None:
        return (float(unit[0]), float(unit[1]), float(unit[2]))
    if straight.vector is None:
        return None
    size = float(sum(part**2 for part in straight.vector)) ** 0.5
    return (float(straight.vector[0]) / size, float(straight.vector[1]) / size, float(straight.vector[2]) / size)


def _lay(
    measured: Measured,
    parts: Sequence[Part],
    start: Vector,
    direction: Point,
    ports: tuple[tuple[str, str], tuple[str, str]],
    *,
    backward: bool = False,
) -> None:
    """Parts in order from a mark; the first and the last are the take-outs of what stands at `ports`."""
    at = (float(start[0]), float(start[1]), float(start[2]))
    for number, part in enumerate(parts):
        if not isinstance(part.length, Fraction):
            return
        length = float(part.length)
        end = (at[0] + direction[0] * length, at[1] + direction[1] * length, at[2] + direction[2] * length)
        if number == 0:
            measured.faces[ports[0]] = end
        elif number == len(parts) - 1:
            measured.faces[ports[1]] = at
        elif part.id:
            measured.stretches[part.id] = Stretch(end, at) if backward else Stretch(at, end)
        at = end
