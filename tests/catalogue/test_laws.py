"""Physical laws that a right table cannot break. Each would catch a slip of a digit or a shifted row."""

import itertools
import math
from collections.abc import Sequence
from fractions import Fraction

import pytest
from coilwright.catalogue.dimensions import (
    copper_tube,
    hanger,
    nipple,
    steel_pipe,
    thread_engagement,
    threaded_fitting,
    valve_length,
    weld_cap,
    weld_elbow,
    weld_reducer,
    weld_tee,
)
from coilwright.catalogue.flanges import FlangeDims, bolt, flange, gasket, same_drilling
from coilwright.catalogue.ratings import pressure_rating
from coilwright.catalogue.tables import decimal, inches, table
from coilwright.model.size import SIZES, Size, size

SCHEDULES = ("10", "40", "80", "STD", "XS")
FLANGES = [
    (row["standard"], row["class"], size(row["nps"]), {"ASME B16.24": "bronze"}.get(row["standard"], ""))
    for row in table("flanges")
]


def found_flange(rating: str, nps: Size, metal: str) -> FlangeDims:
    found = flange(nps, rating, metal=metal)
    assert found is not None
    return found


def rising(values: Sequence[Fraction | None], strictly: bool = True) -> bool:
    known = [v for v in values if v is not None]
    return len(known) > 3 and all(a < b if strictly else a <= b for a, b in itertools.pairwise(known))


@pytest.mark.parametrize("schedule", SCHEDULES)
def test_pipe_grows_with_size(schedule: str) -> None:
    pipes = [p for p in (steel_pipe(nps, schedule) for nps in SIZES) if p]
    assert len(pipes) == 16
    assert rising([p.od for p in pipes])
    assert rising([p.id for p in pipes])
    assert rising([p.wall for p in pipes], strictly=False)


def test_walls_grow_with_schedule() -> None:
    for nps in (size(row["nps"]) for row in table("pipe_steel")):
        ten, forty, eighty, std, xs = (steel_pipe(nps, s) for s in SCHEDULES)
        assert ten and forty and eighty and std and xs
        assert ten.wall < forty.wall < eighty.wall
        assert ten.wall < std.wall < xs.wall <= eighty.wall
        assert (std.wall == forty.wall) is (nps != size("12"))
        assert (xs.wall == eighty.wall) is (nps < size("10"))


def test_to_12_in_pipe_is_larger_than_its_nominal_size() -> None:
    for row in table("pipe_steel"):
        pipe = steel_pipe(size(row["nps"]), "40")
        assert pipe is not None
        assert pipe.od > size(row["nps"]).inches


def test_copper_is_an_eighth_over_its_nominal_and_k_is_the_thickest() -> None:
    for row in table("tube_copper"):
        nominal = size(row["nominal"])
        tube = copper_tube(nominal, row["type"])
        assert tube is not None
        assert tube.od == nominal.inches + Fraction(1, 8)
        walls = [t.wall for t in (copper_tube(nominal, kind) for kind in "MLK") if t]
        assert len(walls) > 1
        assert walls == sorted(walls)
        assert len(set(walls)) == len(walls)


def test_copper_weight_fits_its_geometry() -> None:
    # 0.323 lb/in3 x 12 in x pi = 12.18: copper's density
    for row in table("tube_copper"):
        tube = copper_tube(size(row["nominal"]), row["type"])
        assert tube is not None
        assert tube.weight == pytest.approx(12.18 * float((tube.od - tube.wall) * tube.wall), rel=0.0035)


@pytest.mark.parametrize(("angle", "radius"), [(90, "long"), (45, "long"), (90, "short")])
def test_elbows_grow_with_size(angle: int, radius: str) -> None:
    assert rising([weld_elbow(nps, angle, radius) for nps in SIZES], strictly=False)


def test_a_45_elbow_is_at_least_its_arc_and_shorter_than_a_90() -> None:
    for nps in (size(row["nps"]) for row in table("weld_elbows")):
        long_90, long_45 = weld_elbow(nps, 90), weld_elbow(nps, 45)
        assert long_90 and long_45
        assert float(long_90) * math.tan(math.pi / 8) - 0.001 <= float(long_45) < float(long_90)
        short = weld_elbow(nps, 90, "short")
        assert short is None or short < long_90


def test_tees_reach_past_the_wall_of_their_run() -> None:
    for row in table("weld_tees"):
        run, outlet = size(row["run"]), size(row["outlet"])
        tee, straight, pipe, branch = (
            weld_tee(run, outlet),
            weld_tee(run, run),
            steel_pipe(run, "40"),
            steel_pipe(outlet, "40"),
        )
        assert tee and straight and pipe and branch
        assert tee.run == straight.run > branch.od / 2
        assert pipe.od / 2 < tee.outlet <= straight.outlet


def test_a_smaller_outlet_is_never_longer() -> None:
    for run in SIZES:
        outlets = [tee.outlet for tee in (weld_tee(run, outlet) for outlet in SIZES) if tee]
        assert outlets == sorted(outlets)


def test_reducers_join_the_sizes_of_the_reducing_tees() -> None:
    for large in SIZES:
        for small in SIZES:
            if large > small and weld_tee(large, large) and large != size("1/2"):
                assert (weld_reducer(large, small) is None) is (weld_tee(large, small) is None), (large, small)
            if large <= small:
                assert weld_reducer(large, small) is None


def test_reducers_and_caps_grow_with_size() -> None:
    lengths = [inches(row["length_in"]) for row in table("weld_reducers")]
    assert rising(lengths, strictly=False)
    assert rising([weld_cap(nps) for nps in SIZES], strictly=False)
    for row in table("weld_caps"):
        pipe, cap = steel_pipe(size(row["nps"]), "XS"), weld_cap(size(row["nps"]))
        assert pipe and cap
        assert cap > pipe.id / 4 + pipe.wall  # deeper than the 2:1 ellipsoid it ends in


@pytest.mark.parametrize("standard", ["ASME B16.3", "ASME B16.11"])
def test_threaded_fittings_hold_the_pipe_that_goes_in(standard: str) -> None:
    for shape in ("elbow_90", "elbow_45", "tee", "coupling"):
        assert rising([threaded_fitting(standard, shape, nps) for nps in SIZES])
    for row in table("threaded_fittings"):
        nps = size(row["nps"])
        thread = thread_engagement(nps)
        elbow, half, tee, coupling = (
            threaded_fitting(row["standard"], s, nps) for s in ("elbow_90", "elbow_45", "tee", "coupling")
        )
        assert thread and elbow and half
        assert thread.makeup < half < elbow == tee
        assert coupling is None or coupling > 2 * thread.makeup


def test_threads_engage_between_hand_tight_and_effective() -> None:
    for row in table("npt_engagement"):
        thread = thread_engagement(size(row["nps"]))
        assert thread is not None
        wrench = decimal(row["l3_turns"]) / thread.threads_per_inch
        assert thread.hand_tight < thread.makeup < thread.effective
        assert thread.makeup <= thread.hand_tight + wrench + Fraction(1, 16)  # the trade's table reads sixteenths


def test_a_close_nipple_is_two_threads_long() -> None:
    for row in table("nipples"):
        found, thread = nipple(size(row["nps"])), thread_engagement(size(row["nps"]))
        assert found and thread
        assert 2 * thread.effective <= found.close < found.short


@pytest.mark.parametrize(("standard", "rating", "nps", "metal"), FLANGES, ids=str)
def test_a_flange_fits_its_bolts(standard: str, rating: str, nps: Size, metal: str) -> None:
    one = found_flange(rating, nps, metal)
    assert one.standard == standard
    dims, pipe = bolt(one.bolt), steel_pipe(nps, "40")
    assert dims and pipe
    assert one.hole == one.bolt + Fraction(1, 8)
    assert one.bolts % 4 == 0
    corner = float(dims.nut_flats) * 2 / math.sqrt(3)
    assert float(one.bolt_circle) * math.sin(math.pi / one.bolts) > corner  # nuts pass each other
    # The nut stands inside the rim, but for a sixteenth (class 300 NPS 4 and the like have it flush).
    assert one.od - one.bolt_circle >= dims.nut_flats - Fraction(1, 16)
    assert one.bolt_circle - one.hole > pipe.od
    if one.face_dia is not None:
        assert pipe.od < one.face_dia < one.bolt_circle - one.hole + Fraction(1, 16)
    for _, hub in one.hubs:
        assert hub > one.thickness
    hubs = dict(one.hubs)
    if "weld neck" in hubs:
        assert hubs["weld neck"] > hubs["slip-on"]
    if one.stud:
        assert one.stud > 2 * (one.thickness + one.face) + Fraction(1, 8) + 2 * dims.nut_height
    if one.machine_bolt:
        assert one.machine_bolt > 2 * (one.thickness + one.face) + dims.nut_height


@pytest.mark.parametrize(("rating", "metal"), [("150", ""), ("300", ""), ("125", ""), ("150", "bronze")])
def test_flanges_grow_with_size(rating: str, metal: str) -> None:
    found = [f for f in (flange(nps, rating, metal=metal) for nps in SIZES) if f]
    assert rising([f.od for f in found])
    assert rising([f.bolt_circle for f in found])
    assert rising([f.thickness for f in found], strictly=False)
    assert rising([f.hole for f in found if f.bolts > 4], strictly=False)


def test_class_300_is_the_stouter() -> None:
    for nps in (size(row["nps"]) for row in table("flanges") if row["class"] == "300"):
        light, heavy = found_flange("150", nps, ""), found_flange("300", nps, "")
        assert light.od < heavy.od
        assert light.thickness < heavy.thickness
        assert same_drilling(nps, "150", "300") is False
        assert same_drilling(nps, "125", "150") is True


def test_iron_and_bronze_are_drilled_as_class_150() -> None:
    for _, rating, nps, metal in FLANGES:
        if rating == "125" or metal:
            assert found_flange(rating, nps, metal).drilling == found_flange("150", nps, "").drilling


@pytest.mark.parametrize("rating", ["150", "300"])
def test_a_ring_gasket_lies_inside_the_bolts_and_around_the_bore(rating: str) -> None:
    for nps in (size(row["nps"]) for row in table("gaskets") if row["class"] == rating):
        ring, over, pipe = gasket(nps, rating), flange(nps, rating), steel_pipe(nps, "40")
        assert ring and over and pipe
        assert abs(ring.outside - (over.bolt_circle - over.bolt)) <= Fraction(1, 64)
        assert abs(ring.inside - pipe.od) <= Fraction(1, 50)
        assert over.face_dia is not None
        assert ring.outside > over.face_dia  # the bolts centre it, and it covers the whole face


def test_nuts_and_heads_by_their_rules() -> None:
    for row in table("bolting"):
        found = bolt(decimal(row["bolt_in"]))
        assert found is not None
        assert decimal(row["bolt_in"]) == decimal(row["bolt"])
        assert found.nut_flats == Fraction(3, 2) * decimal(row["bolt"]) + Fraction(1, 8)
        assert 0 < decimal(row["bolt"]) - found.nut_height < Fraction(1, 31)
        assert found.head_height < found.nut_height
        assert found.washer < found.head_height


def test_valves_grow_with_size_and_millimetres_agree() -> None:
    kinds = {(row["valve"], row["ends"], row["class"]) for row in table("valve_lengths")}
    assert len(kinds) == 10
    for valve, ends, rating in kinds:
        assert rising([valve_length(valve, ends, rating, nps) for nps in SIZES], strictly=False)
    for row in table("valve_lengths"):
        length = valve_length(row["valve"], row["ends"], row["class"], size(row["nps"]))
        assert length is not None
        if row["length_mm"]:
            assert float(length) * 25.4 == pytest.approx(float(row["length_mm"]), abs=1.0)
        if row["valve"] == "globe":
            gate = valve_length("gate", "flange", row["class"], size(row["nps"]))
            assert gate and gate < length
        if row["valve"] == "butterfly lug":
            assert length == valve_length("butterfly wafer", "wafer", "150", size(row["nps"]))


def test_valves_that_share_a_length() -> None:
    """ASME B16.10: short ball as gate, long ball too to NPS 4; iron swing check as iron globe; gates of 125 as 150."""
    for nps in SIZES:
        gate = valve_length("gate", "flange", "150", nps)
        assert valve_length("ball short", "flange", "150", nps) in (None, gate)
        if nps <= size("4"):
            assert valve_length("ball long", "flange", "150", nps) == gate
        assert valve_length("gate", "flange", "125", nps) in (None, gate)
        assert valve_length("swing check", "flange", "125", nps) == valve_length("globe", "flange", "125", nps)


@pytest.mark.parametrize("material", ["steel", "copper"])
def test_bigger_pipe_hangs_farther_apart_on_thicker_rods(material: str) -> None:
    found = [h for h in (hanger(material, nps) for nps in SIZES) if h]
    assert len(found) == 14
    assert rising([h.span_ft for h in found], strictly=False)
    assert rising([h.rod for h in found], strictly=False)


def test_ratings_fall_with_heat_and_rise_with_class() -> None:
    for rating in ("150", "300"):
        psi = [pressure_rating("ASME B16.5", rating, t) for t in (0, 150, 250)]
        assert psi == sorted((p for p in psi if p), reverse=True)
        assert len(set(psi)) == 3
    for deg_f in (0, 150, 250):
        light, heavy = (pressure_rating("ASME B16.5", c, deg_f) for c in ("150", "300"))
        assert light and heavy and light < heavy
