"""Lists for units built alike, taken apart into one for each unit."""

from coilwright.batch import compile_files
from coilwright.model.span import Span
from coilwright.model.table import Column, Row, Table
from coilwright.takeoff.by_unit import MOST, by_unit, is_shared, with_a_row_a_unit

TEXT = """\
service water-1
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
typical one, drawn with airflow left to right
    coil CC on water-1
        supply low at leaving side, 3 flanged
        return high at entering side, 3 flanged
        headers steel
    supply to CC, 3
        from main CHS
        butterfly valve BV-*01, lug
        drain 3/4
    return from CC, 3
        butterfly valve BV-*02, lug
        to main CHR
"""


def lockout(units: int) -> Table:
    text = TEXT + "".join(f"unit AH-{n} is one, number {n}\n" for n in range(1, units + 1))
    batch = compile_files(["job.hookup"], texts={"job.hookup": text})
    (table,) = batch.tables(["lockout"])
    assert table.rows, batch.findings
    return table


def test_each_unit_has_its_own_tags() -> None:
    table = lockout(3)
    assert any("*" in str(row.cells["what"]) for row in table.rows)
    lots = by_unit(table)
    assert [lot.units for lot in lots] == [("AH-1",), ("AH-2",), ("AH-3",)]
    for number, lot in enumerate(lots, 1):
        assert len(lot.rows) == len(table.rows) and not lot.alike
        said = str([row.cells for row in lot.rows])
        assert f"BV-{number}01" in said and "*" not in said
        assert {row.cells["units"] for row in lot.rows} == {f"AH-{number}"}
        assert [row.origin for row in lot.rows] == [row.origin for row in table.rows]


def test_of_many_there_is_one_with_the_stars_and_the_data_has_all() -> None:
    table = lockout(MOST + 1)
    (lot,) = by_unit(table)
    assert lot.alike and len(lot.units) == MOST + 1 and lot.rows == table.rows
    assert len(by_unit(lockout(MOST))) == MOST
    each = with_a_row_a_unit(table)
    assert is_shared(table) and not is_shared(each)
    assert len(each.rows) == (MOST + 1) * len(table.rows)
    assert "*" not in str([row.cells for row in each.rows]) and f"BV-{MOST + 1}01" in str(each.rows[-1].cells)


def test_a_single_unit_and_rows_of_no_unit_stay_as_they_are() -> None:
    table = lockout(1)
    (lot,) = by_unit(table)
    assert lot.units == ("AH-1",) and "BV-101" in str([row.cells for row in lot.rows])
    rows = (Row({"a": "BV-*01"}, (Span("x", 1, 1, 1, 1),)),)
    (lot,) = by_unit(Table("bill", "Bill", (Column("a", "A"),), rows))
    assert lot.units == () and lot.rows == rows
