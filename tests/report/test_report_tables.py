"""Lists on paper, in CSV, JSON and Markdown."""

import csv
import io
import json
import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import jsonschema
import pytest
from coilwright.model.finding import Finding, Note
from coilwright.model.span import Span
from coilwright.model.table import NOT_IN_TABLES, NOT_MEASURED, Column, Row, Table
from coilwright.report import document, tables_csv, tables_md, tables_text
from coilwright.report.document import Look, render
from coilwright.report.plain import width
from coilwright.report.result import Result, sum_line, without_repeats
from coilwright.report.tables_text import used_columns
from hypothesis import given
from hypothesis import strategies as st

HERE = (Span("gallery.hookup", 41, 9, 41, 36),)
BILL = Table(
    "bill",
    "Bill of materials",
    (
        Column("item", "Item", align="right"),
        Column("size", "Size"),
        Column("description", "Description"),
        Column("length", "Length", "in", "right"),
        Column("total", "Total", align="right"),
        Column("extra", "Spare", align="right"),
        Column("tags", "Tags"),
    ),
    (
        Row({"item": 1, "size": "4", "description": "pipe", "length": NOT_MEASURED, "total": 12.5}, HERE, "the run"),
        Row({"item": 2, "size": "5/8", "description": "stud", "length": Fraction(7, 2), "total": 80}, HERE),
        Row(
            {
                "item": 3,
                "size": "2-1/2",
                "description": "butterfly valve, lug",
                "total": 5,
                "tags": ("BV-101", "BV-201", "BV-301", "BV-401", "BV-501"),
            },
            HERE,
        ),
    ),
    ("Pipe is centre to centre.",),
)

ON_PAPER = """\
Bill of materials
=================
Item  Size   Description             Length, in  Total  Tags
----  -----  --------------------  ------------  -----  --------------------------------------
   1  4      pipe                  not measured   12.5
   2  5/8    stud                         3-1/2     80
   3  2-1/2  butterfly valve, lug                    5  BV-101, BV-201, BV-301, BV-401, BV-501

Pipe is centre to centre.
"""


def cells(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline="")))


def test_text_columns_line_up_and_an_empty_one_is_left_out() -> None:
    assert tables_text.render([BILL]) == ON_PAPER


@pytest.mark.parametrize("columns", [50, 60, 70, 85])
def test_text_keeps_to_the_width_and_loses_no_word(columns: int) -> None:
    shown = tables_text.render([BILL], columns)
    assert max(map(len, shown.splitlines())) <= columns
    wide = re.findall(r"[\w/-]+", tables_text.render([BILL]))
    assert sorted(w for w in re.findall(r"[\w/-]+", shown) if set(w) != {"-"}) == sorted(
        w for w in wide if set(w) != {"-"}
    )


def test_text_too_narrow_for_columns_puts_them_one_below_the_other() -> None:
    shown = tables_text.render([BILL], 30)
    assert shown.splitlines()[2:5] == ["Item: 1", "Size: 4", "Description: pipe"]
    assert "Length, in: not measured" in shown
    assert max(map(len, shown.splitlines())) <= 30


def test_a_column_to_be_filled_in_by_hand_is_printed_empty() -> None:
    log = replace(BILL, columns=(*BILL.columns, Column("welder", "Welder", by_hand=True)))
    heads, _, first = tables_text.render([log]).splitlines()[2:5]
    assert heads.endswith("Welder") and "Spare" not in heads and first.endswith("12.5")
    narrow = tables_text.render([log], 30).splitlines()
    assert narrow.count("Welder: " + "_" * 16) == len(BILL.rows)
    assert "| Tags | Welder |" in tables_md.render([log])
    assert cells(tables_csv.render([log]))[1][-1] == ""


def test_a_column_for_programs_is_in_data_and_not_on_paper() -> None:
    first, *others = BILL.columns
    marked = replace(BILL, columns=(replace(first, data_only=True), *others))
    for render_ in (tables_text.render, tables_md.render):
        assert first.title in render_([BILL]) and first.title not in render_([marked])
    assert tables_csv.render([marked]) == tables_csv.render([BILL])
    assert [c.key for c in used_columns(marked, data=True)] == [c.key for c in used_columns(BILL)]


def test_wide_characters_keep_the_columns() -> None:
    table = Table(
        "t", "T", (Column("a", "A"), Column("b", "B")), (Row({"a": "弁", "b": "x"}, ()), Row({"a": "ab", "b": "x"}, ()))
    )
    assert [width(line) for line in tables_text.render([table]).splitlines()[4:]] == [5, 5]


def test_a_list_without_rows_says_so() -> None:
    assert "This list has no rows." in tables_text.render([replace(BILL, rows=())])
    assert "This list has no rows." in tables_md.render([replace(BILL, rows=())])


def test_csv_of_one_list_is_its_header_and_rows() -> None:
    text = tables_csv.render([BILL])
    assert text.endswith("\r\n") and "\n" not in text.replace("\r\n", "")
    assert cells(text) == [
        ["item", "size", "description", "length_in", "total", "extra", "tags"],
        ["1", "4", "pipe", "not measured", "12.5", "", ""],
        ["2", '5/8"', "stud", "3.5", "80", "", ""],
        ["3", '2-1/2"', "butterfly valve, lug", "", "5", "", "BV-101, BV-201, BV-301, BV-401, BV-501"],
    ]


def test_csv_of_several_lists_has_a_title_over_each() -> None:
    rows = cells(tables_csv.render([BILL, replace(BILL, title="=Again")]))
    assert rows[0] == ["Bill of materials"]
    assert rows[5] == []
    assert rows[6] == ["'=Again"]
    assert rows[7] == rows[1]


@pytest.mark.parametrize(
    "evil", ["=1+1", "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", " =1", "\n=1", "＝1", '=HYPERLINK("x")']
)
def test_csv_cells_that_would_run_are_harmless(evil: str) -> None:
    assert tables_csv.cell(evil) == "'" + evil
    assert tables_csv.cell((evil, "B")) == f"'{evil}, B"


@pytest.mark.parametrize(
    ("value", "text"),
    [(-3, "-3"), (-2.5, "-2.5"), (Fraction(-7, 2), "-3.5"), ("-5", "-5"), ("+1.5", "+1.5"), ("4 x 2-1/2", "4 x 2-1/2")],
)
def test_csv_numbers_stay_numbers(value: str | int | float | Fraction, text: str) -> None:
    assert tables_csv.cell(value) == text


@given(st.text())
def test_csv_reads_back_and_never_runs(text: str) -> None:
    table = Table("t", "T", (Column("a", "A"), Column("b", "B")), (Row({"a": text, "b": "x"}, ()),))
    stored = cells(tables_csv.render([table]))[1]
    assert stored[0] in (text, "'" + text, text + '"')
    assert stored[1] == "x"
    assert not stored[0].startswith(("=", "@", "\t", "\r"))
    if stored[0].startswith(("+", "-")):
        float(stored[0])


def test_json_fits_its_description() -> None:
    schema = json.loads((Path(__file__).parents[2] / "docs" / "output.schema.json").read_text())
    found = Finding(
        "drain-missing", "must", "no drain", HERE[0], notes=(Note("a"), Note("b", HERE[0])), units=("GA-1",)
    )
    data = json.loads(render([Result("gallery.hookup", (found,), {}, (BILL,))], "json"))
    jsonschema.validate(data, schema)
    assert data["form"] == document.JSON_FORM
    assert data["count"] == {"error": 0, "must": 1, "should": 0, "note": 0}
    (table,) = data["files"][0]["tables"]
    assert table["rows"][0]["cells"]["length"] == {"value": None, "text": "not measured"}
    assert table["rows"][1]["cells"]["length"] == {"value": 3.5, "text": "3-1/2"}
    assert table["rows"][2]["cells"]["tags"][4] == "BV-501"
    assert table["rows"][0]["origin"] == ["gallery.hookup:41:9"]
    assert (table["rows"][0]["row"], table["rows"][0]["why"]) == ("bill:1", "the run")


def test_json_names_the_unit_of_its_numbers() -> None:
    table = Table("cuts", "Cuts", (Column("l", "L", "ft-in"),), (Row({"l": Fraction(29, 2)}, HERE),))
    (shown,) = json.loads(render([Result("f", (), {}, (table,))], "json"))["files"][0]["tables"]
    assert shown["columns"][0]["unit"] == "in"
    assert shown["rows"][0]["cells"]["l"] == {"value": 14.5, "text": "1 ft 2-1/2 in"}


def test_markdown_escapes_what_would_be_markup() -> None:
    table = Table("t", "T | *x*", (Column("a", "A"),), (Row({"a": "BV-*01 | BV-*02 `<b>`\nnext"}, ()),))
    assert tables_md.render([table]) == (
        "## T \\| \\*x\\*\n\n| A |\n|---|\n| BV-\\*01 \\| BV-\\*02 \\`\\<b\\>\\` next |\n"
    )


def test_unknown_values_are_words_everywhere() -> None:
    table = Table("t", "T", (Column("a", "A", "in"),), (Row({"a": NOT_IN_TABLES}, ()),))
    assert "not in the tables" in tables_text.render([table])
    assert cells(tables_csv.render([table]))[1] == ["not in the tables"]
    assert "| not in the tables |" in tables_md.render([table])


def test_a_document_has_findings_lists_and_sum_in_this_order() -> None:
    found = Finding("drain-missing", "should", "no drain", HERE[0])
    result = Result("gallery.hookup", (found,), {}, (BILL,))
    shown = render([result], "text")
    assert shown.startswith("gallery.hookup:41:9: should: no drain")
    assert shown.index("Bill of materials") < shown.index("1 finding (1 should), in 1 file")
    assert shown.endswith("in 1 file\n")
    assert render([result], "text", Look(findings=False, sum=False)) == tables_text.render([BILL])


def test_several_files_name_themselves_in_the_titles() -> None:
    results = [Result(name, (), {}, (BILL,)) for name in ("a.hookup", "b.hookup")]
    shown = render(results, "text")
    assert "Bill of materials: a.hookup\n" in shown
    assert "Bill of materials: b.hookup\n" in shown
    assert shown.endswith("no findings, in 2 files\n")


def test_a_finding_of_a_shared_file_is_told_once() -> None:
    found = Finding("size-missing", "must", "no size", HERE[0])
    other = Finding("size-missing", "must", "no size there", HERE[0])
    results = without_repeats([Result("a", (found,), {}), Result("b", (found, other), {})])
    assert [result.findings for result in results] == [(found,), (other,)]
    assert sum_line(results) == "2 findings (2 must), in 2 files"


ADDED = Table(
    "welds",
    "Welds",
    (
        Column("kind", "Kind"),
        Column("joints", "Joints", align="right", adds_up=True),
        Column("metal", "Weld metal", "lb", "right", adds_up=True),
        Column("cut", "Cut", "in", "right", adds_up=True),
        Column("each", "Each", align="right"),
    ),
    (
        Row({"kind": "butt", "joints": 2, "metal": 0.1, "cut": Fraction(7, 2), "each": 1}, HERE),
        Row({"kind": "slip-on", "joints": 5, "metal": 0.2, "cut": Fraction(1, 4), "each": 2}, HERE),
        Row({"kind": "branch", "joints": 1, "metal": NOT_IN_TABLES, "each": 3}, HERE),
    ),
)


def test_what_adds_up_has_its_sum_on_paper() -> None:
    """2 + 5 + 1 joints, 0.1 + 0.2 lb, 3-1/2 + 1/4 in; one weight is not known, and `Each` adds up to nothing."""
    lines = tables_text.render([ADDED], 110).splitlines()
    at = next(number for number, line in enumerate(lines) if line.startswith("Sum"))
    assert lines[at].split("  ")[0] == "Sum, without 1 unknown"
    assert lines[at].removeprefix("Sum, without 1 unknown").split() == ["8", "0.3", "3-3/4"]
    assert set(lines[at - 1]) == {"-", " "}
    assert "| Sum, without 1 unknown | 8 | 0.3 | 3-3/4 |  |" in tables_md.render([ADDED])
    assert "Sum" not in tables_csv.render([ADDED])
    narrow = tables_text.render([ADDED], 20).splitlines()
    assert "Kind: Sum, without 1 unknown" in " ".join(narrow) or "    unknown" in narrow


def test_one_row_has_no_sum() -> None:
    assert "Sum" not in tables_text.render([replace(ADDED, rows=ADDED.rows[:1])], 110)
