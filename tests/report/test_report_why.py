"""What `why` prints."""

import csv
import io
import json
import re
from fractions import Fraction
from pathlib import Path

from coilwright import compile_file
from coilwright.model.explanation import Explanation
from coilwright.model.span import Span
from coilwright.report.explanations import Explained, render
from coilwright.report.values import as_text

TOLD = [
    Explained(
        "gallery.hookup",
        Explanation(
            "Bill of materials, row 12: 4, weld neck",
            ("the lug valve is bolted", "the spec wants weld necks"),
            (Span("gallery.hookup", 2, 5, 2, 12), Span("steel.hookup", 9, 1, 9, 4)),
        ),
        {"gallery.hookup": "supply to TRIM, 4\n    lug    valve\n"},
    )
]


def test_a_row_says_its_lengths_in_feet_and_inches() -> None:
    compilation = compile_file(str(Path(__file__).parents[2] / "examples" / "quarantine-measured.hookup"))
    (table,) = compilation.tables(["closing"])
    lengths = ("centres", "take_outs", "pieces", "gaps", "cut")
    for number, row in enumerate(table.rows, 1):
        told = compilation.why(f"closing:{number}")
        assert told is not None
        parts = re.findall(r"(\d+)/(\d+)", told.title)
        assert all(int(above) < int(below) for above, below in parts), told.title
        said = [as_text(row.cells[key], "ft-in") for key in lengths if isinstance(row.cells.get(key), Fraction)]
        assert said and not [text for text in said if text not in told.title.split(", ")]


def test_every_paragraph_of_a_sum_stands_alone() -> None:
    compilation = compile_file(str(Path(__file__).parents[2] / "examples" / "quarantine-measured.hookup"))
    (table,) = compilation.tables(["closing"])
    for number, _ in enumerate(table.rows, 1):
        told = compilation.why(f"closing:{number}")
        assert told is not None and len(told.paragraphs) > 1
        assert all(text and text.count("(") == text.count(")") for text in told.paragraphs), told.paragraphs


def test_text() -> None:
    assert render(TOLD, "text") == (
        "Bill of materials, row 12: 4, weld neck\n  the lug valve is bolted\n  the spec wants weld necks\n"
        "  gallery.hookup:2:5: lug valve\n  steel.hookup:9:1\n"
    )


def test_json_csv_and_markdown_hold_the_same() -> None:
    (one,) = json.loads(render(TOLD, "json"))["explanations"]
    assert one["paragraphs"] == ["the lug valve is bolted", "the spec wants weld necks"]
    assert one["places"] == [
        {"place": "gallery.hookup:2:5", "line": "lug valve"},
        {"place": "steel.hookup:9:1", "line": ""},
    ]
    rows = list(csv.DictReader(io.StringIO(render(TOLD, "csv"), newline="")))
    assert [row["text"] for row in rows] == ["the lug valve is bolted", "the spec wants weld necks", "lug valve", ""]
    assert "| the lug valve is bolted |" in render(TOLD, "md")


def test_a_place_is_named_once() -> None:
    """Two parts that one line of the file makes have spans that begin alike and end apart."""
    twice = Explanation("joint", ("bolted",), (Span("gallery.hookup", 2, 5, 2, 12), Span("gallery.hookup", 2, 5, 2, 8)))
    told = [Explained("gallery.hookup", twice, TOLD[0].sources)]
    assert render(told, "text") == "joint\n  bolted\n  gallery.hookup:2:5: lug valve\n"
    (one,) = json.loads(render(told, "json"))["explanations"]
    assert one["places"] == [{"place": "gallery.hookup:2:5", "line": "lug valve"}]
