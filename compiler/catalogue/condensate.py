"""How deep a condensate trap has to be for the static pressure at the pan."""

from __future__ import annotations

from fractions import Fraction

from ..model.size import Size, size_of
from .limits import limit


def trap_depths(static_inwg: float, *, draws: bool) -> tuple[Fraction, Fraction]:
    """Least drop from pan outlet to trap outlet, and least seal below the trap outlet, both inches.

    `static_inwg` is the pressure at the pan without its sign, inches of water, with dirty filters. Two makers' manuals:
    a coil that is drawn through needs a drop of the static and an inch, and half of that for the seal; one that is
    blown through half an inch, and the static and half an inch.

    >>> trap_depths(3, draws=True)
    (Fraction(4, 1), Fraction(2, 1))
    """
    static = Fraction(static_inwg).limit_denominator(1000)
    if draws:
        drop = static + limit("trap margin")
        return drop, drop * limit("trap seal")
    return limit("blown trap drop"), static + limit("blown trap margin")


def least_size(outlet: Size | None) -> Size | None:
    """Least size of trap and line: that of the pan's outlet as far as it is known, and NPS 3/4. UFGS 15895."""
    sizes = [size for size in (outlet, size_of(limit("condensate size"))) if size is not None]
    return max(sizes, default=None)
