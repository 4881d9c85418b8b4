"""Low points and drains, high points and vents: cases of the trade, section by section."""

import pytest
from hookups import compiled, found_by, hookup, left_in

SUPPLY = "ball valve BV-1; strainer ST-1; drain 3/4"
BACK = "vent 1/2; balancing valve FB-1; ball valve BV-2"


def faults(text: str) -> list[str]:
    return found_by(text, ("drain-missing", "vent-missing"))


CASES = {
    "order only, no moves": (hookup(SUPPLY, BACK), []),
    "nothing at all": (hookup("ball valve BV-1", "ball valve BV-2"), ["drain-missing", "vent-missing"]),
    "drain on the main side of the shutoff": (
        hookup("drain 3/4; ball valve BV-1; strainer ST-1", BACK),
        ["drain-missing"],
    ),
    "vent on the main side of the shutoff": (
        hookup(SUPPLY, "balancing valve FB-1; ball valve BV-2; vent 1/2"),
        ["vent-missing"],
    ),
    "a vent is no drain": (hookup("ball valve BV-1; vent 1/2", BACK), ["drain-missing"]),
    "a drain is no vent": (hookup(SUPPLY, "drain 3/4; ball valve BV-2"), ["vent-missing"]),
    "strainer in a riser above its shutoff, drain further up": (
        hookup("up; ball valve BV-1; up; strainer ST-1; up; drain 3/4; left", BACK),
        ["drain-missing"],
    ),
    "strainer in a riser above its shutoff, drain between": (
        hookup("up; ball valve BV-1; drain 3/4; up; strainer ST-1; up; left", BACK),
        [],
    ),
    "blowdown of a strainer at the low point": (
        hookup("ball valve BV-1; strainer ST-1; >strainer blowdown 3/4; up; left", BACK),
        [],
    ),
    "loop down and up on the supply, one drain at each end": (
        hookup("ball valve BV-1; drain 3/4; up; left; down; drain 3/4; left", BACK),
        ["vent-missing"],
    ),
    "loop down and up on the supply, the second trap forgotten": (
        hookup("ball valve BV-1; drain 3/4; up; vent 1/2; left; down; left; up; left", BACK),
        ["drain-missing"],
    ),
    "two traps, both drained": (
        hookup("ball valve BV-1; drain 3/4; up; vent 1/2; left; down; drain 3/4; left; up; left", BACK),
        [],
    ),
    "supply that drops to the shutoff below the coil": (
        hookup("ball valve BV-1; up; strainer ST-1; left; drain 3/4", BACK),
        ["drain-missing"],
    ),
    "water in at the top: low point at the return": (
        hookup("ball valve BV-1; vent 1/2", "drain 3/4; ball valve BV-2", levels=("high", "low")),
        [],
    ),
    "water in at the top, piped as if it came in at the bottom": (
        hookup(SUPPLY, BACK, levels=("high", "low")),
        ["drain-missing", "vent-missing"],
    ),
    "both connections at one level": (hookup("ball valve BV-1; drain 3/4", BACK, levels=("low", "low")), []),
    "taps of the headers": (
        hookup("ball valve BV-1", "ball valve BV-2", coil="drain tap 1/2; vent tap 1/2"),
        [],
    ),
    "taps of the headers, but the supply drops below them": (
        hookup("ball valve BV-1; up; left", "ball valve BV-2", coil="drain tap 1/2; vent tap 1/2"),
        ["drain-missing"],
    ),
    "taps of the headers, but the return rises above them": (
        hookup("ball valve BV-1", "up; left; ball valve BV-2", coil="drain tap 1/2; vent tap 1/2"),
        ["vent-missing"],
    ),
    "automatic vent behind its shutoff": (
        hookup(SUPPLY, "automatic vent 3/4; balancing valve FB-1; ball valve BV-2"),
        [],
    ),
    "automatic air vent straight on the line": (
        hookup(SUPPLY, "automatic air vent 3/4; balancing valve FB-1; ball valve BV-2"),
        [],
    ),
    "return that rises to a vented point without a dip": (
        hookup(SUPPLY, "up; vent 1/2; left; ball valve BV-2"),
        [],
    ),
    "return that dips before its vent": (
        hookup(SUPPLY, "down; left; up; vent 1/2; left; ball valve BV-2", coil="vent tap 1/2"),
        ["drain-missing"],
    ),
    "check valve on the supply, drain on the coil side only": (
        hookup("ball valve BV-1; check valve CV-1; drain 3/4; vent 1/2", BACK),
        ["drain-missing", "vent-missing"],
    ),
    "check valve on the supply, both sides served": (
        hookup("ball valve BV-1; drain 3/4; vent 1/2; check valve CV-1; drain 3/4", BACK),
        [],
    ),
    "piece between two shutoffs without a coil": (
        hookup("ball valve BV-1; strainer ST-1; ball valve BV-3; drain 3/4", BACK),
        ["drain-missing", "vent-missing"],
    ),
    "piece between two shutoffs, served": (
        hookup("ball valve BV-1; drain 3/4; vent 1/2; ball valve BV-3; drain 3/4", BACK),
        [],
    ),
    "three-way valve with its bypass": (
        hookup(
            "ball valve BV-1; tee T-1, 3/4; drain 3/4",
            "vent 1/2; three-way control valve TCV-1; ball valve BV-2",
            more="bypass from T-1 to TCV-1, 3/4; >balancing valve FB-1",
        ),
        [],
    ),
    "bypass that hangs below both of its ends": (
        hookup(
            "ball valve BV-1; tee T-1, 3/4; drain 3/4",
            "vent 1/2; three-way control valve TCV-1; ball valve BV-2",
            more="bypass from T-1 to TCV-1, 3/4; >down; >left; >up",
        ),
        ["drain-missing"],
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_drains_and_vents(case: str) -> None:
    text, expected = CASES[case]
    assert faults(text) == expected


def test_two_coils_in_one_section_drain_through_each_other_only_downhill() -> None:
    """Two coils on one pair of shutoffs are one piece: one drain and one vent serve both where all is level."""
    more = (
        "coil HC on chilled-water; >supply low, 3/4 male thread; >return high, 3/4 male thread; "
        "branch from T-1 to HC supply, 3/4; branch from HC return to T-2, 3/4"
    )
    level = hookup("ball valve BV-1; drain 3/4; tee T-1, 3/4", "vent 1/2; tee T-2, 3/4; ball valve BV-2", more=more)
    assert faults(level) == []
    lower = level.replace(
        "branch from T-1 to HC supply, 3/4", "branch from T-1 to HC supply, 3/4\n        down\n        left"
    )
    assert faults(lower) == ["drain-missing"]
    row = compiled(lower).checker().rows
    assert [r.cells["coil"] for r in row] == ["CC", "HC"]


def test_crossover_with_one_shut_valve_belongs_to_the_piece_on_either_side() -> None:
    """The stub up to a crossover valve must drain into the piece it hangs on."""
    other = (
        "coil HC on chilled-water; >supply low, 3/4 male thread; >return high, 3/4 male thread; "
        "supply to HC, 3/4; >from main CWS; >ball valve BV-3; >tee T-3, 3/4; >drain 3/4; "
        "return from HC, 3/4; >vent 1/2; >ball valve BV-4; >to main CWR; "
        "crossover from T-1 to T-3, 3/4; {}>ball valve XV-1, normally closed"
    )
    legs = ("ball valve BV-1; tee T-1, 3/4; drain 3/4", "vent 1/2; ball valve BV-2")
    assert faults(hookup(*legs, more=other.format(""))) == []
    assert faults(hookup(*legs, more=other.format(">down; >left; "))) == ["drain-missing"]


def test_low_points_count_once_each() -> None:
    text = hookup("ball valve BV-1; up; vent 1/2; left; down; left; up; left", "vent 1/2; ball valve BV-2")
    assert faults(text) == ["drain-missing", "drain-missing"]
    places = [f.span.line for f in left_in(text)]
    assert len(set(places)) == 2
