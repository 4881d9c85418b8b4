"""Lengths that no table has: every list says whose they are, and the lines that it proposes are taken."""

from fractions import Fraction
from pathlib import Path

import pytest
from coilwright import compile_text
from coilwright.catalogue.pieces import piece_kinds
from coilwright.model.table import NOT_IN_TABLES, Table

CASE = (Path(__file__).parents[1] / "rules" / "cases" / "length-not-in-tables.fail.hookup").read_text(encoding="utf-8")
LINES = "lengths of bronze threaded flange\n    3, 1-1/4 in\n\nunit AH-1"
THREE_WAY = """\
service hot-water
    water
    design 125 psi, 40 degF to 200 degF
    spec steel-welded
{lengths}unit R-1, airflow left to right
    coil HC on hot-water
        supply low, 2 flanged, at right 0 in, up 0 in, toward 0 in
        return high, 2 flanged, at right 0 in, up 40 in, toward 0 in
    supply to HC, 2
        from main HWS, at right 90 in, up 0 in, toward 24 in
        left 30 in
        butterfly valve BV-1
        left 30 in
        three-way control valve TCV-1, flanged, mixing
        left 30 in
        drain 3/4
        away 24 in
    return from HC, 2
        vent 1/2
        toward 24 in
        right 30 in
        tee T-1
        right 30 in
        butterfly valve BV-2
        right 30 in
        to main HWR, at right 90 in, up 40 in, toward 24 in
    bypass from T-1 to TCV-1 bypass, 2
        down 40 in
"""


def listed(text: str, name: str) -> Table:
    (table,) = compile_text(text, name="case.hookup").tables([name])
    return table


def waiting(text: str, name: str, key: str) -> list[str]:
    return [row.why for row in listed(text, name).rows if row.cells[key] == NOT_IN_TABLES]


@pytest.mark.parametrize(("name", "key"), [("cuts", "length"), ("closing", "cut")])
def test_a_piece_without_a_length_says_what_it_waits_for(name: str, key: str) -> None:
    (why,) = waiting(CASE, name, key)
    assert "`lengths of bronze threaded flange`, under it `3, … in`" in why
    assert any("bronze threaded flange" in note for note in listed(CASE, name).notes)


@pytest.mark.parametrize(("name", "key"), [("cuts", "length"), ("closing", "cut")])
def test_the_line_that_is_proposed_gives_it_its_length(name: str, key: str) -> None:
    text = CASE.replace("unit AH-1", LINES)
    assert waiting(text, name, key) == []
    assert not any("wait for lengths" in note for note in listed(text, name).notes)


def test_it_is_told_once_a_kind() -> None:
    both = CASE.replace("return high, 3 flanged", "return high, 3 male thread")
    assert both != CASE
    found = [f for f in compile_text(both).findings if f.rule == "length-not-in-tables"]
    assert [f.severity for f in found] == ["note"] and len(found[0].notes) == 1


@pytest.mark.parametrize("kind", [name for name in piece_kinds() if name not in ("pipe", "tube")])
def test_lengths_of_takes_every_kind_that_is_put_in(kind: str) -> None:
    name = kind.partition(",")[0]
    text = CASE.replace("unit AH-1", f"lengths of {name}\n    3, 2 in\n\nunit AH-1")
    assert [f.message for f in compile_text(text).findings if f.severity == "error"] == []


def test_a_three_way_valve_says_how_far_its_side_port_lies() -> None:
    one = THREE_WAY.format(lengths="lengths of three-way control valve, flanged\n    2, 10 in\n")
    (why,) = [row.why for row in listed(one, "closing").rows if row.cells["line"] == "bypass from T-1 to TCV-1"]
    assert (
        "TCV-1 has no length" in why and "`2, … in, … in` (face to face, and from its middle to its side port)" in why
    )
    two = THREE_WAY.format(lengths="lengths of three-way control valve, flanged\n    2, 10 in, 6 in\n")
    rows = [row.cells for row in listed(two, "closing").rows if row.cells["line"] == "bypass from T-1 to TCV-1"]
    assert len(rows) == 1 and isinstance(rows[0]["cut"], Fraction)
    assert rows[0]["take_outs"] == Fraction(9, 4) + 6, "the tee's 2-1/4 in (ASME B16.3) and the valve's 6 in"
