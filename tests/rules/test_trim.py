"""Mends of unions, drains and strainers pasted in, and hookups beside the two cases of each rule."""

import pytest
from coilwright import compile_files, compile_text
from coilwright.source.reader import DictReader
from hookups import compiled, hookup
from mends import applied

STRAINER = "ball valve BV-1; union; strainer ST-1; >strainer blowdown; drain 3/4"
BACK = "vent 1/2; control valve TCV-1; union; balancing valve FB-1; drain 3/4; union; ball valve BV-2"


def named(text: str, rule: str) -> list[str]:
    return [f.message for f in compiled(text).findings if f.rule == rule]


@pytest.mark.parametrize(
    ("rule", "text"),
    [
        ("threaded-item-trapped", hookup("ball valve BV-1; strainer ST-1; >plug; drain 3/4", BACK)),
        ("threaded-item-trapped", hookup(STRAINER, "vent 1/2; control valve TCV-1; drain 3/4; ball valve BV-2")),
        ("drain-missing-behind-valve", hookup(STRAINER, BACK.replace("drain 3/4; ", ""))),
        ("small-strainer-without-blowdown", hookup("ball valve BV-1; union; strainer ST-1; drain 3/4", BACK)),
    ],
)
def test_the_line_proposed_mends_it(rule: str, text: str) -> None:
    for _ in range(4):
        found = [f for f in compiled(text).findings if f.rule == rule]
        if not found:
            break
        text = applied(text, found[0].mend)
        assert not compile_text(text).broken
        assert len(named(text, rule)) < len(found)
    assert named(text, rule) == []


def test_one_union_serves_two_neighbours() -> None:
    messages = named(
        hookup("ball valve BV-1; strainer ST-1; >plug; ball valve BV-3; ball valve BV-4", BACK), "threaded-item-trapped"
    )
    assert messages == ["no union beside `BV-1` and `ST-1`", "no union beside `BV-3`"]


def test_a_control_valve_that_fails_open_holds_nothing_back() -> None:
    back = BACK.replace("drain 3/4; ", "").replace("TCV-1", "TCV-1, fails {}")
    assert named(hookup(STRAINER, back.format("open")), "drain-missing-behind-valve") == []
    assert len(named(hookup(STRAINER, back.format("closed")), "drain-missing-behind-valve")) == 1


def test_slow_water_leaves_its_air_and_fast_water_does_not() -> None:
    bare = BACK.replace("vent 1/2; ", "")
    for speed, rule in (("1.5 ft/s", "vent-missing"), ("1.6 ft/s", "vent-left-to-the-flow")):
        text = hookup(STRAINER, bare, coil=f"tube velocity {speed}")
        both = [f.rule for f in compiled(text).findings if f.rule in ("vent-missing", "vent-left-to-the-flow")]
        assert both == [rule]


def test_velocity_in_the_tubes_follows_from_flow_circuits_and_tubes() -> None:
    """0.4085 gpm / d^2 a circuit: 4 gpm in 0.585 in are 4.77 ft/s. Without the wall, 5/8 in: 4.18 ft/s, the slower."""
    bare = BACK.replace("vent 1/2; ", "")
    for said, rule in (
        ("flow 4 gpm; circuits 1; tubes 5/8 in; tube wall 0.020 in", "has no vent: 4.77 ft/s"),
        ("flow 4 gpm; circuits 1; tubes 5/8 in", "has no vent: 4.18 ft/s"),
        ("flow 4 gpm; circuits 3; tubes 5/8 in", "air stays in"),
        ("flow 4 gpm; circuits 1", "air stays in"),
    ):
        found = [f.message for f in compiled(hookup(STRAINER, bare, coil=said)).findings if f.rule.startswith("vent-")]
        assert len(found) == 1 and rule in found[0], found


def test_a_check_valve_is_one_end_of_a_trap() -> None:
    trap = hookup("check valve CV-1; strainer ST-1; drain 3/4", BACK)
    assert len(named(trap, "blocked-in-water-indoors")) == 1
    away = hookup(STRAINER, "vent 1/2; check valve CV-1; balancing valve FB-1")
    assert named(away, "blocked-in-water-indoors") == []


def test_a_wafer_body_says_why_it_opens_nothing() -> None:
    text = hookup(
        "butterfly valve BV-1, wafer; drain 3/4", "vent 1/2; butterfly valve BV-2, lug",
        size="3", end="3 flanged", spec="steel-welded",
    )  # fmt: skip
    direct = text.replace("BV-1, wafer\n        drain 3/4", "BV-1, wafer")
    (finding,) = [f for f in compiled(direct).findings if f.rule == "coil-not-removable"]
    assert "wafer" in finding.message and "`lug`" in finding.help


def test_an_iron_wafer_body_gets_flat_faced_flanges() -> None:
    supply = "butterfly valve BV-1; left; silent check valve CV-1; left; drain 3/4"
    text = hookup(supply, "vent 1/2; butterfly valve BV-2", size="3", end="3 flanged", spec="steel-welded")
    (made,) = compiled(text).hookups
    beside = [j for u, v, j in made.joints() if "CV-1" in (u, v)]
    assert len(beside) == 2
    assert {j.end_a.facing for j in beside} | {j.end_b.facing for j in beside} == {"FF"}
    assert named(text, "flange-faces-differ") == []


def test_flanges_behind_welded_pipe_do_not_let_a_threaded_valve_turn() -> None:
    """NPS 2 in a line of 2-1/2: screwed to nipples that are welded to reducers."""
    back = "vent 1/2; left 14 in; control valve TCV-1, 2; left 24 in; butterfly valve BV-2, lug"
    supply = "butterfly valve BV-1, lug; drain 3/4"
    text = hookup(supply, back, size="2-1/2", end="2-1/2 flanged", spec="steel-welded")
    found = [f for f in compiled(text).findings if f.rule == "threaded-item-trapped"]
    assert [f.message for f in found] == ["no union beside `TCV-1`"]
    assert found[0].mend[0].new == ("union 2",)
    mended = applied(text, found[0].mend)
    assert {f.rule for f in compiled(mended).findings} <= {f.rule for f in compiled(text).findings} - {found[0].rule}


UNSAID = "unit FC-1 is fan-coil, airflow left to right"


def test_only_the_unit_that_does_not_say_its_airflow_is_named() -> None:
    text = hookup(STRAINER, BACK).replace("BV-1", "BV-*1").replace("-1;", "-*1;").replace("BV-2", "BV-*2")
    found = [f for f in compiled(f"{text}unit FC-2 is fan-coil\n").findings if f.rule == "airflow-unsaid"]
    assert [(f.units, f.about) for f in found] == [(("FC-2",), ("FC-2",))]
    assert "right-hand coils" in found[0].message


def test_a_unit_in_full_says_its_airflow_where_its_coils_have_sides() -> None:
    text = hookup(STRAINER, BACK).replace(f"{UNSAID}\n", "")
    full = text.replace("typical fan-coil, drawn with airflow left to right", "unit FC-1")
    found = [f for f in compiled(full).findings if f.rule == "airflow-unsaid"]
    assert [f.units for f in found] == [("FC-1",)]
    assert found[0].mend == ()  # which way the air runs is not in the file
    assert named(full.replace("unit FC-1", "unit FC-1, airflow right to left"), "airflow-unsaid") == []
    sideless = full.replace(" at leaving side", "").replace(" at entering side", "")
    assert named(sideless, "airflow-unsaid") == []


def test_what_a_file_leaves_unsaid_is_not_found_in_another_that_shares_its_typical() -> None:
    shop = hookup(STRAINER, BACK).replace(f"{UNSAID}\n", "").replace("-1;", "-*1;").replace("BV-2", "BV-*2")
    texts = {
        "shop.hookup": shop,
        "one.hookup": 'use "shop.hookup"\nunit FC-1 is fan-coil\n',
        "two.hookup": 'use "shop.hookup"\nunit FC-2 is fan-coil, airflow left to right\n',
        "three.hookup": 'use "shop.hookup"\nunit FC-3 is fan-coil\n',
    }
    made = compile_files(["one.hookup", "two.hookup", "three.hookup"], reader=DictReader(texts))
    found = [(f.span.file, f.units) for f in made.findings if f.rule == "airflow-unsaid"]
    assert found == [("one.hookup", ("FC-1",)), ("three.hookup", ("FC-3",))]
