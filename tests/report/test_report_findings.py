"""Findings on screen, in Markdown, CSV and JSON."""

import csv
import io

import pytest
from coilwright.model.finding import Finding, Note
from coilwright.model.span import Span
from coilwright.report import findings_csv, findings_md, findings_text, tables_csv
from coilwright.report.colour import ansi_paint
from coilwright.report.excerpt import Sources, excerpt
from coilwright.report.plain import width
from hypothesis import given
from hypothesis import strategies as st

FILE = "gallery.hookup"
LINES = [""] * 37 + ["        left 1 ft", "", "", "        butterfly valve BV-*02, lug", ""]
SOURCE = {FILE: "\n".join(LINES)}
NO_DRAIN = Finding(
    "drain-missing",
    "must",
    "no drain between `BV-*02` and coil `TRIM`",
    Span(FILE, 41, 9, 41, 36),
    "shut, this valve holds water in the coil",
    (Note("the lowest place is this elbow", Span(FILE, 38, 9, 38, 18)), Note("the coil holds 19 gal")),
    "add `drain 3/4` below line 41",
    tuple(f"GA-{number}" for number in range(1, 41)),
)

GOLDEN = """\
gallery.hookup:41:9: must: no drain between `BV-*02` and coil `TRIM` [drain-missing]
   |
41 |         butterfly valve BV-*02, lug
   |         ^^^^^^^^^^^^^^^^^^^^^^^^^^^ shut, this valve holds water in the coil
   = note: the lowest place is this elbow (gallery.hookup:38:9)
   = note: the coil holds 19 gal
   = units: GA-1, GA-2 and 38 more
   = help: add `drain 3/4` below line 41
"""


def at(line: str, start: int, end: int) -> tuple[str, str]:
    """The excerpt of columns `start` to `end` (from 1, end excluded) of a one-line file."""
    shown = excerpt(Span("f", 1, start, 1, end), Sources({"f": line}))
    assert shown is not None
    return shown


def test_the_whole_anatomy() -> None:
    assert findings_text.render([NO_DRAIN], SOURCE) == GOLDEN


def test_findings_are_parted_by_an_empty_line() -> None:
    assert findings_text.render([NO_DRAIN, NO_DRAIN], SOURCE) == GOLDEN + "\n" + GOLDEN


def test_a_short_finding_has_no_empty_parts() -> None:
    short = Finding("size-missing", "error", "this line has no size", Span(FILE, 38, 9, 38, 13), units=("GA-1",))
    assert findings_text.render([short], SOURCE) == (
        "gallery.hookup:38:9: error: this line has no size [size-missing]\n"
        "   |\n38 |         left 1 ft\n   |         ^^^^\n   = unit: GA-1\n"
    )


def test_a_file_that_was_not_read_has_no_excerpt() -> None:
    unread = Finding("unreadable", "error", "cannot read `shop.hookup`", Span("shop.hookup", 1, 1, 1, 1), label="why")
    assert findings_text.render([unread], {}) == (
        "shop.hookup:1:1: error: cannot read `shop.hookup` [unreadable]\n  = here: why\n"
    )


def test_colour_only_wraps_what_is_there() -> None:
    painted = findings_text.render([NO_DRAIN], SOURCE, ansi_paint)
    assert "\x1b[31mmust\x1b[0m:" in painted
    assert painted.replace("\x1b[31m", "").replace("\x1b[0m", "") == GOLDEN


def test_tabs_become_blanks_and_the_marks_stay_under_the_words() -> None:
    assert at("\tvent\t1/2", 2, 6) == ("    vent    1/2", "    ^^^^")
    assert at("\tvent\t1/2", 7, 10) == ("    vent    1/2", "            ^^^")


def test_wide_characters_take_two_marks() -> None:
    assert at("弁 BV-101", 1, 2) == ("弁 BV-101", "^^")
    assert at("弁 BV-101", 3, 9) == ("弁 BV-101", "   ^^^^^^")


def test_an_empty_span_and_one_behind_the_end_get_one_mark() -> None:
    assert at("supply to TRIM", 15, 15) == ("supply to TRIM", "              ^")
    assert at("vent", 90, 95) == ("vent", "    ^")
    assert at("", 1, 1) == ("", "^")


def test_a_block_is_marked_on_its_first_line() -> None:
    shown = excerpt(Span("f", 1, 3, 4, 2), Sources({"f": "a bc\nd\n\nefg"}))
    assert shown == ("a bc", "  ^^")


@pytest.mark.parametrize("start", [1, 5_000, 999_990])
def test_a_very_long_line_is_cut_around_the_words(start: int) -> None:
    line = "x" * (start - 1) + "BV-101" + "y" * (1_000_000 - start)
    shown, marks = at(line, start, start + 6)
    assert len(shown) <= 102
    assert [c for c, mark in zip(shown, marks, strict=False) if mark == "^"] == list("BV-101")


def test_nothing_from_a_file_moves_the_cursor() -> None:
    evil = Finding(
        "unknown-word", "error", "no \x1b[2J word", Span("f\x07", 1, 1, 1, 9), label="\u202eabc", help="\x9b"
    )
    shown = findings_text.render([evil], {"f\x07": "\x1b]0;title\x07\x00 \u2028"})
    assert all(c.isprintable() or c == "\n" for c in shown)


@given(st.text(st.characters(exclude_characters="\n"), max_size=300), st.integers(1, 310), st.integers(0, 310))
def test_marks_never_stand_outside_the_line(line: str, start: int, length: int) -> None:
    shown, marks = at(line, start, start + length)
    assert set(marks.lstrip(" ")) == {"^"}
    assert width(shown) <= 102
    assert len(marks) <= max(width(shown), 1) + 1


def test_csv_holds_every_part() -> None:
    rows = list(csv.DictReader(io.StringIO(tables_csv.render([findings_csv.as_table([NO_DRAIN])]), newline="")))
    assert rows[0]["file"] == FILE
    assert (rows[0]["line"], rows[0]["column"], rows[0]["severity"]) == ("41", "9", "must")
    assert rows[0]["notes"] == "the lowest place is this elbow (gallery.hookup:38:9); the coil holds 19 gal"
    assert rows[0]["units"].count("GA-") == 40


def test_markdown() -> None:
    assert (
        findings_md.render([NO_DRAIN], SOURCE)
        == """\
- **must** gallery.hookup:41:9: no drain between `BV-*02` and coil `TRIM` (drain-missing)

  ```text
          butterfly valve BV-*02, lug
          ^^^^^^^^^^^^^^^^^^^^^^^^^^^ shut, this valve holds water in the coil
  ```

  - note: the lowest place is this elbow (gallery.hookup:38:9)
  - note: the coil holds 19 gal
  - units: GA-1, GA-2 and 38 more
  - help: add `drain 3/4` below line 41
"""
    )


def test_a_fence_is_longer_than_what_it_holds() -> None:
    ticks = Finding("x", "note", "a", Span("f", 1, 1, 1, 2))
    assert "  ````text\n  ```\n" in findings_md.render([ticks], {"f": "```"})
