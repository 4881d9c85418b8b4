"""How lists and isometrics are laid out on paper: every word has room, nothing is lost, nothing stands on another."""

from functools import lru_cache
from itertools import combinations

import pytest
from coilwright.batch import compile_files
from coilwright.model.span import Span
from coilwright.model.table import Column, Row, Table
from coilwright.pack.chapters import SIGNED, lists_by_chapter, logs, signed_sheets
from coilwright.pack.letters import wide
from coilwright.pack.pictures import pictures
from coilwright.pack.placing import PX, place
from coilwright.pack.setting import HAND, INSET_X, WHOLE, settle
from coilwright.report.plain import visible
from coilwright.report.tables_text import cell_text, used_columns
from coilwright.report.units import in_metric
from coilwright.takeoff import LISTS
from pack_jobs import AQUARIUM, EXAMPLES

ROOM = 736.0
HERE = (Span("job.hookup", 1, 1, 1, 2),)


@lru_cache
def tables(path) -> list[Table]:
    made = [table for table in compile_files([path]).tables(list(LISTS)) if table.rows]
    signed = next(names for key, _, names in lists_by_chapter() if key == SIGNED[0])
    sheets = [
        sheet.table
        for table in (*made, *logs(made))
        if table.name in (*signed, "weld-log")
        for sheet in signed_sheets(table)
    ]
    return [*made, *sheets, *map(in_metric, made)]


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.hookup")), ids=lambda path: path.stem)
def test_every_word_has_room_and_nothing_is_lost(path) -> None:
    for table in tables(path):
        found = settle(table, ROOM)
        assert sum(found.widths) <= ROOM + 0.01 and found.letters >= 6.5, table.name
        for number, (column, width) in enumerate(zip(found.columns, found.widths, strict=True)):
            assert not column.by_hand or width >= HAND
            words = [word for row in found.rows for word in row.cells[number].split()]
            words += found.heads[number].split()
            assert max(map(wide, words)) + 2 * INSET_X <= width / found.letters + 0.01, (table.name, column.title)
        said = " ".join([*(text for _, text in found.above), *(t for r in found.rows for t in r.cells)])
        said += " ".join(text for row in found.rows for _, text in row.more)
        said = said.replace("\u200b", "")
        for column in used_columns(table):
            assert all(visible(cell_text(row.cells.get(column.key), column)) in said for row in table.rows), table.name


def of(columns: tuple[Column, ...], *rows: dict) -> Table:
    return Table("made", "Made", columns, tuple(Row(cells, HERE) for cells in rows))


def test_what_is_the_same_in_every_row_is_said_once_but_never_on_a_sheet_to_write_in() -> None:
    columns = (Column("units", "Units"), Column("do", "Do"), Column("valve", "Valve"), Column("then", "Then"))
    rows = [{"units": "AH-1", "do": "shut", "valve": f"BV-{n}", "then": f"it is {n}"} for n in range(8)]
    found = settle(of(columns, *rows), ROOM)
    assert found.above == (("Units", "AH-1"), ("Do", "shut")) and found.heads == ("Valve", "Then")
    written = settle(of((*columns, Column("by", "Done by", by_hand=True)), *rows), ROOM)
    assert written.above == () and written.heads == ("Units", "Do", "Valve", "Then", "Done by")
    assert settle(of(columns, *rows[:2]), ROOM).above == ()


def test_what_finds_no_room_stands_in_a_second_line() -> None:
    columns = tuple(Column(f"c{n}", f"Column{n}") for n in range(30))
    rows = [{f"c{n}": f"word-{n}-{row}-" + "x" * 20 for n in range(30)} for row in range(8)]
    found = settle(of(columns, *rows), ROOM)
    assert found.second and found.columns[0].key == "c0" and sum(found.widths) <= ROOM
    assert {key for key, _ in found.rows[0].more} == {column.title for column in found.second}
    assert [c.key for c in found.second] == sorted((c.key for c in found.second), key=lambda key: int(key[1:]))


@pytest.mark.parametrize(
    "text", ["BV-104", "HC-*", "DN 100", "DN 100 x 65", "6 ft 8-3/8 in", "3/4 in", "4 x 2-1/2", "RTU-1-S-HC-1-06"]
)
def test_tags_and_sizes_are_one_word(text) -> None:
    import re

    assert re.search(WHOLE, f"pipe {text}, cut")[0] == text


@pytest.mark.parametrize("metric", [False, True])
def test_isometrics_stand_clear_of_each_other(metric) -> None:
    room = (785.3, 519.3) if metric else (736.0, 536.0)
    batch = compile_files([AQUARIUM])
    for hookup in batch.hookups:
        drawings = pictures(batch.job, hookup, []).isometrics
        pages = place(drawings, room)
        figures = [one.drawing.title for page in pages for one in page.placed if one.scale]
        assert sorted(figures) == sorted(drawing.title for drawing in drawings) and len(pages) < len(drawings)
        for page in pages:
            width, height = (room[1], room[0]) if page.upright else room
            boxes = []
            for one in page.placed:
                figure = one.drawing.figure
                high = figure.height * PX * one.scale + sum(max(t.high for t in row) for row in one.rows)
                assert one.x + one.width <= width + 0.1 and one.y + high <= height + 0.1
                assert figure.width * PX * one.scale <= one.width + 0.1
                boxes.append((one.x, one.y, one.x + one.width, one.y + high))
            for a, b in combinations(boxes, 2):
                assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        tabled = {(o.drawing.title, t.table.title) for p in pages for o in p.placed for row in o.rows for t in row}
        assert tabled == {(drawing.title, table.title) for drawing in drawings for table in drawing.tables}
