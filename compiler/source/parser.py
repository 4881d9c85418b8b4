"""text -> tree and findings. Never raises because of the text, and gives a tree for whatever could be read.

The whole text is lexed first; lines and indents are made in `lines`; the tokens then go one by one into lark's
interactive parser. A token that does not fit is a finding: the rest of its line is dropped, the line is closed as well
as it goes, and reading goes on with the next. (lark's own `on_error` does not work together with an indenter.)
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from threading import Lock
from typing import Any

from lark import Lark, Token, UnexpectedToken
from lark.parsers.lalr_interactive_parser import InteractiveParser

from ..model.finding import Finding
from ..model.nearest import nearest
from ..model.span import Span
from .build import Build
from .expected import KEYWORDS, expected
from .lines import Line, indented, span_of, split
from .plain import one_newline, plain
from .tree import Tree

#: A line longer than this is no line of a hookup.
LONGEST_LINE = 2000
#: What a broken line may be closed with, in this order.
_HOLES = ("WORD", "TAG", "STRING", "SIZE", "QUANTITY", "TO", "FROM", "OF", "MAIN")

_lock = Lock()  # the builder inside the parser holds one file at a time


@cache
def _parser() -> tuple[Lark, Build]:
    build = Build()
    grammar = (files("coilwright.grammar") / "hookup.lark").read_text(encoding="utf-8")
    return Lark(grammar, parser="lalr", lexer="basic", transformer=build, maybe_placeholders=False), build


def parse_text(text: str, file: str) -> tuple[Tree, list[Finding]]:
    """The tree of a text and what was wrong with it. `file` is the name that places carry."""
    text = one_newline(text)
    shortened, found = _without_long_lines(text, file)
    with _lock:
        lark, build = _parser()
        lines = split(lark.lex(plain(shortened)), shortened, file)
        build.begin(file, shortened, lines.lines)
        feeder = _Feeder(lark.parse_interactive(), file)
        for line, step in indented(lines, file):
            feeder.line(line, step)
        statements = feeder.end()
    tree = Tree(file, text, tuple(s for s in statements if s is not None), lines.after)
    said = {finding.span.line for finding in lines.findings}  # one mistake, one finding
    return tree, [*found, *lines.findings, *(f for f in feeder.findings if f.span.line not in said)]


def _without_long_lines(text: str, file: str) -> tuple[str, list[Finding]]:
    """The text with lines that are too long cut short, each with a finding."""
    rows = text.split("\n")
    found = []
    for number, row in enumerate(rows, 1):
        if len(row) > LONGEST_LINE:
            span = Span(file, number, 1, number, 2)
            message = f"this line has {len(row)} characters; the longest that is read has {LONGEST_LINE}"
            found.append(Finding("line-too-long", "error", message, span, help="break it into several lines"))
            rows[number - 1] = "#"
    return ("\n".join(rows) if found else text), found


class _Feeder:
    """Feeds lines to the parser and recovers from what does not fit."""

    def __init__(self, parser: InteractiveParser, file: str) -> None:
        self.parser = parser
        self.file = file
        self.findings: list[Finding] = []
        self._muted = 0  # depth of blocks that are left out, since the line they belong to is
        self._mute_block = False
        self._last = Token("_NL", "", 0, 1, 1, 1, 1, 0)

    def line(self, line: Line, step: int) -> None:
        """One line, behind the blocks that it opens or closes."""
        if step == 1 and (self._muted or self._mute_block):
            self._muted += 1
        elif step == 1:
            if "_INDENT" not in self.parser.accepts():
                self._unexpected_block(line)
                self._muted = 1
            else:
                self._feed("_INDENT")
        for _ in range(-step if step < 0 else 0):
            if self._muted:
                self._muted -= 1
            else:
                self._feed("_DEDENT")
        self._mute_block = False
        if not self._muted:
            self._tokens(line)

    def end(self) -> Sequence[Any]:
        """Close all blocks; the file's statements."""
        while "_DEDENT" in self.parser.accepts():
            self._feed("_DEDENT")
        statements: Sequence[Any] = self.parser.feed_eof(self._last)
        return statements

    def _tokens(self, line: Line) -> None:
        choices = self.parser.choices()
        for number, token in enumerate(line.tokens):
            try:
                self.parser.feed_token(token)
            except UnexpectedToken:
                self._complain(line, token, choices)
                if number == 0:
                    self._mute_block = True
                    return
                self._last = line.tokens[number - 1]
                self._close_line()
                return
            self._last = token
        try:
            self._feed("_NL")
        except UnexpectedToken:
            self._complain(line, None, choices)
            self._close_line()

    def _feed(self, type: str, text: str = "") -> None:
        self.parser.feed_token(Token.new_borrow_pos(type, text, self._last))

    def _close_line(self) -> None:
        """End a broken line, with holes where something is missing."""
        for _ in range(6):
            accepts = self.parser.accepts()
            if "_NL" in accepts:
                self._feed("_NL")
                return
            hole = next((name for name in _HOLES if name in accepts), None)
            if hole is None:
                return
            self._feed(hole, "?")

    def _complain(self, line: Line, token: Token | None, choices: dict[str, Any]) -> None:
        """A finding for the token that does not fit, or for the end of the line if None."""
        first = line.tokens[0]
        accepts = self.parser.accepts()
        words = expected(accepts)
        keyword = self._near_keyword(first, choices)
        if keyword:
            message = f"`{first}` begins no line known here"
            span, help = span_of(first, self.file), f"`{keyword}` does"
        elif token is None:
            message = f"something is missing at the end of this line: {words}"
            span, help = span_of(line.tokens[-1], self.file).after(), ""
        else:
            message = f"`{token}` does not fit here" if token.type != "_COMMA" else "this comma does not fit here"
            span, help = span_of(token, self.file), f"expected: {words}" if words else ""
        self.findings.append(Finding("not-understood", "error", message, span, help=help))

    def _near_keyword(self, first: Token, choices: dict[str, Any]) -> str | None:
        """The keyword that a line probably meant to begin with."""
        if first.type != "WORD":
            return None
        return nearest(str(first), [word for word in KEYWORDS if word.upper() in choices])

    def _unexpected_block(self, line: Line) -> None:
        span = span_of(line.tokens[0], self.file)
        message = "this line stands deeper than the one above, which takes no block"
        help = "line it up with the line above"
        self.findings.append(Finding("unexpected-block", "error", message, span, help=help))
