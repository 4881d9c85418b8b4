"""Mends of unions, drains and strainers pasted in, and hookups beside the two cases of each rule."""

import pytest
from coilwright import compile_text
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
