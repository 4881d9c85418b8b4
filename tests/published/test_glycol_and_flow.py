"""Glycol, velocity, friction and energy-code figures against open libraries and printed tables."""

import csv
from pathlib import Path

import pytest
from coilwright.catalogue.dimensions import steel_pipe
from coilwright.catalogue.flow import friction, velocity
from coilwright.catalogue.fluids import by_volume, freezing_point
from coilwright.catalogue.limits import flow_caps, least_insulation
from coilwright.model.size import size
from CoolProp.CoolProp import PropsSI
from fluids.friction import friction_factor

DATA = Path(__file__).parent / "data"
#: The library's names: ASHRAE data by volume, and Melinder's by mass.
BY_VOLUME = {"ethylene glycol": "AEG", "propylene glycol": "APG"}
BY_MASS = {"ethylene glycol": "MEG", "propylene glycol": "MPG"}


def in_library(name: str, share: float) -> float:
    return PropsSI("T_freeze", "T", 300, "P", 101325, f"INCOMP::{name}[{share}]") * 1.8 - 459.67


@pytest.mark.parametrize("fluid", BY_VOLUME)
@pytest.mark.parametrize("percent", range(10, 61))
def test_freezing_points_by_volume_against_coolprop(fluid: str, percent: int) -> None:
    """At the rows and between them: a straight line over 5 % strays by less than half a degree."""
    ours = freezing_point(fluid, percent / 100, "volume")
    assert ours == pytest.approx(in_library(BY_VOLUME[fluid], percent / 100), abs=0.5)


@pytest.mark.parametrize("fluid", BY_MASS)
@pytest.mark.parametrize("percent", range(15, 60, 5))
def test_freezing_points_by_mass_against_other_data(fluid: str, percent: int) -> None:
    """Melinder's data, composition by mass, turned into volume by ideal mixing: the two sets agree within
    3 F to 40 %, and ours is the warmer, safer one above."""
    ours = freezing_point(fluid, percent / 100, "mass")
    theirs = in_library(BY_MASS[fluid], percent / 100)
    assert ours is not None
    assert abs(ours - theirs) <= (3 if percent <= 40 else 5.5)
    assert ours >= theirs - 1.5


def printed() -> list[tuple[str, float, float, float]]:
    lines = (DATA / "glycol_printed.csv").read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return [(r["glycol"], float(r["percent_volume"]), float(r["freeze_f"]), float(r["within_f"])) for r in rows]


@pytest.mark.parametrize(("glycol", "percent", "freezes", "within"), printed())
def test_freezing_points_against_printed_tables(glycol: str, percent: float, freezes: float, within: float) -> None:
    assert freezing_point(f"{glycol} glycol", percent / 100, "volume") == pytest.approx(freezes, abs=within)


def test_what_the_table_does_not_reach_is_unknown() -> None:
    assert freezing_point("propylene glycol", 0.61, "volume") is None
    assert freezing_point("water", 0.3, "volume") is None


def test_share_by_mass_of_a_glossary() -> None:
    """30 % ethylene glycol by mass is 27.8 gallons in 100 (expertctr.com, glossary of glycol)."""
    assert 100 * by_volume("ethylene glycol", 0.30) == pytest.approx(27.8, abs=0.05)


@pytest.mark.parametrize(("gpm", "inside"), [(1, 1.0), (100, 3.068), (412, 4.026), (900, 7.981)])
def test_velocity_is_the_handbook_formula(gpm: float, inside: float) -> None:
    """0.4085 gpm / d^2, as handbooks print it."""
    assert velocity(gpm, inside) == pytest.approx(0.4085 * gpm / inside**2, rel=1e-3)


@pytest.mark.parametrize(("nps", "gpm"), [("1", 5), ("2", 40), ("3", 110), ("4", 260), ("8", 1500)])
def test_friction_against_the_fluids_library(nps: str, gpm: float) -> None:
    """Colebrook's factor of the library `fluids` and CoolProp's water at 60 F, against our explicit formula."""
    pipe = steel_pipe(size(nps), "40")
    assert pipe is not None
    bore_m, speed = float(pipe.id) * 0.0254, velocity(gpm, float(pipe.id)) * 0.3048
    kelvin = (60 + 459.67) / 1.8
    viscosity = PropsSI("V", "T", kelvin, "P", 4e5, "Water") / PropsSI("D", "T", kelvin, "P", 4e5, "Water")
    factor = friction_factor(Re=speed * bore_m / viscosity, eD=0.0018 / float(pipe.id))
    feet_in_100 = 100 * factor / bore_m * speed**2 / (2 * 9.80665)
    assert friction(gpm, float(pipe.id), "steel") == pytest.approx(feet_in_100, rel=0.02)


@pytest.mark.parametrize(
    ("nps", "hours", "varies", "cap"),
    [
        ("2-1/2", 2000, False, 120),
        ("3", 4400, True, 210),
        ("4", 4401, False, 210),
        ("6", 8760, True, 680),
        ("12", 1000, True, 3800),
    ],
)
def test_energy_code_caps(nps: str, hours: float, varies: bool, cap: float) -> None:
    """Cells of WAC 51-11C-40337 at the edges of its columns."""
    assert [float(found) for found in flow_caps(size(nps), hours, varies)] == [cap]


@pytest.mark.parametrize("nps", ["2-1/2", "3", "4", "5", "6", "8", "10", "12"])
def test_caps_fall_with_hours_and_rise_with_variable_flow(nps: str) -> None:
    constant, variable = (flow_caps(size(nps), None, varies) for varies in (False, True))
    assert constant == sorted(constant, reverse=True) and variable == sorted(variable, reverse=True)
    assert all(low < high for low, high in zip(constant, variable, strict=True))


@pytest.mark.parametrize(
    ("nps", "low", "high", "inches"),
    [
        ("1", 60, 400, 5),
        ("3/4", 60, 400, 4.5),  # 5 in above 350 F except under NPS 1
        ("1-1/2", 60, 180, 2),
        ("12", 60, 180, 2),  # 2 in on hydronic heating from NPS 1-1/2
        ("12", 44, 80, 1),  # at most 1 in at 40 to 60 F
        ("3/4", 44, 80, 0.5),
        ("8", 35, 80, 1.5),
        ("4", 65, 100, 0),  # between 60 and 105 F: exempt
    ],
)
def test_insulation_against_statements_read(nps: str, low: float, high: float, inches: float) -> None:
    """Statements of the National Insulation Association on ASHRAE 90.1-2010, and the exemption of WAC 51-11C-40328."""
    assert float(least_insulation(size(nps), low, high)) == inches
