"""Weights of fittings and fluids against what others print."""

import csv
from fractions import Fraction
from pathlib import Path

import CoolProp.CoolProp as coolprop
import pytest
from coilwright.catalogue.dimensions import steel_pipe
from coilwright.catalogue.flanges import flange
from coilwright.catalogue.fluids import specific_gravity
from coilwright.catalogue.shapes import elbow_volume, flange_volume, pipe_volume, reducer_volume, tee_volume
from coilwright.catalogue.tables import table
from coilwright.model.declared import Service
from coilwright.model.size import size

STEEL = float(next(row["lb_per_in3"] for row in table("densities") if row["metal"] == "carbon steel"))
KILOGRAM = 1 / 0.45359237


def printed(what: str, source: str) -> list[tuple[str, str, float]]:
    lines = (Path(__file__).parent / "data/fitting_weights.csv").read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return [
        (row["nps"], row["wall_or_class"], float(row["printed"]))
        for row in rows
        if (row["what"], row["source"]) == (what, source)
    ]


def elbow(nps: str, wall: str) -> float:
    pipe = steel_pipe(size(nps), wall)
    assert pipe is not None
    found = elbow_volume(pipe, size(nps), 90)
    assert found is not None
    return found.metal * STEEL


def weigh_flange(nps: str, rating: str, attached: str) -> float:
    pipe, dims = steel_pipe(size(nps), "STD"), flange(size(nps), rating)
    assert pipe is not None
    assert dims is not None
    found = flange_volume(dims, size(nps), attached, pipe)
    assert found is not None
    return found.metal * STEEL


@pytest.mark.parametrize(
    ("source", "count", "lightest", "heaviest"), [("cat447", 39, -0.02, 0.07), ("cnk", 26, -0.01, 0.23)]
)
def test_elbows_against_two_fitting_makers(source: str, count: int, lightest: float, heaviest: float) -> None:
    rows = printed("elbow", source)
    assert len(rows) == count
    for nps, wall, pounds in rows:
        assert lightest < pounds / elbow(nps, wall) - 1 < heaviest, (nps, wall)


@pytest.mark.parametrize("attached", ["weld neck", "slip-on", "blind"])
def test_class_300_flanges_against_a_printed_list(attached: str) -> None:
    """Within 4.2 %, or half of the tenth of a pound to which they are printed."""
    rows = printed(attached, "zaffer")
    assert len(rows) == 7
    for nps, rating, pounds in rows:
        assert weigh_flange(nps, rating, attached) == pytest.approx(pounds, rel=0.042, abs=0.05), nps


def test_class_150_weld_necks_against_whole_kilograms() -> None:
    """Within 7 % of the half kilogram on each side that rounding leaves open."""
    rows = printed("weld neck", "asmewn")
    assert len(rows) == 10
    for nps, rating, kilograms in rows:
        found = weigh_flange(nps, rating, "weld neck") / KILOGRAM
        assert (kilograms - 0.5) * 0.93 < found < (kilograms + 0.5) * 1.07, nps


@pytest.mark.parametrize("nps", ["1", "2", "3", "4", "6", "8", "10", "12"])
def test_straight_tees_against_a_makers_formula(nps: str) -> None:
    """0.02466 (S + 1.5) (D - S - 1.5) (3 C - D / 2) / 1000 kg, millimetres: `hitesh`."""
    pipe = steel_pipe(size(nps), "STD")
    centre = next(row for row in table("weld_tees") if row["run"] == row["outlet"] == nps)
    assert pipe is not None
    wall, outside, reach = (25.4 * float(v) for v in (pipe.wall, pipe.od, centre["run_in"]))
    kilograms = 0.02466 * (wall + 1.5) * (outside - wall - 1.5) * (3 * reach - outside / 2) / 1000
    found = tee_volume(pipe, size(nps), size(nps))
    assert found is not None
    assert found.metal * STEEL == pytest.approx(kilograms * KILOGRAM, rel=0.01)


def test_a_reducer_against_a_makers_formula() -> None:
    """6 x 4, two sizes down: 94 % of 0.02466 S (D - S) H / 1000 kg, millimetres: `hitesh`."""
    pipe = steel_pipe(size("6"), "STD")
    assert pipe is not None
    kilograms = 0.94 * 0.02466 * 7.11 * (168.3 - 7.11) * 140 / 1000
    found = reducer_volume(pipe, size("6"), size("4"))
    assert found is not None
    assert found.metal * STEEL == pytest.approx(kilograms * KILOGRAM, rel=0.01)


@pytest.mark.parametrize(("nps", "pounds"), [("2", 1.45), ("4", 5.52), ("6", 12.52), ("12", 49.0)])
def test_water_in_pipe_against_a_handbook(nps: str, pounds: float) -> None:
    """Water in a foot of STD pipe as engineering tables print it (62.4 lb per cubic foot)."""
    pipe = steel_pipe(size(nps), "STD")
    assert pipe is not None
    assert pipe_volume(pipe, Fraction(12)).bore * 0.036126 == pytest.approx(pounds, rel=0.005)


def service(fluid: str, share: float | None, basis: str = "volume") -> Service:
    return Service("s", fluid, share, basis, None, None, None, "", None, False, None, ())


@pytest.mark.parametrize(("glycol", "code"), [("ethylene", "AEG"), ("propylene", "APG")])
@pytest.mark.parametrize("percent", [10, 25, 40, 55])
def test_glycol_density_against_coolprop(glycol: str, code: str, percent: int) -> None:
    kelvin = (40 - 32) / 1.8 + 273.15
    theirs = coolprop.PropsSI("D", "T", kelvin, "P", 3e5, f"INCOMP::{code}[{percent / 100}]")
    assert specific_gravity(service(f"{glycol} glycol", percent / 100)) == pytest.approx(theirs / 1000, rel=0.001)
