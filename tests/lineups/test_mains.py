"""What mains carry: what the file says of them, what coils on them are on, and what nobody knows."""

from __future__ import annotations

import pytest
from cases import compiled
from coilwright import Compilation, compile_text

SERVICES = """\
service chilled-water
    water
    design 125 psi, 42 degF to 95 degF
    spec steel-welded
service hot-glycol
    ethylene glycol, 40 % by volume
    design 125 psi, 20 degF to 180 degF
    spec steel-welded
service city-water
    water
    potable
    design 80 psi, 40 degF to 80 degF
    spec copper-soldered
"""
HOT = """\
unit AH-12, airflow left to right
    coil DC on hot-glycol
        supply low, 3 flanged
        return high, 3 flanged
    supply to DC, 3
        from main HGS
        butterfly valve BV-1
        tee T-1
    return from DC, 3
        tee T-2
        butterfly valve BV-3
        to main HGR
"""
TIE = """\
    tie from main CHS{0} to T-1, 3
        butterfly valve XV-1{2}
    tie from T-2 to main CHR{1}, 3
        butterfly valve XV-3{2}
"""
ON, SHUT = " on chilled-water", ", normally closed"
SUMMER = """\
    lineup "summer"
        closed BV-1, BV-3
        open XV-1, XV-3
        expect DC on chilled-water
"""
OTHER = """\
unit AH-13, airflow left to right
    coil CC on chilled-water
        supply low, 3 flanged
        return high, 3 flanged
    supply to CC, 3
        from main CHS
        butterfly valve BV-5
    return from CC, 3
        butterfly valve BV-6
        to main CHR
"""
MAKE_UP = """\
    make-up from main CW{0} to T-1, 3/4
        ball valve BV-9{1}
"""


def found(made: Compilation, *rules: str) -> list[tuple[str, str, str]]:
    return [(f.rule, f.severity, f.message) for f in made.findings if f.rule in rules]


def carries(text: str) -> dict[str, str]:
    made = compiled(text)
    return {c.tag: c.service for h in made.hookups for c in h.components() if c.kind.ports == "main"}


def test_a_main_without_a_coil_of_its_own_is_unknown() -> None:
    text = SERVICES + HOT + TIE.format("", "", SHUT)
    assert carries(text) == {"HGS": "hot-glycol", "HGR": "hot-glycol", "CHS": "", "CHR": ""}
    said = found(compiled(text), "main-service-unsaid")
    assert [message for _, _, message in said] == ["cannot tell what `CHS` carries", "cannot tell what `CHR` carries"]


@pytest.mark.parametrize("rest", [TIE.format(ON, ON, SHUT), TIE.format("", "", SHUT) + OTHER])
def test_what_a_main_carries_is_said_or_known_by_a_coil_of_another_unit(rest: str) -> None:
    assert carries(SERVICES + HOT + rest)["CHS"] == carries(SERVICES + HOT + rest)["CHR"] == "chilled-water"
    walls = found(compiled(SERVICES + HOT + rest), "glycol-one-valve-from-water", "main-service-unsaid")
    assert [(rule, severity) for rule, severity, _ in walls] == [("glycol-one-valve-from-water", "must")] * 2


def test_said_once_it_holds_for_every_unit() -> None:
    again = HOT.replace("AH-12", "AH-14") + TIE.format("", "", SHUT)
    assert set(carries(SERVICES + HOT + TIE.format(ON, ON, SHUT) + again).values()) == {"hot-glycol", "chilled-water"}


def test_drinking_water_open_to_glycol() -> None:
    made = compiled(SERVICES + HOT + MAKE_UP.format(" on city-water", ""))
    assert [severity for _, severity, _ in found(made, "service-mix-up")] == ["must"]
    made = compiled(SERVICES + HOT + MAKE_UP.format(" on city-water", SHUT))
    assert [severity for _, severity, _ in found(made, "glycol-one-valve-from-water")] == ["must"]


def test_what_nobody_knows_is_never_called_kept() -> None:
    made = compiled(SERVICES + HOT + MAKE_UP.format("", ""))
    wanted = "what CW carries: write main CW on SERVICE"
    verdicts = made.checked[0].verdicts
    assert verdicts["service-mix-up", "", "DC"].answer == "cannot tell"
    assert verdicts["service-mix-up", "", "DC"].said == wanted
    lineups, standing, separation = made.tables(["lineups", "standing", "separation"])
    assert {row.cells["met"] for row in lineups.rows} == {"cannot tell"}
    assert {row.cells["carries"] for row in standing.rows} == {"hot-glycol and unknown: main CW"}
    assert [row.cells["services"] for row in separation.rows] == ["hot-glycol - unknown: main CW"]


def test_a_lineup_that_opens_an_unknown_main_proves_nothing() -> None:
    made = compiled(SERVICES + HOT + TIE.format("", "", SHUT) + SUMMER)
    assert found(made, "lineup-expectation-unmet", "coil-without-flow", "lineup-mixes-services") == []
    assert made.checked[0].verdicts["lineup-expectation-unmet", "", "DC"].answer == "cannot tell"


def test_a_coil_on_two_services_by_turns() -> None:
    made = compiled(SERVICES + HOT + TIE.format(ON, ON, SHUT) + SUMMER)
    (row,) = made.tables(["lineups"])[0].rows
    assert (row.cells["carries"], row.cells["met"]) == ("chilled-water", "yes")
    assert row.cells["way"] == ("CHS", "XV-1", "T-1", "DC", "T-2", "XV-3", "CHR")


def test_a_main_said_to_carry_two_services_is_found_where_the_second_is_said() -> None:
    made = compile_text(
        SERVICES + HOT + TIE.format(ON, ON, SHUT) + MAKE_UP.format("", "").replace("CW", "CHS on city-water")
    )
    (one,) = [f for f in made.findings if f.rule == "main-on-two-services"]
    assert one.severity == "error" and one.notes[0].span is not None and one.notes[0].span.line < one.span.line


def test_a_coil_run_from_the_wrong_main_is_found_at_the_from() -> None:
    coil = OTHER.split("\n", 1)[1]
    wrong = coil.replace("from main CHS", "from main HGS")
    right = coil.replace("CC", "CD").replace("BV-5", "BV-7").replace("BV-6", "BV-8")
    text = SERVICES + HOT + wrong + right
    made = compiled(text)
    (one,) = [f for f in made.findings if f.rule == "service-mix-up"]
    assert text.splitlines()[one.span.line - 1] == "        from main HGS" and one.label == "brings `hot-glycol`"
    assert one.span.line > text.splitlines().index("    supply to CC, 3")
    assert [edit.said() for edit in one.mend] == [f"write `main CHS` in place of `main HGS` in line {one.span.line}"]
    assert found(made, "valve-position-unsaid") == []


@pytest.mark.parametrize("both", ["CHS", "CHR"])
def test_a_lineup_between_one_main_and_itself_moves_nothing(both: str) -> None:
    tie = TIE.format("", "", SHUT).replace("main CHS", f"main {both}").replace("main CHR", f"main {both}")
    text = SERVICES + HOT + OTHER.split("\n", 1)[1] + tie + SUMMER
    assert found(compiled(text), "coil-without-flow") == [
        ("coil-without-flow", "must", 'nothing flows through coil `DC` in lineup "summer"')
    ]
    rows = compiled(text).tables(["lineups"])[0].rows
    assert {row.cells["coil"]: row.cells["met"] for row in rows}["DC"] == "no: nothing flows"
    assert [f.mend for f in compiled(text).findings if f.rule == "coil-without-flow"] == [()]


def test_what_a_coil_carries_instead_comes_by_no_shut_valve() -> None:
    made = compiled(
        SERVICES + HOT + TIE.format(ON, ON, SHUT) + SUMMER.replace("expect DC on chilled", "expect DC on city")
    )
    (one,) = [f for f in made.findings if f.rule == "lineup-expectation-unmet"]
    assert one.message == 'in lineup "summer" coil `DC` carries `chilled-water`, not `city-water`'
    assert one.notes[0].text == "the way it comes: `CHS` - `XV-1` - `T-1` - `DC`"
