"""Shutoffs on both legs, and joints that let the coil out with the mains full."""

import pytest
from hookups import compiled, found_by, hookup

RULES = ("coil-not-isolated", "coil-not-removable")
SERVED = ("drain 3/4", "vent 1/2")
#: The library's welded spec puts flanges at coils by itself; this one makes them up solid, so that only what the file
#: says can be opened.
SOLID = "shop-welded\n\nspec shop-welded, like steel-welded\n    coil connections made up solid"


def faults(supply: str, back: str, **more: str) -> list[str]:
    return found_by(hookup(supply, back, **more), RULES)  # type: ignore[arg-type]


def large(supply: str, back: str) -> list[str]:
    return faults(supply, back, size="4", end="4 butt weld", spec=SOLID)


def small(supply: str, back: str) -> list[str]:
    spec = SOLID.replace("shop-welded", "shop-soldered").replace("steel-welded", "copper-soldered")
    return faults(supply, back, size="3/4", end="3/4 solder", spec=spec, coil="headers copper")


CASES = {
    "lug body next to the coil": (large, "butterfly valve BV-1, lug; {d}", "{v}; butterfly valve BV-2, lug", []),
    "wafer body next to the coil": (
        large,
        "butterfly valve BV-1, wafer; {d}",
        "{v}; butterfly valve BV-2, lug",
        ["coil-not-removable"],
    ),
    "wafer body, but a flanged strainer between it and the coil": (
        large,
        "butterfly valve BV-1, wafer; strainer ST-1, flanged; strainer ST-2, flanged; {d}",
        "{v}; butterfly valve BV-2, lug",
        [],
    ),
    "gate valves with flanges": (large, "gate valve GV-1, flanged; {d}", "{v}; gate valve GV-2, flanged", []),
    "soldered all the way": (
        small,
        "ball valve BV-1, solder; {d}",
        "{v}; ball valve BV-2, solder",
        ["coil-not-removable", "coil-not-removable"],
    ),
    "unions": (small, "ball valve BV-1, solder; {d}; union", "union; {v}; ball valve BV-2, solder", []),
    "union on the main side of the shutoff": (
        small,
        "union; ball valve BV-1, solder; {d}",
        "union; {v}; ball valve BV-2, solder",
        ["coil-not-removable"],
    ),
    "a control valve is no shutoff": (
        small,
        "ball valve BV-1, solder; {d}; union",
        "union; {v}; control valve TCV-1",
        ["coil-not-isolated"],
    ),
    "a check valve is no shutoff": (
        small,
        "check valve CV-1, solder; {d}; union",
        "union; {v}; ball valve BV-2, solder",
        ["coil-not-isolated"],
    ),
    "a balancing valve is no shutoff": (
        small,
        "ball valve BV-1, solder; {d}; union",
        "union; {v}; balancing valve FB-1, solder",
        ["coil-not-isolated"],
    ),
    "the valve of a drain is no shutoff of its leg": (
        small,
        "{d}; union",
        "union; {v}; ball valve BV-2, solder",
        ["coil-not-isolated"],
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_isolation_and_removal(case: str) -> None:
    make, supply, back, expected = CASES[case]
    drain, vent = SERVED
    assert make(supply.format(d=drain), back.format(v=vent)) == expected


def test_two_coils_on_one_pair_of_shutoffs_see_each_other() -> None:
    more = (
        "coil HC on chilled-water; >supply low, 3/4 male thread; >return high, 3/4 male thread; "
        "branch from T-1 to HC supply, 3/4; {0}branch from HC return to T-2, 3/4{1}"
    )
    legs = ("ball valve BV-1; drain 3/4; tee T-1, 3/4", "vent 1/2; tee T-2, 3/4; ball valve BV-2")
    shared = hookup(*legs, more=more.format("", ""))
    assert found_by(shared, (*RULES, "coils-share-shutoffs")) == ["coils-share-shutoffs"]
    own = hookup(*legs, more=more.format(">ball valve BV-3; ", "; >ball valve BV-4"))
    # HC has its own on both legs; what shuts CC off takes HC down too.
    assert found_by(own, (*RULES, "coils-share-shutoffs")) == ["coils-share-shutoffs"]
    legs = (
        "ball valve BV-1; tee T-1, 3/4; ball valve BV-5; drain 3/4",
        "vent 1/2; ball valve BV-6; tee T-2, 3/4; ball valve BV-2",
    )
    both = hookup(*legs, more=more.format(">ball valve BV-3; ", "; >ball valve BV-4"))
    # With shutoffs of its own on both its legs, neither coil sees the other.
    assert found_by(both, (*RULES, "coils-share-shutoffs")) == []


def test_a_bypass_around_the_shutoff_opens_the_coil_to_the_main() -> None:
    legs = ("tee T-1, 3/4; ball valve BV-1; drain 3/4; tee T-2, 3/4", "vent 1/2; ball valve BV-2")
    around = hookup(*legs, more="bypass from T-1 to T-2, 3/4; >balancing valve FB-1")
    assert found_by(around, RULES) == ["coil-not-isolated"]
    finding = next(f for f in compiled(around).findings if f.rule == "coil-not-isolated")
    assert "CWS" in finding.message
    shut = hookup(*legs, more="bypass from T-1 to T-2, 3/4; >ball valve BV-3")
    assert found_by(shut, RULES) == []


def test_three_way_bypass_between_the_shutoffs_leaves_the_coil_isolated() -> None:
    text = hookup(
        "ball valve BV-1; tee T-1, 3/4; drain 3/4",
        "vent 1/2; three-way control valve TCV-1; ball valve BV-2",
        more="bypass from T-1 to TCV-1, 3/4; >balancing valve FB-1",
    )
    assert found_by(text, RULES) == []


def test_the_checkers_table_says_what_opens_and_what_shuts() -> None:
    row = compiled(hookup("ball valve BV-1; drain 3/4", "vent 1/2; control valve TCV-1")).checker().rows[0].cells
    said = {key: str(value) for key, value in row.items()}
    assert any("BV-1" in value for value in said.values())
    assert any("CWR" in value for value in said.values())
