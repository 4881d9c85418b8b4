"""A length that the file leaves open and the ends of its line say: nothing, less than nothing, next to nothing."""

from fractions import Fraction

import pytest
from coilwright import compile_text
from coilwright.model.finding import Finding

TEXT = """\
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
unit AH-1, airflow left to right
    coil CC on chilled-water
        supply low, 3 flanged, at right 0 in, up 0 in, toward 0 in
        return high, 3 flanged, at right 0 in, up 40 in, toward 0 in
    supply to CC, 3
        from main CHS, at right 60 in, up 0 in, toward 24 in
        left {first}
        butterfly valve BV-1
        left 30 in
        drain 3/4
        left
        away 24 in
    return from CC, 3
        toward 30-1/8 in
        vent 1/2
        right 30 in
        butterfly valve BV-2
        right 30 in
        to main CHR, at right 60 in, up 40 in, toward 30-1/8 in
"""


def found(first: str) -> list[Finding]:
    rules = ("no-room-for-pipe", "route-misses-end")
    made = compile_text(TEXT.replace("{first}", first), name="left.hookup")
    return [f for f in made.findings if f.rule in rules and "return" not in f.message]


@pytest.mark.parametrize("first", ["30 in", "30-1/32 in"])
def test_nothing_left_is_no_room_and_the_elbow_says_what_it_needs(first: str) -> None:
    """60 - 30 - 30 = 0 in; a long radius NPS 3 elbow takes 4-1/2 in (ASME B16.9) and its weld 1/8 in."""
    (fault,) = found(first)
    assert fault.rule == "no-room-for-pipe" and fault.severity == "must" and fault.span.line == 15
    assert "0 in is 4-5/8 in too short" in fault.message and "elbow 3" in fault.message
    assert "the two ends of its line leave 0 in" in fault.notes[0].text


def test_nothing_left_is_in_the_closing_table() -> None:
    made = compile_text(TEXT.replace("{first}", "30 in"), name="left.hookup")
    (table,) = made.tables(["closing"])
    row = next(row.cells for row in table.rows if row.cells["line"] == "supply to CC" and row.cells["straight"] == 3)
    assert (row["centres"], row["how"]) == (Fraction(0), "from its ends")


def test_less_than_nothing_is_not_mended_into_nothing() -> None:
    """No other move is cut down to leave this one 0 in: the elbow would have no room."""
    (fault,) = found("31 in")
    assert fault.rule == "route-misses-end" and fault.mend == ()
    assert [note.span.line for note in fault.notes if note.span is not None] == [15]
    assert "needs 4-5/8 in" in fault.notes[1].text and "measure" in fault.help


def test_room_enough_is_silent() -> None:
    assert found("24 in") == []
