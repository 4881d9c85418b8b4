"""Keywords misspelt or left out in a whole file: one finding at the place, and the tree as if nothing were wrong."""

from __future__ import annotations

import re

import pytest
from coilwright.source.expected import KEYWORDS
from coilwright.source.parser import parse_text
from source_dump import dump
from source_sample import SAMPLE
from test_source_corpus import CASES

ROWS = SAMPLE.split("\n")
WHOLE = dump(parse_text(SAMPLE, "a")[0])


def places(words: list[str]) -> list[tuple[int, int, str]]:
    """Where keywords stand as such, behind the first word of a line: line, column, word. From 0."""
    found = []
    for number, row in enumerate(ROWS):
        code = re.split(r"[#,]", row)[0] + " "  # behind a comma they are plain words
        if (
            re.match(r" *(unit|supply|return|crossover|coil|from|to|replace|resize|lengths)\b", code)
            and " low " not in code
        ):
            found += [(number, m.start(), m[0]) for m in re.finditer(rf"(?<=\w )({'|'.join(words)})(?= )", code)]
    return found


def changed(number: int, row: str) -> str:
    return "\n".join([*ROWS[:number], row, *ROWS[number + 1 :]])


MISSPELT = places(["is", "to", "from", "with", "main", "of"])
LEFT_OUT = [place for place in places(["is", "to", "from", "on", "with", "of"]) if "over" not in ROWS[place[0]]]


def test_there_is_something_to_try() -> None:
    assert {word for *_, word in MISSPELT} >= {"is", "to", "from", "main"}
    assert {word for *_, word in LEFT_OUT} >= {"is", "to", "from", "on"}


@pytest.mark.parametrize(("number", "column", "word"), MISSPELT)
def test_a_misspelt_keyword(number: int, column: int, word: str) -> None:
    row = ROWS[number]
    wrong = word[0] + word  # `iis`, `ffrom`
    tree, (finding,) = parse_text(changed(number, row[:column] + wrong + row[column + len(word) :]), "a")
    assert (finding.span.line, finding.span.column, finding.span.end_column) == (
        number + 1,
        column + 1,
        column + 1 + len(wrong),
    )
    assert f"`{wrong}`" in finding.message
    assert finding.help == f"`{word}` does"
    assert dump(tree) == WHOLE


@pytest.mark.parametrize(("number", "column", "word"), LEFT_OUT)
def test_a_keyword_left_out(number: int, column: int, word: str) -> None:
    row = ROWS[number]
    tree, (finding,) = parse_text(changed(number, row[:column] + row[column + len(word) + 1 :]), "a")
    assert (finding.span.line, finding.span.column, finding.span.end_column) == (number + 1, column, column)
    assert finding.message.startswith(f"`{word}` is missing before")
    assert dump(tree) == WHOLE


@pytest.mark.parametrize(
    "number", [n for n, row in enumerate(ROWS) if re.match(r"    (supply|return|crossover) .*, ", row)]
)
def test_the_comma_before_a_size_left_out(number: int) -> None:
    row = ROWS[number]
    tree, (finding,) = parse_text(changed(number, row.replace(",", "", 1)), "a")
    assert (finding.span.line, finding.span.column) == (number + 1, row.index(",") + 1)
    assert finding.message.startswith("a comma is missing before")
    assert dump(tree) == WHOLE


def test_no_message_shows_a_name_of_the_grammar() -> None:
    said = [f for case in CASES for f in parse_text(case.text, "a")[1]]
    assert len(said) > 60
    for finding in said:
        for text in (finding.message, finding.help):
            own = re.sub(r"`[^`]*`", "", text)
            assert not re.search(r"_|\$|[A-Z]{3,}", own), text
            assert not set(re.findall(r"[A-Z_]+", own)) & {*KEYWORDS}, text


def test_a_tag_in_small_letters_is_read_as_meant() -> None:
    number, row = next((n, row) for n, row in enumerate(ROWS) if re.search(r" [A-Z]+-\*\d", row))
    tag = re.search(r"[A-Z]+-\*\d+", row)
    assert tag is not None
    tree, (finding,) = parse_text(changed(number, row.replace(tag[0], tag[0].lower(), 1)), "a")
    assert finding.message == f"`{tag[0].lower()}` is a tag, and tags are written in capitals"
    assert finding.help == f"`{tag[0]}`"
    assert (finding.span.line, finding.span.column) == (number + 1, tag.start() + 1)
    assert dump(tree) == WHOLE
