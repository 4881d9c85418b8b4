"""The scanner gives what lark's own lexer gives."""

from __future__ import annotations

from coilwright.source.parser import _parser
from coilwright.source.plain import plain
from hypothesis import example, given
from hypothesis import strategies as st
from lark.lexer import LexerThread
from source_sample import SAMPLE
from test_source_corpus import CASES

ROWS = sorted({row for text in [SAMPLE, *(case.text for case in CASES)] for row in text.split("\n")})


def check(row: str) -> None:
    lark, _, scanner = _parser()
    own = [(t.type, str(t), t.column, t.end_column) for t in scanner.tokens(row, 7)]
    theirs = LexerThread.from_text(lark.parser.lexer, row).lex(None)
    assert own == [(t.type, str(t), t.column, t.end_column) for t in theirs]


def test_every_line_of_the_corpus() -> None:
    assert len(ROWS) > 200
    for row in ROWS:
        check(plain(row))


@given(st.text(alphabet=" \t#\"',*-+./%°0123½e¾ABDNFfinptmlswhu", max_size=40))
@example("3'-2 1/2\"x")
def test_any_line(row: str) -> None:
    check(plain(row))
