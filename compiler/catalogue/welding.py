"""Weld metal: the cross-sections of groove and fillet welds turned about the pipe, and the filler to buy for them.

Inches, square and cubic inches, pounds. Each area is carried round at the radius of its own centroid (Pappus), so
nothing is lost on small pipe. The method of areas, densities and deposition shares is that of the handbook `esab`
(docs/sources.md); the cap's shape and the layers of passes are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from ..model.size import Size
from ..model.welding import Filler, Welding
from .tables import decimal, table

#: ASME B16.25: the bevel of a fitting's end, degrees; walls to this are cut square, walls above that take a compound
#: bevel. Read second-hand (`b1625`).
FITTING_BEVEL = Fraction(75, 2)
SQUARE_TO = Fraction(12, 100)
COMPOUND_FROM = Fraction(88, 100)

#: Pounds a cubic inch. Carbon steel: `esab`. Stainless: 8.03 g/cm3 of austenitic steel, from memory.
_DENSITY = {"carbon steel": 0.283, "stainless steel": 0.290}
#: A cap is a flat parabola: two thirds of its box, its centroid at two fifths of its height. Reproduces the per-joint
#: amounts that the tests hold.
_CAP_SHARE, _CAP_CENTROID = 2 / 3, 2 / 5

#: Fillet legs. ASME B31.1-2016 figure 127.4.4(B): at the hub of a slip-on flange 1.4 times the pipe's wall or the hub's
#: thickness, whichever is less; at its face the wall or 1/4 in, whichever is less (`b311`). Figure 127.4.4(C), socket:
#: 1.09 times the wall (`pmat`); a class 3000 socket is thicker than that to schedule 80.
_HUB_LEG, _FACE_LEG, _SOCKET_LEG = Fraction(14, 10), Fraction(1, 4), Fraction(109, 100)


class Groove(NamedTuple):
    """A single-V groove, or a square one where both bevels are 0. Bevels in degrees, one for each side."""

    wall: Fraction
    bevels: tuple[Fraction, Fraction]
    root_face: Fraction
    gap: Fraction
    reinforcement: Fraction

    @property
    def spread(self) -> float:
        """How much wider the groove gets for each inch above the root face."""
        return sum(math.tan(math.radians(float(b))) for b in self.bevels)

    @property
    def depth(self) -> float:
        """From the root face up to the surface, where the sides spread."""
        return float(max(self.wall - self.root_face, Fraction(0)))

    @property
    def width(self) -> float:
        """At the surface; the cap is as wide."""
        return float(self.gap) + self.spread * self.depth

    @property
    def square(self) -> bool:
        """Whether its ends are cut square."""
        return self.spread == 0


def groove(wall: Fraction, ends: Sequence[str], how: Welding, gap: Fraction) -> Groove | None:
    """The groove between two ends, each `pipe` (cut and bevelled as the spec says) or a fitting's `bevel`.

    None for walls that take a compound bevel.
    """
    if wall > COMPOUND_FROM:
        return None
    if wall <= SQUARE_TO:
        return Groove(wall, (Fraction(0), Fraction(0)), Fraction(0), gap, how.reinforcement)
    one, other = (how.bevel if end == "pipe" else FITTING_BEVEL for end in ends)
    return Groove(wall, (one, other), how.root_face, gap, how.reinforcement)


def groove_volume(od: Fraction, cut: Groove, up_to: float | None = None) -> float:
    """Cubic inches of weld in the groove of a whole joint, from the bore up to a height in the wall, without the cap.

    >>> four = Groove(Fraction("0.237"), (Fraction(75, 2),) * 2, Fraction(1, 16), Fraction(1, 8), Fraction(1, 16))
    >>> round(0.283 * (groove_volume(Fraction("4.5"), four) + cap_volume(Fraction("4.5"), four)), 3)
    0.27
    """
    height = float(cut.wall) if up_to is None else max(0.0, min(up_to, float(cut.wall)))
    inside = float(od) / 2 - float(cut.wall)
    above = max(0.0, height - float(cut.root_face))  # the part that spreads
    straight = float(cut.gap) * (inside * height + height**2 / 2)
    spread = cut.spread * ((inside + float(cut.root_face)) * above**2 / 2 + above**3 / 3)
    return 2 * math.pi * (straight + spread)


def cap_volume(od: Fraction, cut: Groove) -> float:
    """Cubic inches of the reinforcement of a whole joint."""
    height = float(cut.reinforcement)
    return _CAP_SHARE * cut.width * height * math.pi * (float(od) + 2 * _CAP_CENTROID * height)


def fillet_volume(diameter: Fraction, leg: Fraction, outward: bool = True) -> float:
    """Cubic inches of a flat fillet of equal legs all round, its root at a diameter, on the outside or the inside.

    >>> round(fillet_volume(Fraction(9, 2), Fraction(1, 4)), 3)  # 1/32 sq in carried round 14.66 in
    0.458
    """
    third = float(leg) / 3
    return float(leg) ** 2 / 2 * math.pi * (float(diameter) + (2 * third if outward else -2 * third))


@cache
def slip_on_legs(nps: Size, rating: str, wall: Fraction) -> tuple[Fraction, Fraction] | None:
    """The legs of the two fillets of a slip-on flange, at the hub and inside at the face; None if the hub is not known.

    >>> from ..model.size import size
    >>> [float(leg) for leg in slip_on_legs(size("4"), "150", Fraction("0.237"))]
    [0.3318, 0.237]
    """
    row = _hubs().get((rating, nps.label))
    if row is None:
        return None
    hub, bore = row
    return min(_HUB_LEG * wall, (hub - bore) / 2), min(wall, _FACE_LEG)


@cache
def slip_on_volume(nps: Size, rating: str, od: Fraction, wall: Fraction) -> float | None:
    """Cubic inches of both fillets of a slip-on flange; None if its hub is not in the tables."""
    legs = slip_on_legs(nps, rating, wall)
    if legs is None:
        return None
    _, bore = _hubs()[rating, nps.label]
    return fillet_volume(od, legs[0]) + fillet_volume(bore, legs[1], outward=False)


def socket_volume(od: Fraction, wall: Fraction) -> float:
    """Cubic inches of the fillet of a socket weld."""
    return fillet_volume(od, _SOCKET_LEG * wall)


@cache
def _hubs() -> dict[tuple[str, str], tuple[Fraction, Fraction]]:
    return {(r["class"], r["nps"]): (decimal(r["hub_in"]), decimal(r["bore_in"])) for r in table("slip_on_hubs")}


def density(metal: str) -> float | None:
    """Pounds a cubic inch of weld metal for pipe of a metal; None for metals that are not welded here."""
    return _DENSITY.get(metal)


@cache
def deposition() -> dict[str, float | None]:
    """Share of what is bought that becomes weld metal, by process; None where no source gives it."""
    return {row["process"]: float(row["share"]) if row["share"] else None for row in table("deposition")}


def layers(od: Fraction, cut: Groove, passes: Sequence[tuple[str, Filler]]) -> dict[str, float] | None:
    """Cubic inches of each pass of a groove weld; they add up to groove and cap. None where a thickness is not known.

    The root lies at the bore as thick as its layer, the hot pass on it likewise, the cap is the reinforcement, and the
    fill is what is left between. Where one of these is not said, the pass below it takes its part. A rod's layer is
    as thick as the rod; a wire's has to be said. Common practice, no source.

    >>> from ..model.welding import Filler
    >>> rod = Filler("stick", "E7018", Fraction(1, 8))
    >>> eight = Groove(Fraction("0.322"), (Fraction(75, 2),) * 2, Fraction(1, 16), Fraction(1, 8), Fraction(1, 16))
    >>> made = layers(Fraction("8.625"), eight, [(name, rod) for name in ("root", "hot", "fill", "cap")])
    >>> {name: round(inches, 2) for name, inches in made.items()}
    {'root': 0.48, 'hot': 1.04, 'fill': 0.91, 'cap': 0.59}
    """
    named = [(name, filler) for name, filler in passes if name != "fillet"]
    if not named:
        return None
    inside = [(name, filler) for name, filler in named if name != "cap"]
    made: dict[str, float] = {}
    height, below = 0.0, 0.0
    for number, (name, filler) in enumerate(inside):
        if number == len(inside) - 1:
            height = float(cut.wall)
        else:
            layer = _layer(filler)
            if layer is None:
                return None
            height += layer
        volume = groove_volume(od, cut, height)
        made[name] = volume - below
        below = volume
    last = "cap" if "cap" in dict(named) else named[-1][0]
    made[last] = made.get(last, 0.0) + cap_volume(od, cut)
    if not inside:  # one pass makes the whole joint
        made[last] += groove_volume(od, cut)
    return made


def _layer(filler: Filler) -> float | None:
    if filler.layer is not None:
        return float(filler.layer)
    return float(filler.diameter) if filler.process == "stick" and filler.diameter is not None else None
