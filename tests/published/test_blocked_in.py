"""Pressure of water that warms up in shut pipe, against the open library CoolProp (IAPWS-95) and worked figures."""

import math

import CoolProp.CoolProp as coolprop
import pytest
from coilwright.catalogue.expansion import pressure_rise, water_compressibility, water_density

PSI = 6894.757  # pascal
ATMOSPHERE = 101325.0


def kelvin(f: float) -> float:
    return (f - 32) / 1.8 + 273.15


def theirs(what: str, f: float, gauge_psi: float) -> float:
    return float(coolprop.PropsSI(what, "T", kelvin(f), "P", ATMOSPHERE + gauge_psi * PSI, "Water"))


@pytest.mark.parametrize("f", [34, 45, 60, 75, 85, 100, 140, 180, 211])
def test_water_against_coolprop(f: float) -> None:
    """Kell's density to 3 parts in 100,000, his compressibility to 3 in 10,000, at atmospheric pressure."""
    assert water_density(f) == pytest.approx(theirs("D", f, 0), rel=3e-5)
    assert water_compressibility(f) == pytest.approx(theirs("ISOTHERMAL_COMPRESSIBILITY", f, 0) * PSI, rel=3e-4)


#: Steel NPS 4 and 2-1/2 STD, steel NPS 1 schedule 80, copper NPS 3/4 type L: outside and wall, inches.
PIPES = [(4.5, 0.237, "steel"), (2.875, 0.203, "steel"), (1.315, 0.179, "steel"), (0.875, 0.045, "copper")]


@pytest.mark.parametrize(("outside", "wall", "metal"), PIPES)
@pytest.mark.parametrize(("cold", "warm"), [(45, 60), (45, 75), (45, 85), (42, 90), (60, 180)])
def test_rise_against_coolprop(cold: float, warm: float, outside: float, wall: float, metal: str) -> None:
    """The same water mass in the same pipe, with the library's own density at the pressure found: it fits in the pipe.

    The balance is written anew here; the volume left over is worth at most 2 % of the pressure.
    """
    rise = pressure_rise(cold, warm, 50, outside, wall, metal)
    assert rise is not None and rise > 0
    modulus, expansion = {"steel": (29e6, 6.5e-6), "copper": (17e6, 9.4e-6)}[metal]
    elastic = (outside - wall) / (wall * modulus) * 0.95
    grown = math.exp(3 * expansion * (warm - cold)) * (1 + elastic * rise)
    left = grown * theirs("D", warm, 50 + rise) / theirs("D", cold, 50) - 1
    give = elastic + theirs("ISOTHERMAL_COMPRESSIBILITY", warm, 50 + rise) * PSI
    assert abs(left / give) < 0.02 * rise + 2


@pytest.mark.parametrize(("warm", "printed"), [(60, 160), (75, 540), (85, 920)])
def test_worked_figures(warm: float, printed: float) -> None:
    """A calculation made earlier and apart: water from 45 F in NPS 4 steel, 50 psi at first; to about 10 psi."""
    assert pressure_rise(45, warm, 50, 4.5, 0.237, "steel") == pytest.approx(printed, abs=12)


def test_line_in_the_sun() -> None:
    """A glycol test line in the sun went from 10 to over 400 psi in half an hour: water needs some 24 F for that."""
    rise = pressure_rise(60, 84, 10, 2.375, 0.154, "steel")
    assert rise is not None and rise > 390


def test_ends_of_the_range() -> None:
    assert pressure_rise(33, 38, 50, 4.5, 0.237, "steel") == 0  # water shrinks up to 39 F
    assert pressure_rise(60, 60, 50, 4.5, 0.237, "steel") == 0
    assert pressure_rise(20, 60, 50, 4.5, 0.237, "steel") is None
    assert pressure_rise(60, 250, 50, 4.5, 0.237, "steel") is None
    assert pressure_rise(75, 60, 50, 4.5, 0.237, "steel") is None
