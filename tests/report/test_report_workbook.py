"""Workbooks, read again by openpyxl and calculated again by LibreOffice, against our own lists."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import zipfile
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from coilwright import compile_file
from coilwright.model.span import Span
from coilwright.model.table import NOT_MEASURED, Column, Row, Table, Value
from coilwright.pricing.book import read_book
from coilwright.pricing.books import together
from coilwright.pricing.labour import Choice
from coilwright.pricing.summary import offer
from coilwright.report import workbook, worksheet
from coilwright.report.document import Look, render
from coilwright.report.formulas import formula
from coilwright.report.result import Result
from coilwright.report.tables_text import used_columns
from coilwright.report.trouble import Trouble
from coilwright.report.units import in_metric
from coilwright.report.values import as_text
from example_lists import EXAMPLES, result
from hypothesis import example as tried
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.worksheet.worksheet import Worksheet

HERE = (Span("gallery.hookup", 41, 9, 41, 36),)
HEAD = 3
EVIL = ("=1+1", "+1+1", "-2+3", "@SUM(A1)", "\t=1", '=HYPERLINK("x")', "{=1}", "http://x", "007", "1e5", "#N/A", "TRUE")
PRICED = Table(
    "order",
    "To order & pay",
    (
        Column("what", "What"),
        Column("total", "Total", align="right"),
        Column("extra", "Spare", align="right"),
        Column("buy", "Buy", align="right", formula="total + extra"),
        Column("price", "Price", "USD", "right"),
        Column("amount", "Amount", "USD", "right", adds_up=True, formula="buy * price"),
        Column("length", "Length", "in", "right", adds_up=True),
    ),
    (
        Row({"what": "stud", "total": 10, "extra": 1, "buy": 11, "price": 0.125, "amount": 1.38}, HERE, "a joint"),
        Row(
            {"what": "pipe", "total": 47.04, "buy": 47.04, "price": 7.5, "amount": 352.8, "length": Fraction(7, 2)},
            HERE,
        ),
        Row({"what": "valve", "total": 2, "buy": 2, "price": NOT_MEASURED, "amount": NOT_MEASURED, "length": 3}, HERE),
        Row({"what": "odd", "total": 2, "extra": 2, "buy": 5, "price": 1, "amount": 7}, HERE),
    ),
    ("Bought & paid.",),
)


def opened(data: bytes, values: bool = False) -> Any:
    return openpyxl.load_workbook(io.BytesIO(data), data_only=values)


def sheets(example: Path, metric: bool = False) -> list[tuple[str, Table]]:
    """The sheets' names with what should be on them."""
    shown = [table for table in result(example).tables if table.name != "findings"]
    return [(table.name, in_metric(table) if metric else table) for table in shown]


def mistakes(sheet: Worksheet, table: Table) -> Iterator[str]:
    """Where a sheet says something else than its list: headings, cells, row, origin, reason, notes."""
    heads = {str(cell.value): cell.column for cell in sheet[HEAD]}
    shown = {worksheet.heading(column): column.key for column in used_columns(table, data=True)}
    if not shown.keys() <= heads.keys() and table.rows:
        yield f"headings {heads}"
    for number, row in enumerate(table.rows, 1):
        for head, key in shown.items():
            there, value = sheet.cell(HEAD + number, heads[head]).value, row.cells.get(key)
            if not same(there, value):
                yield f"{table.name}:{number} {key}: {there!r} for {value!r}"
        trail = [sheet.cell(HEAD + number, heads[head]).value or "" for head in ("Row", "Origin", "Why")]
        if trail != [f"{table.name}:{number}", "; ".join(map(str, row.origin)), row.why]:
            yield f"{table.name}:{number}: {trail}"
    said = {cell.value for cells in sheet.iter_rows(min_row=HEAD + len(table.rows)) for cell in cells}
    yield from (f"note not there: {note}" for note in table.notes if note not in said)


def same(there: object, value: Value) -> bool:
    if isinstance(value, int | float | Fraction):
        return isinstance(there, int | float) and there == pytest.approx(float(value), rel=1e-9, abs=1e-9)
    return (there or "") == as_text(value)


@pytest.mark.parametrize("metric", [False, True], ids=["inch-pound", "metric"])
@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_openpyxl_reads_what_the_lists_say(example: Path, metric: bool) -> None:
    wanted = sheets(example, metric)
    book = opened(workbook.render(wanted), values=True)
    assert len(book.sheetnames) == len(wanted)
    found = [mistake for sheet, (_, table) in zip(book, wanted, strict=True) for mistake in mistakes(sheet, table)]
    assert found == []
    assert sum(len(table.rows) for _, table in wanted) > 50


def test_a_sheet_is_a_table_with_filters_sums_and_print_set_up() -> None:
    sheet = opened(workbook.render([("order", PRICED)]))["order"]
    (table,) = sheet.tables.values()
    assert table.ref == "A3:J8" and table.autoFilter.ref == "A3:J7"
    assert sheet.freeze_panes == "A4"
    assert sheet.print_title_rows == "$1:$3"
    assert (sheet.page_setup.orientation, sheet.page_setup.fitToHeight) == ("landscape", 0)
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert sheet.oddFooter.right.text == "Page &P of &N"
    assert sheet["F8"].value == "=SUBTOTAL(109,F4:F7)"
    assert sheet["A8"].value == "Sum, without 1 unknown"
    assert (sheet["F4"].number_format, sheet["G5"].number_format, sheet["B4"].number_format) == (
        "#,##0.00",
        "# ??/??",
        "#,##0",
    )
    folded = {name: (d.hidden, d.outlineLevel) for name, d in sheet.column_dimensions.items()}
    assert folded["H"] == folded["I"] == folded["J"] == (True, 1)
    assert sheet["H4"].value == "order:1" and sheet["J4"].value == "a joint"


def test_formulas_stand_only_where_they_give_what_the_list_says() -> None:
    data = workbook.render([("order", PRICED)])
    sheet, values = opened(data)["order"], opened(data, values=True)["order"]
    assert [sheet[f"D{row}"].value for row in range(4, 8)] == ["=B4+C4", "=B5+C5", "=B6+C6", 5]
    assert [sheet[f"F{row}"].value for row in range(4, 8)] == ["=ROUND(D4*E4,2)", "=D5*E5", "not measured", 7]
    assert [values[f"F{row}"].value for row in range(4, 9)] == [1.38, 352.8, "not measured", 7, pytest.approx(361.18)]
    assert values["G8"].value == 6.5


def test_texts_stay_texts() -> None:
    rows = tuple(Row({"a": text, "b": (text, "x")}, HERE, text) for text in EVIL)
    data = workbook.render([("t", Table("t", EVIL[0], (Column("a", EVIL[0]), Column("b", "B")), rows, EVIL))])
    sheet = opened(data)["t"]
    cells = [cell for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert {cell.data_type for cell in cells} == {"s"}
    assert [sheet.cell(HEAD + n, 1).value for n in range(1, len(EVIL) + 1)] == list(EVIL)
    with zipfile.ZipFile(io.BytesIO(data)) as files:
        assert not any(b"<f>" in files.read(name) for name in files.namelist() if "worksheets/sheet" in name)
        assert not any("externalLink" in name for name in files.namelist())


@settings(max_examples=30, deadline=None)
@given(st.lists(st.text(min_size=1), min_size=1, max_size=20))
@tried(["\uffff", "\ufffe", "_x0041_", " a ", "\r\n", "]]>", "&amp;", "\u2028"])
def test_any_text_comes_back(texts: list[str]) -> None:
    rows = tuple(Row({"a": text}, HERE) for text in texts)
    sheet = opened(
        workbook.render([(texts[0], Table("t", texts[0], (Column("a", texts[0]),), rows, (texts[0],)))])
    ).active
    back = [sheet.cell(HEAD + number, 1).value or "" for number in range(1, len(texts) + 1)]
    assert back == [worksheet.as_cell(text) for text in texts]
    for text, said in zip(texts, back, strict=True):
        assert said == text or not text.isprintable()


def test_odd_names_long_texts_and_control_characters() -> None:
    long = "BV-101, " * 10_000
    table = Table(
        "t",
        "T",
        (Column("a", "Same"), Column("b", "same"), Column("c", "Tags")),
        (Row({"a": "\x1b[2J", "b": "\udc80", "c": long}, HERE),),
    )
    names = ["a/b:c", "A/B:C", "history", "x" * 50, "x" * 50, "'q'", ""]
    book = opened(workbook.render([(name, table) for name in names]))
    assert book.sheetnames == ["a-b-c", "A-B-C 2", "history 2", "x" * 31, "x" * 29 + " 2", "-q-", "-"]
    sheet = book["a-b-c"]
    assert [cell.value for cell in sheet[HEAD]][:3] == ["Same", "same 2", "Tags"]
    assert [cell.value for cell in sheet[HEAD + 1]][:2] == ["␛[2J", "\\udc80"]
    cut = sheet["C4"].value
    assert len(cut) == 32_767 and "cut here" in cut


def test_rows_are_as_high_as_their_wrapped_texts() -> None:
    """A column has 48 characters at most: five words of 40 take five lines of 15 points; no row has more than 409."""
    texts = ("short", " ".join(["x" * 40] * 5), "BV-101, " * 10_000, "y" * 48)
    rows = tuple(Row({"a": number, "b": text, "c": "z"}, HERE, "why " * 50) for number, text in enumerate(texts))
    table = Table("t", "T", (Column("a", "A"), Column("b", "B"), Column("c", "C")), rows)
    sheet = opened(workbook.render([("t", table)]))["t"]
    heights = [sheet.row_dimensions[HEAD + number].height for number in (1, 2, 3, 4)]
    assert heights == [None, 75, 408.75, None]  # of quarter points


def test_empty_lists_and_lists_beyond_a_sheet() -> None:
    book = opened(workbook.render([("bill", Table("bill", "Bill", (Column("a", "A"),), (), ("A note.",)))]))
    assert "This list has no rows." in [cell.value for row in book["bill"].iter_rows() for cell in row]
    assert opened(workbook.render([])).sheetnames == ["nothing"]
    row = Row({"a": "x"}, HERE)
    with pytest.raises(Trouble, match="more rows than a sheet takes"):
        workbook.render([("t", Table("t", "T", (Column("a", "A"),), (row,) * 1_048_576))])


def test_the_same_lists_give_the_same_bytes() -> None:
    first = workbook.render([("order", PRICED)])
    assert first == workbook.render([("order", PRICED)])
    with zipfile.ZipFile(io.BytesIO(first)) as files:
        assert {entry.date_time[0] for entry in files.infolist()} == {1980}


def test_several_files_and_findings_have_their_sheets() -> None:
    results = [Result(f"{name}.hookup", (), {}, (PRICED,)) for name in ("gallery", "annex")]
    made = render(results, "xlsx", Look(findings=True))
    assert isinstance(made, bytes)
    book = opened(made)
    assert book.sheetnames == ["findings", "order gallery", "order annex"]
    assert book["order annex"]["A1"].value == "To order & pay: annex.hookup"


@pytest.mark.parametrize(
    ("text", "cells", "written"),
    [
        ("a = b + c", {"a": 3, "b": 1, "c": 2}, "=B1+C1"),
        ("a = b - c", {"a": Fraction(1, 4), "b": Fraction(1, 2), "c": Fraction(1, 4)}, "=B1-C1"),
        ("a = b + c", {"a": 1, "b": 1, "c": None}, "=B1+C1"),
        ("a = b * c", {"a": 0, "b": 1, "c": None}, None),
        ("a = b * c", {"a": 2.68, "b": 2.675, "c": 1}, "=ROUND(B1*C1,2)"),
        ("a = b * c", {"a": 2.67, "b": 2.675, "c": 1}, None),
        ("a = b + c", {"a": 4, "b": 1, "c": 2}, None),
        ("a = b + c", {"a": 3, "b": "1", "c": 2}, None),
        ("a = b + e", {"a": 3, "b": 1, "e": 2}, None),
        ("a = b + c", {"a": NOT_MEASURED, "b": 1, "c": 2}, None),
        ("a = b * c / d", {"a": 0.35, "b": 7, "c": 5, "d": 100}, "=B1*C1/D1"),
        ("a = b * c / d", {"a": 0.35, "b": 7, "c": 5, "d": 0}, None),
    ],
)
def test_a_formula_is_held_against_the_list(text: str, cells: dict[str, Value], written: str | None) -> None:
    assert formula(text, cells, {"b": "B1", "c": "C1", "d": "D1"}) == written


SOFFICE = shutil.which("soffice") or shutil.which("libreoffice")
needs_office = pytest.mark.skipif(SOFFICE is None, reason="LibreOffice is not installed: nothing recalculates")


def through_office(data: bytes, folder: Path) -> Any:
    """A workbook as LibreOffice writes it again; a profile of its own keeps it from one that is open."""
    source = folder / "in.xlsx"
    source.write_bytes(data)
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    command = [
        str(SOFFICE),
        profile,
        "--headless",
        "--convert-to",
        "xlsx",
        "--outdir",
        str(folder / "out"),
        str(source),
    ]
    ran = subprocess.run(command, capture_output=True, timeout=180, check=False)
    made = folder / "out" / "in.xlsx"
    assert made.exists(), ran.stderr.decode(errors="replace")
    return opened(made.read_bytes(), values=True)


def recalculated(book: Any, folder: Path) -> Any:
    """What LibreOffice makes of a workbook that openpyxl wrote, which keeps the formulas and none of their values."""
    stream = io.BytesIO()
    book.save(stream)
    bare = opened(stream.getvalue(), values=True)
    formulas = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]
    assert formulas and all(bare[cell.parent.title][cell.coordinate].value is None for cell in formulas)
    return through_office(stream.getvalue(), folder)


@needs_office
def test_libreoffice_opens_it_clean(tmp_path: Path) -> None:
    """Every list of an example and odd ones, as we write them: sheets, heads, cells, filters."""
    wanted = [*sheets(EXAMPLES[0]), ("order", PRICED)]
    theirs = through_office(workbook.render(wanted), tmp_path)
    assert theirs.sheetnames == [name for name, _ in wanted]
    found = [mistake for sheet, (_, table) in zip(theirs, wanted, strict=True) for mistake in mistakes(sheet, table)]
    assert found == []
    assert theirs["order"].auto_filter.ref or theirs["order"].tables


@needs_office
def test_libreoffice_recalculates_our_own_totals(tmp_path: Path) -> None:
    wanted = [
        (f"{index} {name}", table)
        for index, example in enumerate(EXAMPLES)
        for name, table in sheets(example, metric=index == 0)
        if any(column.formula or column.adds_up for column in table.columns)
    ]
    wanted.append(("order", PRICED))
    made = opened(workbook.render(wanted))
    formulas = [
        (sheet.title, cell.coordinate)
        for sheet in made
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    ]
    ours = opened(workbook.render(wanted), values=True)
    theirs = recalculated(made, tmp_path)
    assert len(formulas) > 100
    for sheet, place in formulas:
        value = theirs[sheet][place].value
        assert value == pytest.approx(ours[sheet][place].value, rel=1e-9, abs=1e-9), (sheet, place)
    sums = [place for sheet, place in formulas if re.search("SUBTOTAL", str(made[sheet][place].value))]
    assert len(sums) > 10
    found = [mistake for sheet, (_, table) in zip(theirs, wanted, strict=True) for mistake in mistakes(sheet, table)]
    assert found == []


@needs_office
def test_libreoffice_goes_on_working_with_it(tmp_path: Path) -> None:
    book = opened(workbook.render([("order", PRICED)]))
    book["order"]["B5"] = 100
    sheet = recalculated(book, tmp_path)["order"]
    assert (sheet["D5"].value, sheet["F5"].value) == (100, 750)
    assert sheet["F8"].value == pytest.approx(1.38 + 750 + 7)


BY_THE_HUNDRED = """# currency XTS
item,unit,price
"pipe, carbon steel schedule 40",100 ft,1013.37
"heavy hex nut, 5/8-11 UNC",100 pieces,87.55
"stud, 5/8-11 UNC x 3-1/2 in",100 pieces,87.55
"butterfly valve, lug, ductile iron class 150",pieces,310.00
operation,unit,hours
bolt up,10 pieces,9
handle pipe,m,0.2
factor,times
night,1.2
crew rate
87.50
"""


@needs_office
def test_prices_by_the_hundred_are_formulas_and_are_calculated_again(tmp_path: Path) -> None:
    """Every price and every hour is a formula; 300 nuts at 87.55 a hundred are 262.65, 100 joints take 90 h."""
    job = compile_file(Path(__file__).parents[2] / "examples" / "stacked-coils.hookup").job
    books = together([read_book("b.csv", BY_THE_HUNDRED.encode())])
    tables = offer(job, books, (Choice("night"),)).tables
    book = opened(workbook.render([("costs", tables["costs"]), ("hours", tables["hours"])]))
    costs, hours = book["costs"], book["hours"]
    at = {sheet.title: {str(cell.value): cell.column_letter for cell in sheet[HEAD]} for sheet in book}
    net, spent = at["costs"]["Net, XTS"], at["hours"]["Hours, h"]
    priced = [row for row, one in enumerate(tables["costs"].rows, HEAD + 1) if isinstance(one.cells["net"], float)]
    counted = [row for row, one in enumerate(tables["hours"].rows, HEAD + 1) if isinstance(one.cells["hours"], float)]
    assert len(priced) >= 4 and len(counted) >= 4
    for sheet, column, rows in ((costs, net, priced), (hours, spent, counted)):
        assert all(str(sheet[f"{column}{row}"].value).startswith("=") for row in rows)
    (nuts,) = (row for row in priced if "nut" in str(costs[f"{at['costs']['Description']}{row}"].value))
    bolted = next(row for row in counted if hours[f"{at['hours']['Operation']}{row}"].value == "bolt up")
    costs[f"{at['costs']['Quantity']}{nuts}"] = 300
    hours[f"{at['hours']['Quantity']}{bolted}"] = 100
    theirs = recalculated(book, tmp_path)
    assert theirs["costs"][f"{net}{nuts}"].value == pytest.approx(262.65)
    assert theirs["hours"][f"{spent}{bolted}"].value == pytest.approx(90 * 1.2)
    for row in set(priced) - {nuts}:
        said = tables["costs"].rows[row - HEAD - 1].cells
        assert theirs["costs"][f"{net}{row}"].value == pytest.approx(said["net"], abs=1e-9)
