"""No grammar name reaches a reader, and every good line that is shown is good."""

from __future__ import annotations

import re

import pytest
from coilwright.source.expected import GOOD_LINES, KEYWORDS, OTHER_LINE, PHRASES, expected
from coilwright.source.parser import _parser, parse_text
from hypothesis import given
from hypothesis import strategies as st

TERMINALS = sorted({t.name for t in _parser()[0].terminals} | {"_NL", "_INDENT", "_DEDENT", "_HOLE", "$END"})


def test_every_terminal_has_a_phrase() -> None:
    assert [t for t in TERMINALS if t not in PHRASES and t != "_BLANK"] == []
    assert [t for t in PHRASES if t not in TERMINALS and t != "_SET_ASIDE"] == []


def test_keywords_are_those_of_the_grammar() -> None:
    patterns = {t.name: t.pattern.value for t in _parser()[0].terminals}
    assert {name: patterns[name] for name in KEYWORDS} == KEYWORDS


@given(st.sets(st.sampled_from(TERMINALS)))
def test_expectations_are_few_and_in_trade_words(terminals: set[str]) -> None:
    words = expected(terminals)
    assert not re.search(r"_|\$|[A-Z]{4,}", words)
    assert len(re.split(r", | or ", words)) <= 5


FRAMES = {
    "COIL": "typical a\n    {}",
    "LINEUP": "typical a\n    {}",
    "CABINET": "typical a\n    {}",
    "SUPPLY": "typical a\n    {}",
    "RETURN": "typical a\n    {}",
    "OMIT": "unit A is b\n    {}",
    "RESIZE": "unit A is b\n    {}",
    "REPLACE": "unit A is b\n    {}",
    "ADD": "unit A is b\n    {}",
} | dict.fromkeys(["FROM", "TO", "THROUGH", "ABOUT", "DIRECTION", "WORD"], "assembly a\n    {}")


@pytest.mark.parametrize("name", GOOD_LINES)
def test_good_lines_are_good(name: str) -> None:
    _, findings = parse_text(FRAMES.get(name, "{}").format(GOOD_LINES[name]), "a")
    assert findings == []


def test_good_line_of_another_name_is_good() -> None:
    assert parse_text(f"typical a\n    {OTHER_LINE}", "a")[1] == []
