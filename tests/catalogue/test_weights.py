"""Weights obey physics, and say what they do not know."""

import itertools
from fractions import Fraction

import pytest
from coilwright import compile_text
from coilwright.analysis.weighing import Scales
from coilwright.catalogue.bolting import bolt_set
from coilwright.catalogue.dimensions import steel_pipe
from coilwright.catalogue.flanges import flange
from coilwright.catalogue.fluids import specific_gravity
from coilwright.catalogue.hangers import support
from coilwright.catalogue.library import shipped_spec
from coilwright.catalogue.shapes import (
    Volume,
    bolt_volume,
    cap_volume,
    elbow_volume,
    flange_volume,
    pipe_volume,
    reducer_volume,
    tee_volume,
)
from coilwright.catalogue.weights import insulation_per_foot
from coilwright.model.declared import Service
from coilwright.model.finding import Finding
from coilwright.model.size import SIZES, size
from coilwright.model.table import NOT_IN_TABLES, NOT_MEASURED

FITTINGS = ("elbow", "45", "tee", "cap")


def fitting(what: str, nps: str, wall: str = "STD") -> Volume:
    pipe = steel_pipe(size(nps), wall)
    assert pipe is not None
    found = {
        "elbow": lambda: elbow_volume(pipe, size(nps), 90),
        "45": lambda: elbow_volume(pipe, size(nps), 45),
        "tee": lambda: tee_volume(pipe, size(nps), size(nps)),
        "cap": lambda: cap_volume(pipe, size(nps)),
    }[what]()
    assert found is not None
    return found


@pytest.mark.parametrize("what", FITTINGS)
def test_larger_fittings_hold_more_metal_and_water(what: str) -> None:
    made = [fitting(what, nps.label) for nps in SIZES if size("1") <= nps and steel_pipe(nps, "STD")]
    assert len(made) == 12
    for small, large in itertools.pairwise(made):
        assert small.metal < large.metal
        assert small.bore < large.bore


@pytest.mark.parametrize("what", FITTINGS)
def test_a_thicker_wall_is_heavier_and_holds_less(what: str) -> None:
    thin, thick = fitting(what, "4", "10"), fitting(what, "4", "XS")
    assert thin.metal < thick.metal
    assert thin.bore > thick.bore


def test_two_45s_weigh_about_one_90() -> None:
    assert 2 * fitting("45", "4").metal == pytest.approx(fitting("elbow", "4").metal, rel=0.08)


def test_pipe_weighs_what_its_standard_says() -> None:
    for nps in SIZES:
        pipe = steel_pipe(nps, "40")
        if pipe is not None:
            assert pipe.weight == pytest.approx(pipe_volume(pipe, Fraction(12)).metal * 0.28356, rel=1e-4)


def test_a_reducer_lies_between_pipe_of_its_two_ends() -> None:
    large, small = steel_pipe(size("6"), "STD"), steel_pipe(size("4"), "STD")
    assert large is not None and small is not None
    found = reducer_volume(large, size("6"), size("4"))
    assert found is not None
    length = Fraction(11, 2)
    assert pipe_volume(small, length).metal < found.metal < pipe_volume(large, length).metal


@pytest.mark.parametrize("rating", ["150", "300"])
def test_flanges_are_lighter_than_the_block_they_are_cut_from(rating: str) -> None:
    pipe = steel_pipe(size("4"), "STD")
    dims = flange(size("4"), rating)
    assert pipe is not None and dims is not None
    by = {how: flange_volume(dims, size("4"), how, pipe) for how in ("weld neck", "slip-on", "threaded", "blind")}
    for how, found in by.items():
        assert found is not None, how
        block = 3.1416 / 4 * float(dims.od) ** 2 * found.length
        assert 0 < found.metal < block
    assert by["weld neck"].metal > by["slip-on"].metal  # type: ignore[union-attr]


def test_a_cast_flange_has_no_hub_in_the_tables() -> None:
    pipe, dims = steel_pipe(size("4"), "STD"), flange(size("4"), "125")
    assert pipe is not None and dims is not None
    assert flange_volume(dims, size("4"), "threaded", pipe) is None


def test_longer_studs_weigh_more() -> None:
    dims = flange(size("4"), "150")
    assert dims is not None
    short = bolt_set(dims, dims, "studs", (Fraction(1, 8),), Fraction(0))
    long = bolt_set(dims, dims, "studs", (Fraction(1, 8),), Fraction(2))
    assert short is not None and long is not None
    light, heavy = bolt_volume(short), bolt_volume(long)
    assert light is not None and heavy is not None
    assert light < heavy


def test_insulation_grows_with_thickness_and_density() -> None:
    od = Fraction("4.5")
    assert insulation_per_foot(od, Fraction(1), 4) < insulation_per_foot(od, Fraction(2), 4)
    assert insulation_per_foot(od, Fraction(1), 8) == pytest.approx(2 * insulation_per_foot(od, Fraction(1), 4))


@pytest.mark.parametrize(
    ("nps", "insulation", "clevis"),
    [("4", None, "4"), ("4", "1", "6"), ("4", "2", "8"), ("2", "1", "4"), ("3/4", "1/2", "2"), ("12", "1", None)],
)
def test_a_clevis_goes_round_the_insulation(nps: str, insulation: str | None, clevis: str | None) -> None:
    spec = shipped_spec("steel-welded")
    row = spec.row(size(nps)) if spec is not None else None
    assert row is not None
    found = support(row, size(nps), Fraction(insulation) if insulation else None)
    assert (found.clevis.label if found.clevis else None) == clevis
    assert found.shield is bool(insulation)
    if found.clevis is not None and found.around is not None:
        over = steel_pipe(found.clevis, "STD")
        assert over is not None
        assert over.od >= found.around


def test_what_no_table_gives_is_no_fluid_weight() -> None:
    def service(fluid: str, share: float | None) -> Service:
        return Service("s", fluid, share, "volume", None, None, None, "", None, False, None, ())

    assert specific_gravity(service("water", None)) == 1
    assert specific_gravity(service("steam", None)) is None
    assert specific_gravity(service("propylene glycol", None)) is None
    assert specific_gravity(service("propylene glycol", 0.9)) is None
    rising = [specific_gravity(service("ethylene glycol", percent / 100)) for percent in range(0, 61, 5)]
    assert rising == sorted(rising)  # type: ignore[type-var]
    volume, mass = service("ethylene glycol", 0.3), service("ethylene glycol", 0.3)
    mass = Service("s", "ethylene glycol", 0.3, "mass", None, None, None, "", None, False, None, ())
    assert specific_gravity(volume) > specific_gravity(mass)  # type: ignore[operator]


# -- what a file says -----------------------------------------------------------------------------------------------

HEAD = """service chw
    water
    spec steel-welded
    {service}
{block}
unit AH-1, airflow left to right
    coil CC on chw
        supply low, 4 flanged
        return high, 4 flanged
    supply to CC, 4
        from main CHS
        left 10 ft
        butterfly valve BV-1, lug{item}
        left
    return from CC, 4
        balancing valve FB-1, flanged
        to main CHR
"""


def scales(service: str = "", block: str = "", item: str = "") -> Scales:
    compiled = compile_text(HEAD.format(service=service or "insulate 2 in", block=block, item=item))
    assert [f for f in compiled.findings if f.severity == "error"] == []
    return Scales(compiled.hookups[0])


def found_in(**parts: str) -> list[Finding]:
    parts = {"service": "insulate 2 in", "block": "", "item": "", **parts}
    return [f for f in compile_text(HEAD.format(**parts)).findings if f.severity == "error"]


def test_a_valve_weighs_what_the_file_says_or_nobody_knows() -> None:
    block = "weights of butterfly valve, lug\n    4, 21 lb\n"
    for one, pounds in (
        (scales(), NOT_IN_TABLES),
        (scales(block=block), 21),
        (scales(block=block, item=", weighs 10 kg"), 22.0462),
    ):
        found = one.weigh(one.hookup.component("BV-1")).dry
        assert found == (pounds if pounds is NOT_IN_TABLES else pytest.approx(pounds, abs=1e-3))


def test_weights_of_other_ends_do_not_count() -> None:
    one = scales(block="weights of butterfly valve, wafer\n    4, 15 lb\n")
    assert one.weigh(one.hookup.component("BV-1")).dry is NOT_IN_TABLES


def test_pipe_without_a_length_is_not_measured() -> None:
    one = scales()
    runs = [c for c in one.hookup.components() if c.pipe is not None and c.pipe.moves]
    assert [one.weigh(c).dry for c in runs] == [pytest.approx(107.9, rel=0.02), NOT_MEASURED]


def test_insulation_without_a_density_is_named_once() -> None:
    one = scales()
    total = one.full(one.hookup.components())
    assert [name for name in total.missing if "density is not said" in name] == [
        "insulation of chw: its density is not said"
    ]
    dense = scales(service="insulate 2 in\n    insulation 4 lb per ft3")
    metric = scales(service="insulate 2 in\n    insulation 64.074 kg per m3")
    run = next(c.id for c in dense.hookup.components() if c.pipe is not None)
    pounds = dense.weigh(dense.hookup.component(run)).insulation
    assert pounds == pytest.approx(11.3, rel=0.02)
    assert metric.weigh(metric.hookup.component(run)).insulation == pytest.approx(pounds, rel=1e-4)


@pytest.mark.parametrize(
    ("parts", "rule"),
    [
        ({"item": ", weighs 0 lb"}, "not-positive"),
        ({"item": ", weighs 3 in"}, "not-a-mass"),
        ({"item": ", weighs heavy"}, "quantity-missing"),
        ({"block": "weights of butterfly valve, lug\n    4, 0 lb\n"}, "not-positive"),
        ({"block": "weights of butterfly valve, lug\n    4\n"}, "quantity-missing"),
        ({"block": "weights of butterfly valve, lug\n    4, 12 in\n"}, "not-a-mass"),
        ({"block": "weights of buterfly valve\n    4, 12 lb\n"}, "unknown-kind"),
        ({"block": "weights of butterfly valve, welted\n    4, 12 lb\n"}, "unknown-ends"),
        ({"service": "insulation 4 lb"}, "not-a-density"),
        ({"service": "insulation 0 lb per ft3"}, "not-positive"),
        ({"service": "insulation 4 in per ft3"}, "not-a-mass"),
    ],
)
def test_a_weight_that_is_none_is_found(parts: dict[str, str], rule: str) -> None:
    assert [f.rule for f in found_in(**parts)] == [rule]
