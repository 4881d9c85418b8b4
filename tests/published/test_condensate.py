"""Condensate traps against the worked figures of makers' manuals."""

from fractions import Fraction

import pytest
from coilwright.catalogue.condensate import trap_depths


def test_drawn_through_as_an_air_handler_manual_works_it_out() -> None:
    """An air handler maker's manual CLCH-SVX009A, page 31: at -3 in wg a drop of 4 in and a seal of 2 in."""
    assert trap_depths(3, draws=True) == (4, 2)


@pytest.mark.parametrize("static", [0.5, 1.0, 2.5, 6.0])
def test_second_manual_says_the_same(static: float) -> None:
    """A second maker's manual V3, pages 26-27: X = static + 1 in, and X / 2 below it."""
    drop, seal = trap_depths(static, draws=True)
    assert float(drop) == pytest.approx(static + 1) and seal == drop / 2


def test_blown_through_as_the_same_manual_has_it() -> None:
    """An air handler maker's book CLCH-SVX009A, page 31: a drop of 1/2 in at least; the seal 1/2 in over the static."""
    assert trap_depths(1.5, draws=False) == (Fraction(1, 2), 2)
