"""Feeds lines to the parser, turns keywords into words where they are none, and recovers from what does not fit.

Recovery: a token that does not fit is a finding, and those behind it are left out up to one that does fit. A line that
lacks something is ended with holes and then left out of the tree, as is a line whose first token does not fit, with
its block. Either way reading goes on with the next line, and one line gives one finding.
"""

from __future__ import annotations

from typing import Any

from lark import Token, UnexpectedToken
from lark.parsers.lalr_analysis import Shift
from lark.parsers.lalr_interactive_parser import InteractiveParser

from ..model.finding import Finding
from . import complain
from .expected import KEYWORDS
from .lines import Line
from .tree import Comment, Statement

#: What a broken line may be ended with, in this order.
_HOLES = ("FROM", "TO", "OF", "WITH", "AFTER", "TAG", "STRING", "SIZE", "WORD")
_MOST_HOLES = 6
#: Words with a part in the grammar, each a plain word wherever its part is not asked for.
_PLAIN_ELSEWHERE = {*KEYWORDS, "DIRECTION"}


class Feeder:
    """Reads one file. `findings` gets what is wrong, `broken` the numbers of lines that are to be left out."""

    def __init__(self, parser: InteractiveParser, file: str, broken: set[int], findings: list[Finding]) -> None:
        self._parser = parser
        self._state = parser.parser_state
        self._states = parser.parser_state.parse_conf.states
        self._file = file
        self._broken = broken
        self._findings = findings
        self._said = {finding.span.line for finding in findings}
        self._left_out = 0  # how many blocks are open that belong to a line left out
        self._leave_block = False
        self._carried: tuple[Comment | None, ...] = ()  # comments of lines left out: the next line takes them over
        self._last = Token("_NL", "", 0, 1, 1, 1, 1, 0)

    def line(self, line: Line) -> None:
        """One line, behind the blocks that it opens or closes."""
        if not line.too_deep:
            self._blocks(line)
        if line.too_deep or self._left_out or not self._tokens(line):
            trailing = () if line.trailing is None else (line.trailing,)
            self._carried = (*self._carried, *line.before, *trailing)
        else:
            line.before = (*self._carried, *line.before)
            self._carried = ()

    def end(self) -> tuple[tuple[Statement, ...], tuple[Comment | None, ...]]:
        """Close all blocks; the file's statements, and the comments of lines left out at its end."""
        while self._accepts("_DEDENT"):
            self._feed("_DEDENT")
        statements: tuple[Statement, ...] = self._parser.feed_eof(self._last)
        return statements, self._carried

    def _blocks(self, line: Line) -> None:
        for _ in range(-line.step):
            if self._left_out:
                self._left_out -= 1
            else:
                self._feed("_DEDENT")
        if line.step == 1:
            if self._left_out or self._leave_block:
                self._left_out += 1
            elif self._accepts("_INDENT"):
                self._feed("_INDENT")
            else:
                self._left_out = 1
                self._say(complain.unexpected_block(line, self._file))
        self._leave_block = False

    def _tokens(self, line: Line) -> bool:
        """Feed the tokens of a line and its end; whether it went well enough for the line to be kept."""
        first = line.tokens[0]
        begins = complain.begins_line(line.tokens) and not self._accepts(first.type)
        if begins or not self._take(first):
            wanted = [name for name in self._choices() if self._accepts(name)]
            self._say(complain.wrong_line(line, wanted, self._file))
            self._feed("_HOLE")
            self._leave_block = True
            return False
        self._last = first
        for token in line.tokens[1:]:
            if self._take(token):
                self._last = token
            else:
                self._complain(line, token)
        if self._accepts("_NL"):
            self._feed("_NL")
            return True
        self._complain(line, None)
        return self._end_with_holes(line)

    def _end_with_holes(self, line: Line) -> bool:
        """End a line that lacks something. Behind a comma nothing but a detail is lacking, and the line stays."""
        whole = self._last.type == "_COMMA"
        for _ in range(_MOST_HOLES):
            self._feed("WORD" if whole else next(name for name in _HOLES if self._accepts(name)))
            if self._accepts("_NL"):
                break
        if not whole:
            self._broken.add(line.number)
        self._feed("_NL")
        return whole

    def _take(self, token: Token) -> bool:
        """Feed a token, as a plain word if it is a keyword that is none here; False if it does not fit."""
        if token.type in _PLAIN_ELSEWHERE and not self._accepts(token.type):
            token.type = "WORD"
        try:
            self._state.feed_token(token)
        except UnexpectedToken:
            return False
        return True

    def _feed(self, type: str) -> None:
        self._state.feed_token(Token.new_borrow_pos(type, "", self._last))

    def _choices(self) -> list[str]:
        return [name for name in self._states[self._state.position] if name.isupper()]

    def _accepts(self, type: str) -> bool:
        """Whether a token of this type fits: a walk through the tables without building anything."""
        stack = self._state.state_stack
        depth = len(stack)
        top: list[Any] = []  # the states above that depth
        state = stack[-1]
        while True:
            found = self._states[state].get(type)
            if found is None:
                return False
            action, rule = found
            if action is Shift:
                return True
            size = len(rule.expansion)
            if size <= len(top):
                del top[len(top) - size :]
            else:
                depth -= size - len(top)
                top = []
            state = top[-1] if top else stack[depth - 1]
            state = self._states[state][rule.origin.name][1]
            top.append(state)

    def _complain(self, line: Line, token: Token | None) -> None:
        if line.number not in self._said:
            wanted = [name for name in self._choices() if self._accepts(name)]
            self._say(complain.wrong_token(line, token, wanted, self._last, self._file))

    def _say(self, finding: Finding) -> None:
        """One mistake, one finding: a line that something is said of already says no more."""
        if finding.span.line not in self._said:
            self._said.add(finding.span.line)
            self._findings.append(finding)
