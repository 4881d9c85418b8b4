"""What a change does to the lists: exact rows, and old + change = new for every row of every list."""

from __future__ import annotations

from fractions import Fraction

import pytest
from coilwright import compile_file, compile_text
from coilwright.compare.lists import added_up, list_changes, over_units, table_changes
from coilwright.model.table import NOT_MEASURED, Column, Row, Table, Unknown, Value
from coilwright.takeoff import LISTS
from coilwright.takeoff.job import Job
from coilwright.takeoff.lists import make

EXAMPLE = "examples/aquarium-pair.hookup"
EDITS = (
    ("left 8 in", "left 10 in"),
    ("BV-*03, lug", "BV-*03, 2, lug"),
    ("        thermowell TE-*02\n", "        thermowell TE-*02\n        thermometer 3/4\n"),
    ("unit GA-5 is gallery-pair, number 5, airflow left to right\n", ""),
)


def jobs() -> tuple[Job, Job]:
    old = compile_file(EXAMPLE)
    text = old.sources[EXAMPLE]
    for before, after in EDITS:
        assert before in text
        text = text.replace(before, after, 1)
    new = compile_text(text, name=EXAMPLE)
    assert not old.broken and not new.broken
    return old.job, new.job


OLD, NEW = jobs()


def number(value: Value) -> Fraction:
    return Fraction(value) if isinstance(value, int | float | Fraction) else Fraction(0)


@pytest.mark.parametrize("name", LISTS)
def test_old_and_change_make_new(name: str) -> None:
    """Every row that is new is an old one and its change; a row without a change is as it was."""
    before, after = over_units(name, OLD, make), over_units(name, NEW, make)
    old, new = added_up(before), added_up(after)
    found = table_changes(before, after)
    keys = [
        c.key for c in found.columns if not c.key.endswith(("_before", "_after", "_change")) and c.key != "difference"
    ]
    assert [c.key for c in before.columns] == [c.key for c in after.columns]
    rows = {tuple(row.cells.get(key) for key in keys): row.cells for row in found.rows}
    assert len(rows) == len(found.rows)
    assert set(rows) <= {*old, *new}
    for key in {**old, **new}:
        amounts = {**(old[key].amounts if key in old else {}), **(new[key].amounts if key in new else {})}
        assert ((key in old) != (key in new)) == (rows.get(key, {}).get("difference") in ("added", "removed"))
        for amount in amounts:
            was = old[key].amount(amount) if key in old else None
            now = new[key].amount(amount) if key in new else None
            change = rows[key][f"{amount}_change"] if key in rows else None
            if isinstance(was, Unknown) or isinstance(now, Unknown):
                assert was == now or change is NOT_MEASURED
            else:
                assert round(float(number(was) + number(change) - number(now)), 3) == 0, (key, amount)


@pytest.mark.parametrize("name", LISTS)
def test_a_list_does_not_differ_from_itself(name: str) -> None:
    assert table_changes(over_units(name, OLD, make), over_units(name, OLD, make)).rows == ()


def test_rows_of_the_bill() -> None:
    _, tables = list_changes(["bill"], OLD, NEW, make)
    (bill,) = tables
    assert bill.name == "bill-changes"
    said = {
        (row.cells["difference"], row.cells["size"], row.cells["description"]): (
            row.cells["total_before"],
            row.cells["total_after"],
            row.cells["total_change"],
        )
        for row in bill.rows
        if row.cells["group"] in ("valves", "instruments")
    }
    lug = "butterfly valve, lug, ductile iron class 150"
    assert said["added", "2", lug] == (None, 4, 4)
    assert said["less", "4", lug] == (10, 8, -2)
    assert said["less", "2-1/2", lug] == (10, 4, -6)
    assert said["added", "3/4", "thermometer, male thread, brass"] == (None, 4, 4)


def test_the_sum_of_the_lists() -> None:
    summary, tables = list_changes(["bill", "valves", "hands"], OLD, NEW, make)
    assert [row.cells["list"] for row in summary.rows] == ["bill", "valves", "hands"]
    sorts = [[row.cells["difference"] for row in table.rows] for table in tables]
    named = {table.name: sort for table, sort in zip(tables, sorts, strict=True)}
    for row in summary.rows:
        found = named.get(f"{row.cells['list']}-changes", [])
        assert row.cells["added"] == found.count("added")
        assert row.cells["removed"] == found.count("removed")
        assert row.cells["changed"] == len(found) - found.count("added") - found.count("removed")
        before, after = row.cells["rows_before"], row.cells["rows_after"]
        assert isinstance(before, int) and isinstance(after, int)
        assert after - before == found.count("added") - found.count("removed")


def test_a_unit_more_is_the_same_rows_of_its_lists_by_unit() -> None:
    """The joints of a unit that is gone are so many less, and no other joints."""
    text = compile_file(EXAMPLE).sources[EXAMPLE].replace(EDITS[-1][0], "")
    _, (joints,) = list_changes(["joints"], OLD, compile_text(text, name=EXAMPLE).job, make)
    assert {row.cells["difference"] for row in joints.rows} == {"less"}
    assert {(row.cells["count_before"], row.cells["count_after"]) for row in joints.rows} == {(5, 4)}


def table(*rows: dict[str, Value]) -> Table:
    columns = (Column("size", "Size"), Column("total", "Total", align="right"))
    return Table("made-up", "Made up", columns, tuple(Row(cells, ()) for cells in rows))


def test_unknown_amounts_are_no_zero() -> None:
    known, unknown = table({"size": "2", "total": 3}), table({"size": "2", "total": NOT_MEASURED})
    (row,) = table_changes(known, unknown).rows
    assert (row.cells["total_before"], row.cells["total_after"], row.cells["total_change"]) == (
        3,
        NOT_MEASURED,
        NOT_MEASURED,
    )
    assert table_changes(unknown, unknown).rows == ()


def test_rows_that_read_alike_are_added_up() -> None:
    (row,) = table_changes(
        table({"size": "2", "total": 3}, {"size": "2", "total": 4}), table({"size": "2", "total": 8})
    ).rows
    assert row.cells["total_change"] == 1
