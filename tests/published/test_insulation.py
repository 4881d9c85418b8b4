"""Least insulation against statements about the energy code, jackets by geometry, holes by the government text."""

import math
from fractions import Fraction

import pytest
from coilwright.catalogue.dimensions import outside, steel_pipe
from coilwright.catalogue.jackets import is_cold, jacket_area
from coilwright.catalogue.limits import least_insulation
from coilwright.catalogue.penetrations import hole_for, saw_for, sleeve_for
from coilwright.catalogue.tables import decimal, table
from coilwright.model.size import SIZES, size


@pytest.mark.parametrize("nps", [s for s in SIZES if s >= size("1/2")], ids=str)
def test_statements_of_the_insulation_association(nps: object) -> None:
    """NIA on ASHRAE 90.1-2010: 2 in on hydronic heating from NPS 1-1/2; 1 in at most on 40 to 60 F; 5 in above 350 F
    except under NPS 1."""
    at = next(s for s in SIZES if s is nps)
    if at >= size("1-1/2"):
        assert least_insulation(at, 140, 180) == 2
    assert least_insulation(at, 42, 60) <= 1
    assert least_insulation(at, 300, 360) == (5 if at >= size("1") else Fraction(9, 2))
    assert least_insulation(at, 65, 100) == 0  # exempt, WAC 51-11C-40328


@pytest.mark.parametrize("nps", ["1/2", "2", "4", "12"])
@pytest.mark.parametrize("thickness", [Fraction(1, 2), Fraction(2)])
def test_jacket_is_the_side_of_a_cylinder(nps: str, thickness: Fraction) -> None:
    """By volume: a jacket a thousandth of an inch thick fills its area times its thickness."""
    od = outside(size(nps), "carbon steel")
    assert od is not None
    inner, thin = float(od / 2 + thickness), 0.001
    volume = math.pi * ((inner + thin) ** 2 - inner**2) * 120
    assert jacket_area(od, thickness, 120) * 144 == pytest.approx(volume / thin, rel=1e-3)


def test_retarders_are_for_cold_services() -> None:
    assert [is_cold(low) for low in (24, 42, 60, 61, 140)] == [True, True, True, False, False]


def test_a_six_inch_hole_passes_a_three_inch_pipe_with_an_inch_of_insulation() -> None:
    """Common practice, no source; by UFGS 15652 it is just wide enough, and 1-1/2 in of insulation is not."""
    od = outside(size("3"), "carbon steel")
    assert od is not None
    assert hole_for(od, Fraction(1)) <= 6 < hole_for(od, Fraction(3, 2))
    assert saw_for(hole_for(od, Fraction(1))) == (6, "hole saw")
    assert sleeve_for(hole_for(od, Fraction(1))) == size("6")


@pytest.mark.parametrize("width", [Fraction(n, 4) for n in range(4, 48)])
def test_saws_and_sleeves_are_the_least_that_pass(width: Fraction) -> None:
    """The next narrower saw, and the next smaller pipe, do not pass."""
    saw, sleeve = saw_for(width), sleeve_for(width)
    assert saw is not None and sleeve is not None
    assert saw[0] >= width
    narrower = [decimal(row["diameter_in"]) for row in table("hole_saws") if decimal(row["diameter_in"]) < saw[0]]
    assert all(other < width for other in narrower)
    bores = {s: pipe.id for s in SIZES if (pipe := steel_pipe(s, "STD")) is not None}
    assert bores[sleeve] >= width > max(bore for s, bore in bores.items() if s < sleeve)


def test_nothing_is_wide_enough_for_a_yard() -> None:
    assert saw_for(Fraction(36)) is None
    assert sleeve_for(Fraction(36)) is None
