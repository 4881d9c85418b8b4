"""Where fittings leave no pipe to cut, no list counts a length below nothing."""

from fractions import Fraction
from pathlib import Path

from coilwright import compile_text
from coilwright.model.table import NO_ROOM
from coilwright.takeoff import LISTS

CASE = Path(__file__).parents[1] / "rules" / "cases" / "no-room-for-pipe.fail.hookup"
#: What `closing` has of the straight is by how much it is short; gaps are make-up as well.
SIGNED = {("closing", "cut"), ("closing", "gaps")} | {("spools", f"centre_{way}") for way in ("right", "up", "toward")}


def test_what_there_is_no_room_for_is_no_length() -> None:
    made = compile_text(CASE.read_text(encoding="utf-8"))
    tables = {table.name: table for table in made.tables(list(LISTS))}
    assert [row.cells["length"] for row in tables["cuts"].rows].count(NO_ROOM) == 1
    assert [row.cells.get("cut") for row in tables["spool-pieces"].rows].count(NO_ROOM) == 1
    (pipe,) = (row.cells for row in tables["stock-to-buy"].rows if row.cells["size"] == "3")
    assert pipe["unknown"] == 1 and pipe["pieces"] == len(tables["cuts"].rows) - 1
    lengths = [row.cells["length"] for row in tables["cuts"].rows]
    assert pipe["cut"] == sum((length for length in lengths if isinstance(length, Fraction)), Fraction(0))
    for table in tables.values():
        for column in table.columns:
            if (table.name, column.key) in SIGNED:
                continue
            values = [row.cells.get(column.key) for row in table.rows]
            assert all(v >= 0 for v in values if isinstance(v, int | float | Fraction)), (table.name, column.key)


def test_no_room_takes_nothing_off_the_weight() -> None:
    """A move that is shorter still leaves the same: the piece that is not there weighs nothing."""
    text = CASE.read_text(encoding="utf-8")
    weights = []
    for length in ("8 in", "7 in"):
        made = compile_text(text.replace("        away 8 in\n", f"        away {length}\n", 1))
        weights.append([row.cells["dry"] for row in made.tables(["weights"])[0].rows if "supply" in str(row.cells)])
    assert weights[0] == weights[1]
