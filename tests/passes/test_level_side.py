"""Eccentric reducers say which side is level: the top on water, the bottom on steam; what a file says stands."""

import pytest
from coilwright import compile_text

FILE = """\
service {fluid}-service
    {fluid}
    design 100 psi, 42 degF to 90 degF
    spec steel-welded
unit AH-1, airflow left to right
    coil CC on {fluid}-service
        supply low, 4 flanged
        return high, 4 flanged
    supply to CC, 4
        from main CHS
        left 2 ft
        {valve}
        left 2 ft
    return from CC, 4
        to main CHR
"""
VALVE = "control valve TCV-1, 3, flanged"


def reducers(valve: str, fluid: str = "water", run: str = "left 2 ft") -> set[str]:
    made = compile_text(FILE.format(fluid=fluid, valve=valve).replace("left 2 ft", run), name="flat.hookup")
    (bill,) = made.tables(["bill"])
    said = (str(row.cells["description"]) for row in bill.rows)
    return {text for text in said if "reducer" in text}


@pytest.mark.parametrize(("fluid", "side"), [("water", "flat on top"), ("steam", "flat on bottom")])
def test_the_bill_says_which_side_is_level(fluid: str, side: str) -> None:
    (found,) = reducers(VALVE, fluid)
    assert found.startswith("eccentric reducer") and found.endswith(side)


def test_what_the_file_says_stands() -> None:
    """Behind the one that the file says, the coil's size comes back by another."""
    sides = {text.rpartition(", ")[2] for text in reducers("reducer 3, eccentric, flat on bottom")}
    assert sides == {"flat on bottom", "flat on top"}
    (silent,) = reducers("reducer 3, eccentric")
    assert silent.endswith("flat on top") and "flat on bottom" not in silent


def test_a_vertical_run_has_no_level_side() -> None:
    found = reducers(VALVE, run="up 2 ft")
    assert found and not any("flat on" in text for text in found)


def test_of_an_unsaid_fluid_nobody_knows_which() -> None:
    unsaid = FILE.replace("    {fluid}\n", "")
    made = compile_text(unsaid.format(fluid="water", valve=VALVE), name="flat.hookup")
    (bill,) = made.tables(["bill"])
    said = [str(row.cells["description"]) for row in bill.rows if "eccentric reducer" in str(row.cells["description"])]
    assert said and not any("flat on" in text for text in said)
