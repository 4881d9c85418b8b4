"""How bolts are chosen, and that lengths follow what is clamped."""

import inspect
import re
from fractions import Fraction

import pytest
from coilwright.catalogue import bolting
from coilwright.catalogue.bolting import (
    Clamped,
    bolt_set,
    cap_screw_length,
    kit_washers,
    lug_screws,
    machine_bolt_length,
    stud_length,
)
from coilwright.catalogue.dimensions import (
    copper_tube,
    hanger,
    nipple,
    steel_pipe,
    threaded_fitting,
    valve_length,
    weld_cap,
)
from coilwright.catalogue.flanges import (
    FlangeDims,
    flange,
    flange_standard,
    gasket,
    same_drilling,
)
from coilwright.catalogue.ratings import pressure_rating
from coilwright.catalogue.tables import table
from coilwright.model.size import Size, size
from hypothesis import given
from hypothesis import strategies as st

EIGHTH = Fraction(1, 8)
THICK = st.fractions(min_value=Fraction(1, 4), max_value=3, max_denominator=16)
DIAMETER = st.sampled_from([Fraction(n, 8) for n in range(4, 11)])


def dims(nps: str, rating: str, facing: str = "", metal: str = "") -> FlangeDims:
    found = flange(size(nps), rating, facing, metal)
    assert found is not None
    return found


@given(a=THICK, b=THICK, d=DIAMETER, body=THICK)
def test_a_length_is_a_quarter_step_that_covers_its_terms(
    a: Fraction, b: Fraction, d: Fraction, body: Fraction
) -> None:
    found = stud_length([Clamped(a), Clamped(b)], [EIGHTH, EIGHTH], d, body)
    assert (found.length * 4).denominator == 1
    assert -Fraction(1, 64) <= found.length - found.needed < Fraction(1, 4)
    assert found.needed == sum(inches for _, inches in found.terms)
    assert found == stud_length([Clamped(b), Clamped(a)], [EIGHTH, EIGHTH], d, body)._replace(terms=found.terms)


@given(a=THICK, d=DIAMETER, body=THICK)
def test_a_body_between_adds_its_length_and_a_gasket(a: Fraction, d: Fraction, body: Fraction) -> None:
    plain = stud_length([Clamped(a)] * 2, [EIGHTH], d)
    wafer = stud_length([Clamped(a)] * 2, [EIGHTH] * 2, d, body)
    assert wafer.needed - plain.needed == body + EIGHTH


@given(a=THICK, d=DIAMETER)
def test_a_machine_bolt_has_one_nut_and_a_point(a: Fraction, d: Fraction) -> None:
    stud, bolt_ = stud_length([Clamped(a)] * 2, [EIGHTH], d), machine_bolt_length([Clamped(a)] * 2, [EIGHTH], d, 10)
    assert stud.needed - bolt_.needed == d - Fraction(3, 20)


@given(a=THICK, d=DIAMETER, body=THICK, face=st.sampled_from([Fraction(0), Fraction(1, 16)]))
def test_screws_hold_by_a_diameter_and_do_not_meet(a: Fraction, d: Fraction, body: Fraction, face: Fraction) -> None:
    found = cap_screw_length(Clamped(a, face), Fraction(0), d, body)
    if found.length is None or found.engagement is None:
        assert found.why_not
        # nothing of a quarter inch lies in the window
        low, high = a + face + d, a + face + body / 2 - Fraction(1, 16)
        steps = [Fraction(n, 4) for n in range(1, 60)]
        assert not [step for step in steps if low <= step <= high]
    else:
        assert found.engagement >= d
        assert 2 * found.engagement < body
        assert found.length == a + face + found.engagement


@pytest.mark.parametrize("nps", ["1-1/2", "2", "2-1/2", "3", "4", "5", "6", "8", "10", "12"])
def test_every_resilient_lug_valve_of_the_tables_takes_stock_screws(nps: str) -> None:
    body = valve_length("butterfly lug", "lug", "150", size(nps))
    assert body is not None
    found = lug_screws(dims(nps, "150"), Fraction(0), body)
    assert found is not None
    assert found.length is not None
    assert found.number == dims(nps, "150").bolts
    assert found.nuts == 0


def test_a_lug_too_thin_says_why() -> None:
    found = lug_screws(dims("2", "150"), EIGHTH, Fraction(5, 4))
    assert found is not None
    assert found.length is None
    assert "no quarter inch lies between" in found.why_not


def test_studs_of_a_plain_joint() -> None:
    found = bolt_set(dims("4", "150"), dims("4", "150"), "studs", [EIGHTH])
    assert found is not None
    assert (found.number, found.diameter, found.dims.thread, found.nuts) == (8, Fraction(5, 8), "5/8-11 UNC", 2)
    assert found.length == Fraction(7, 2)
    assert "ASME B16.5" in found.source


def test_eight_thread_series_over_an_inch() -> None:
    found = bolt_set(dims("12", "300"), dims("12", "300"), "studs", [EIGHTH])
    assert found is not None
    assert found.dims.thread == "1-1/8-8 UN"


def test_the_printed_length_is_only_for_its_own_joint() -> None:
    steel, iron = dims("5", "300"), dims("5", "125")
    for gaskets, body, washers in (
        ([EIGHTH], Fraction(2), ()),
        ([EIGHTH], Fraction(0), kit_washers()),
        ([], Fraction(0), ()),
        ([Fraction(3, 16)], Fraction(0), ()),
    ):
        found = bolt_set(steel, steel, "machine bolts", gaskets, body, washers)
        assert found is not None
        assert found.source.startswith(bolting.METHOD)
        assert ("from memory" in found.source) == bool(washers)
    assert bolt_set(steel, iron, "studs", [EIGHTH]) is None


def test_studs_through_an_insulating_kit() -> None:
    """By hand, class 150 NPS 4: 2 x (0.875 + 0.12 + 0.0625) + 0.125 + 2 x 0.625 = 3.49, and 2 x (1/8 + 1/8) more."""
    plain = stud_length([Clamped(Fraction(7, 8), Fraction(1, 16))] * 2, [EIGHTH], Fraction(5, 8))
    kit = stud_length([Clamped(Fraction(7, 8), Fraction(1, 16))] * 2, [EIGHTH], Fraction(5, 8), washers=kit_washers())
    assert (float(plain.needed), float(kit.needed)) == (3.49, 3.99)
    assert (plain.length, kit.length) == (Fraction(7, 2), Fraction(4))
    assert [name for name, _ in kit.terms].count("insulating washer") == 2
    assert [name for name, _ in kit.terms].count("steel washer") == 2


def test_washers_of_a_kit_take_from_the_engagement_of_a_screw_or_lengthen_it() -> None:
    body = Fraction(33, 16)
    plain = cap_screw_length(Clamped(Fraction(7, 8), Fraction(1, 16)), Fraction(0), Fraction(5, 8), body)
    kit = cap_screw_length(Clamped(Fraction(7, 8), Fraction(1, 16)), Fraction(0), Fraction(5, 8), body, kit_washers())
    assert (plain.length, plain.engagement) == (Fraction(7, 4), Fraction(13, 16))
    assert (kit.length, kit.engagement) == (Fraction(2), Fraction(13, 16))


def test_steel_faced_off_against_iron() -> None:
    steel, iron = dims("4", "150", "FF"), dims("4", "125")
    assert steel.face == 0
    assert steel.stud is None
    found = bolt_set(steel, iron, "studs", [EIGHTH])
    assert found is not None
    # worked by hand: 7/8 + 15/16 + 2 x 0.12 + 1/8 + 2 x 5/8 = 3.4275
    assert float(found.needed) == pytest.approx(3.4275)
    assert found.length == Fraction(7, 2)


def test_a_wafer_between_two_flanges() -> None:
    one = dims("4", "150")
    found = bolt_set(one, one, "studs", [], Fraction(33, 16))
    assert found is not None
    # worked by hand: 2 (7/8 + 1/16 + 0.12 + 5/8) + 2-1/16 = 5.4275
    assert float(found.needed) == pytest.approx(5.4275)
    assert found.length == Fraction(11, 2)


def test_other_bolts_are_our_bug() -> None:
    with pytest.raises(ValueError, match="nails"):
        bolt_set(dims("4", "150"), dims("4", "150"), "nails", [])


def test_iron_and_bronze_follow_their_own_standards() -> None:
    assert flange_standard("125", "iron") == "ASME B16.1"
    assert flange_standard("150", "bronze") == "ASME B16.24"
    assert flange_standard("150", "carbon steel") == "ASME B16.5"
    assert dims("2", "150", metal="bronze").facing == "FF"


def test_an_iron_flange_is_never_given_a_raised_face() -> None:
    assert flange(size("4"), "125", "RF") is None


def test_full_face_gaskets() -> None:
    full, ring = gasket(size("4"), "125", "full face"), gasket(size("4"), "150")
    assert full and ring
    assert (full.outside, full.holes) == (9, 8)
    assert ring.holes == 0
    assert full.inside == ring.inside
    assert gasket(size("4"), "300", "full face") is None


ABSENT: list[tuple[object, str]] = [
    (steel_pipe(size("3-1/2"), "40"), "pipe 3-1/2"),
    (steel_pipe(size("4"), "160"), "schedule 160"),
    (copper_tube(size("1/4"), "M"), "type M 1/4"),
    (weld_cap(size("3/8")), "cap 3/8"),
    (threaded_fitting("ASME B16.3", "coupling", size("6")), "coupling 6"),
    (threaded_fitting("ASME B16.3", "union", size("2")), "union"),
    (threaded_fitting("ASME B16.99", "tee", size("2")), "unknown standard"),
    (nipple(size("12")), "nipple 12"),
    (valve_length("globe", "flange", "300", size("2")), "class 300 globe"),
    (valve_length("ball short", "flange", "150", size("2")), "short ball 2"),
    (hanger("steel", size("1/4")), "hanger 1/4"),
    (flange(size("4"), "250"), "class 250"),
    (gasket(size("3-1/2"), "150"), "gasket 3-1/2"),
    (same_drilling(size("1/4"), "125", "150"), "drilling 1/4"),
    (pressure_rating("ASME B16.5", "150", 301), "too hot"),
    (pressure_rating("ASME B16.5", "150", -30), "too cold"),
]


@pytest.mark.parametrize(("found", "what"), ABSENT, ids=[what for _, what in ABSENT])
def test_what_is_not_in_the_tables_is_none(found: object, what: str) -> None:
    assert found is None, what


def test_copper_rod_that_was_not_printed_stays_unknown() -> None:
    found = hanger("copper", size("5"))
    assert found is not None
    assert found.rod is None


def test_classes_drilled_alike() -> None:
    for row in table("flanges"):
        nps: Size = size(row["nps"])
        assert same_drilling(nps, "150", "125")
        assert same_drilling(nps, "250", "300")
        assert same_drilling(nps, "125", "300") is False


@pytest.mark.parametrize("function", [stud_length, machine_bolt_length, cap_screw_length, bolt_set, lug_screws])
def test_docstrings_name_every_parameter_with_its_unit(function: object) -> None:
    doc = inspect.getdoc(function) or ""
    section = doc.split("Parameters\n----------\n")[1].split("\n\n")[0]
    assert re.findall(r"^(\w+) :", section, re.M) == list(inspect.signature(function).parameters)  # type: ignore[arg-type]
    lengths = re.findall(r"^\w+ : .*Fraction\n((?:    .*\n?)+)", section, re.M)
    assert lengths
    assert all("[in]" in text for text in lengths)
