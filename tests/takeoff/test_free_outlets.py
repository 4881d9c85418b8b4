"""Outlets on one pipe with no length between them: their places are not said, and never 0 in from each other."""

from fractions import Fraction

from coilwright import compile_text
from coilwright.model.table import NOT_SAID, Value

FILE = """\
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
unit AH-1, airflow left to right
    coil CC on chilled-water
        supply low, 4 flanged, at right 0 in, up 0 in, toward 0 in
        return high, 4 flanged
    supply to CC, 4
        from main CHS, at right 60 in, up 0 in, toward 24 in
        left 24 in
        butterfly valve BV-1
        left 18 in
        test port
{between}        drain 3/4
        left
        away 24 in
    return from CC, 4
        to main CHR
"""


def outlets(between: str) -> list[dict[str, Value]]:
    made = compile_text(FILE.format(between=between), name="outlets.hookup")
    (table,) = made.tables(["closing"])
    names = [(row.cells, str(row.cells["from"]), str(row.cells["to"])) for row in table.rows]
    return [dict(cells) for cells, start, end in names if "threaded outlet" in start and "threaded outlet" in end]


def test_no_place_is_said_where_no_length_is() -> None:
    (row,) = outlets("")
    assert (row["centres"], row["how"]) == (NOT_SAID, "free on the pipe")
    assert [row[key] for key in ("take_outs", "pieces", "gaps", "cut")] == [None] * 4


def test_a_length_is_said_as_it_is() -> None:
    (row,) = outlets("        left 6 in\n")
    assert (row["centres"], row["how"]) == (Fraction(6), "as given")


def test_the_pipe_is_as_long_either_way() -> None:
    """60 - 24 - 18 in are left up to the elbow, wherever the two outlets stand."""
    made = [compile_text(FILE.format(between=b), name="outlets.hookup") for b in ("", "        left 6 in\n")]
    cuts = [[row.cells["length"] for row in one.tables(["cuts"])[0].rows[:3]] for one in made]
    assert cuts[0] == cuts[1] and all(isinstance(length, Fraction) for length in cuts[0])
