"""Penetrations: how far along its run each is, by its place or by the moves on both sides of it."""

from __future__ import annotations

from fractions import Fraction

import pytest
from coilwright import compile_text
from coilwright.model.table import NOT_MEASURED, Value

TEXT = """
service chilled-water
    water
    spec steel-welded
    insulate 1 in
unit AH-1, airflow left to right
    coil CC on chilled-water
        supply low, 3 flanged, at right 20 in, up 12 in, toward 4 in
        return high, 3 flanged, at right 10 in, up 60 in, toward 4 in
    supply to CC, 3
        from main CHS, at right 62 in, down 30 in, toward 20 in
{supply}
        left 42 in
        away 16 in
    return from CC, 3
        toward 16 in
        right 68 in
{back}
        to main CHR, at right 78 in, down 30 in, toward 20 in
"""


def holes(supply: str, back: str) -> dict[str, tuple[Value, Value]]:
    """By its line: along its run, and its level."""
    steps = {
        name: "\n".join(" " * 8 + step for step in steps.split("; "))
        for name, steps in (("supply", supply), ("back", back))
    }
    compilation = compile_text(TEXT.format(**steps), name="test.hookup")
    assert [f.message for f in compilation.findings if f.severity == "error"] == []
    (table,) = compilation.tables(["penetrations"])
    rows = [row.cells for row in table.rows if row.cells.get("line")]
    return {str(cells["line"]).split()[0]: (cells["at"], cells["up"]) for cells in rows}


@pytest.mark.parametrize(
    ("supply", "back", "expected"),
    [
        # by the place: from the main at -30 up to -6, and from 60 down to -6
        ("through floor, at down 6 in; up 42 in", "down 90 in; through floor, at down 6 in", (24, -6, 66, -6)),
        # the place holds wherever the line stands among the moves
        ("up 42 in; through floor, at down 6 in", "down 90 in; through floor, at up 4 in", (24, -6, 56, 4)),
        # by the moves on both sides
        ("up 30 in; through floor; up 12 in", "down 60 in; through floor; down 30 in", (30, 0, 60, 0)),
    ],
)
def test_along_its_run(supply: str, back: str, expected: tuple[int, int, int, int]) -> None:
    along, up, along_back, up_back = map(Fraction, expected)
    assert holes(supply, back) == {"supply": (along, up), "return": (along_back, up_back)}


def test_at_the_end_of_its_straight_without_a_place_it_is_not_measured() -> None:
    unknown = (NOT_MEASURED, NOT_MEASURED)
    assert holes("through floor; up 42 in", "down 90 in; through floor") == {"supply": unknown, "return": unknown}


def test_a_place_across_the_pipe_says_nothing_along_it() -> None:
    found = holes("through floor, at right 62 in; up 42 in", "down 60 in; through floor; down 30 in")
    assert found == {"supply": (NOT_MEASURED, NOT_MEASURED), "return": (Fraction(60), Fraction(0))}
