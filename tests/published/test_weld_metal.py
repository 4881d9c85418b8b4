"""Weld metal against a printed table of pounds a foot, and against pounds a joint worked out elsewhere."""

import csv
import math
from fractions import Fraction
from pathlib import Path

import pytest
from coilwright.catalogue.dimensions import steel_pipe
from coilwright.catalogue.tables import decimal, table
from coilwright.catalogue.welding import Groove, cap_volume, density, deposition, groove_volume
from coilwright.model.size import size

DATA = Path(__file__).parent / "data"
#: A pipe so large that its wall is as good as flat.
PLATE = Fraction(10**6)
SIXTEENTH = Fraction(1, 16)
#: For 7/16 in the page has these, where its own formula gives 0.093 and 0.135.
SLIPS = {("7/16", "gap", "1/16"): 0.091, ("7/16", "bevel", "22.5"): 0.129}


def rows(name: str) -> list[dict[str, str]]:
    lines = (DATA / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def pounds_a_foot(cut: Groove) -> float:
    steel = density("carbon steel")
    assert steel is not None
    around = math.pi * float(PLATE - cut.wall)
    return groove_volume(PLATE, cut) / around * 12 * steel


def test_pounds_a_foot_as_printed() -> None:
    """To a unit of the last printed place: the page rounds its halves either way."""
    agreed, slips = 0, {}
    for row in rows("weld_metal_per_foot.csv"):
        plate = decimal(row["plate_in"])
        none = Fraction(0)
        gap = decimal(row["gap_in"]) if row["part"] == "gap" else none
        bevels = (decimal(row["bevel_deg"]), none) if row["part"] == "bevel" else (none, none)
        ours = pounds_a_foot(Groove(plate, bevels, none, gap, none))
        if abs(ours - float(row["printed"])) <= 0.00101:
            agreed += 1
        else:
            slips[row["plate_in"], row["part"], row["gap_in"] or row["bevel_deg"]] = float(row["printed"])
    assert (agreed, slips) == (33, SLIPS)


@pytest.mark.parametrize("row", rows("weld_metal_per_joint.csv"), ids=lambda r: "-".join(r.values()))
def test_pounds_a_joint(row: dict[str, str]) -> None:
    bevel = decimal(row["bevel_deg"])
    (od,) = {decimal(r["od_in"]) for r in table("pipe_steel") if r["nps"] == row["nps"]}
    cut = Groove(decimal(row["wall_in"]), (bevel, bevel), SIXTEENTH, decimal(row["gap_in"]), SIXTEENTH)
    steel = density("carbon steel")
    assert steel is not None
    metal = steel * (groove_volume(od, cut) + cap_volume(od, cut))
    assert metal == pytest.approx(float(row["metal_lb"]), abs=0.00051)
    for process, printed in (("stick", row["stick_lb"]), ("solid wire", row["wire_lb"])):
        share = deposition()[process]
        assert share is not None
        assert metal / share == pytest.approx(float(printed), abs=0.00051)


def test_the_joints_are_those_of_our_pipe() -> None:
    walls = {(row["nps"], decimal(row["wall_in"])) for row in rows("weld_metal_per_joint.csv")}
    ours = {
        (nps, pipe.wall) for nps, _ in walls for s in ("STD", "XS", "40", "80") if (pipe := steel_pipe(size(nps), s))
    }
    assert len(walls) >= 20 and walls <= ours


#: Hub and bore of slip-on flanges in millimetres, of the edition of 2009 (key bdw), by class and NPS.
HUBS_MM = {
    "150": "1/2 30 22.2,3/4 38 27.7,1 49 34.5,1-1/4 59 43.2,1-1/2 65 49.5,2 78 61.9,2-1/2 90 74.6,3 108 90.7,"
    "3-1/2 122 103.4,4 135 116.1,5 164 143.8,6 192 170.7,8 246 221.5,10 305 276.2,12 365 327.0",
    "300": "1/2 38 22.2,3/4 48 27.7,1 54 34.5,1-1/4 64 43.2,1-1/2 70 49.5,2 84 61.9,2-1/2 100 74.6,3 117 90.7,"
    "3-1/2 133 103.4,4 146 116.1,5 178 143.8,6 206 170.7,8 260 221.5,10 321 276.2,12 375 327.0",
}


@pytest.mark.parametrize("rating", HUBS_MM)
def test_hubs_of_slip_on_flanges_in_millimetres(rating: str) -> None:
    ours = {row["nps"]: row for row in table("slip_on_hubs") if row["class"] == rating}
    theirs = [entry.split() for entry in HUBS_MM[rating].split(",")]
    assert [nps for nps, _, _ in theirs] == list(ours)
    for nps, hub, bore in theirs:
        assert float(decimal(ours[nps]["hub_in"])) * 25.4 == pytest.approx(float(hub), abs=0.65)
        assert float(decimal(ours[nps]["bore_in"])) * 25.4 == pytest.approx(float(bore), abs=0.2)
