"""Rules whose answer hangs on what a file declares: what each says of a coil when little of it is there."""

import pytest
from hookups import compiled, hookup
from test_water_rules import BACK, SUPPLY, answer, served

PLAIN = hookup(SUPPLY, BACK)
GLYCOL = PLAIN.replace("    water\n", "    propylene glycol, 30 % by volume\n")


@pytest.mark.parametrize(("coldest", "expected"), [("20 degF", "yes"), ("0 degF", "cannot tell")])
def test_burst_protection_is_told_only_where_nothing_freezes(coldest: str, expected: str) -> None:
    """30 % of propylene glycol freezes at 8.4 F; at what it bursts a tube is not in the tables."""
    text = served(GLYCOL, f"coldest surroundings {coldest}")
    assert answer(served(text, "burst protection"), "glycol-too-weak") == expected
    assert answer(text, "glycol-too-weak") == ("yes" if expected == "yes" else "no")


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ((), "cannot tell"),
        (("make-up by hand",), "cannot tell"),
        (("low-pressure alarm",), "cannot tell"),
        (("make-up by hand", "low-pressure alarm"), "yes"),
        (("automatic make-up", "low-pressure alarm"), "no"),
    ],
)
def test_make_up_of_glycol(facts: tuple[str, ...], expected: str) -> None:
    assert answer(served(GLYCOL, *facts), "glycol-made-up-with-water") == expected
    assert answer(served(PLAIN, *facts), "glycol-made-up-with-water") == "-"


def test_galvanized_fittings_on_a_size_that_is_there() -> None:
    row = "{} threaded, carbon steel schedule 40, galvanized malleable iron class 150\n"
    own = "spec own, like steel-threaded\n    " + row
    text = GLYCOL.replace("spec steel-threaded", "spec own").replace("typical", own + "\ntypical", 1)
    assert answer(text.format("1/4 to 4"), "galvanized-with-glycol") == "no"
    assert answer(text.format("4"), "galvanized-with-glycol") == "cannot tell"
    assert compiled(served(text.format("4"), "gaskets suit the fluid"))
