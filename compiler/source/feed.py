"""Feeds lines to the parser, turns keywords into words where they are none, and recovers from what does not fit.

Recovery: where a keyword is misspelt, or a keyword or comma left out, the line is read as it was meant, with a finding
(`mend`). Any other token that does not fit is a finding, and those behind it are left out up to one that does fit; a
tag in small letters is taken for one. A line that lacks something is ended with holes and then left out of the tree,
with its block, as is a line whose first token does not fit. Either way reading goes on with the next line, one line
gives one finding, and the comments of what is left out go to the next line that is kept.
"""

from __future__ import annotations

from lark import Token
from lark.parsers.lalr_interactive_parser import InteractiveParser

from ..model.finding import Finding
from . import complain
from .expected import KEYWORDS
from .lines import Line
from .mend import PLAIN_ELSEWHERE, Mend, behind, left_out_at, mend_at, mend_before, type_of
from .tables import States
from .tree import Comment, Statement

#: Tokens that the grammar leaves out of the tree.
_MARKS = {name: Token(name, "") for name in ("_NL", "_INDENT", "_DEDENT")}
#: What a broken line may be ended with, in this order.
_HOLES = ("FROM", "TO", "OF", "WITH", "AFTER", "TAG", "STRING", "SIZE", "WORD")
_MOST_HOLES = 6


class Feeder:
    """Reads one file. `findings` gets what is wrong, `broken` the numbers of lines that are to be left out."""

    def __init__(
        self, parser: InteractiveParser, states: States, file: str, broken: set[int], findings: list[Finding]
    ) -> None:
        self._parser = parser
        self._states = states
        self._stack, self._values = parser.parser_state.state_stack, parser.parser_state.value_stack
        self._file = file
        self._broken = broken
        self._findings = findings
        self._said = {finding.span.line for finding in findings}
        self._left_out = 0  # how many blocks are open that belong to a line left out, and are not read
        self._leave_block = False
        self._lost = 0  # how many are open that belong to a broken line: they are read, and left out with it
        self._lose_block = False
        self._carried: tuple[Comment | None, ...] = ()  # comments of lines left out: the next line takes them over
        self._last = Token("_NL", "", 0, 1, 1, 1, 1, 0)
        self._start: list[int] = []  # the parser's stack at the start of the line

    def line(self, line: Line) -> None:
        """One line, behind the blocks that it opens or closes."""
        if not line.too_deep:
            self._blocks(line)
        read = not line.too_deep and not self._left_out and self._tokens(line)
        if not read or self._lost:
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
                self._lost = max(0, self._lost - 1)
                self._feed("_DEDENT")
        if line.step == 1:
            if self._left_out or self._leave_block:
                self._left_out += 1
            elif self._accepts("_INDENT"):
                self._lost += bool(self._lost or self._lose_block)
                self._feed("_INDENT")
            else:
                self._left_out = 1
                self._say(complain.unexpected_block(line, self._file))
        self._leave_block = self._lose_block = False

    def _tokens(self, line: Line) -> bool:
        """Feed the tokens of a line and its end; whether it went well enough for the line to be kept."""
        self._start = list(self._stack)
        first = line.tokens[0]
        begins = complain.begins_line(line.tokens) and not self._accepts(first.type)
        if (begins or not self._take(first)) and not self._mended(line, 0):
            self._say(complain.wrong_line(line, self._wanted(), self._file))
            self._feed("_HOLE")
            self._leave_block = True
            return False
        self._last = first
        for index, token in enumerate(line.tokens[1:], 1):
            if not self._take(token) and not self._mended(line, index):
                self._complain(line, index)
                if not self._take_otherwise(token):
                    continue
            self._last = token
        if self._accepts("_NL"):
            self._feed("_NL")
            return line.number not in self._broken
        self._complain(line, len(line.tokens))
        return self._end_with_holes(line)

    def _mended(self, line: Line, index: int) -> bool:
        """Whether the token that does not fit was taken as what its writer probably meant, and a finding says so."""
        if line.number in self._said:
            return False
        states, stack, tokens, wanted = self._states, self._stack, line.tokens, self._wanted()
        token = tokens[index]
        mend = mend_at(states, stack, wanted, tokens, index)
        if mend is not None:
            self._say(complain.mended(line, mend, wanted, self._last, self._file))
            return self._shift(token.update(type=mend.type, value=mend.type.lower()))
        if index == 0:
            return False
        mend = mend_before(states, self._start, tokens, index)
        if mend is not None:
            return self._taken_back(line, mend, index)
        mend = left_out_at(states, stack, wanted, tokens, index)
        if mend is None:
            return False
        self._say(complain.mended(line, mend, wanted, self._last, self._file))
        if mend.type == "TAG":  # nobody knows which
            self._lose(line)
        self._shift(Token.new_borrow_pos(mend.type, KEYWORDS.get(mend.type, ""), self._last))
        token.type = type_of(token)  # a keyword may be one behind it
        return self._take(token)

    def _taken_back(self, line: Line, mend: Mend, index: int) -> bool:
        """Whether the misspelt keyword is the last token fed, nothing being built of it yet, and could be changed."""
        before, token = line.tokens[index - 1], line.tokens[index]
        if mend.index != index - 1 or self._values[-1] is not before:
            return False
        if behind(self._states, self._stack[:-1], mend.type) is None:
            return False
        self._say(complain.mended(line, mend, (mend.type,), self._last, self._file))
        self._stack.pop()
        self._values.pop()
        self._shift(before.update(type=mend.type, value=mend.type.lower()))
        token.type = type_of(token)
        return self._take(token)

    def _end_with_holes(self, line: Line) -> bool:
        """End a line that lacks something. Behind a comma nothing but a detail is lacking, and the line stays."""
        whole = self._last.type == "_COMMA"
        for _ in range(_MOST_HOLES):
            self._feed("WORD" if whole else next(name for name in _HOLES if self._accepts(name)))
            if self._accepts("_NL"):
                break
            whole = False
        if not whole:
            self._lose(line)
        self._feed("_NL")
        return whole

    def _lose(self, line: Line) -> None:
        """Leave a line out of the tree, with its block."""
        self._broken.add(line.number)
        self._lose_block = True

    def _take(self, token: Token) -> bool:
        """Feed a token, as a plain word if it is a keyword that is none here; False if it does not fit."""
        if token.type in PLAIN_ELSEWHERE and not self._accepts(token.type):
            token.type = "WORD"
        return self._shift(token)

    def _take_otherwise(self, token: Token) -> bool:
        """Feed a name in capitals where small letters belong, or a tag in small letters, as what was meant."""
        other = {"WORD": "TAG", "TAG": "WORD"}.get(token.type, "")
        if not other or not self._accepts(other) or (other == "WORD" and self._accepts("_NL")):
            return False
        return self._shift(token.update(type=other, value=token.upper() if other == "TAG" else token.lower()))

    def _feed(self, type: str) -> None:
        self._shift(_MARKS.get(type) or Token.new_borrow_pos(type, "", self._last))

    def _shift(self, token: Token) -> bool:
        """Put a token on the stack and build what is complete before it; False if it does not fit.

        What lark's own state does with a token, without raising, and without handlers of terminals.
        """
        stack, values, states, type = self._stack, self._values, self._states, token.type
        while True:
            found = states[stack[-1]].get(type)
            if found is None:
                return False
            if isinstance(found, int):
                stack.append(found)
                values.append(token)
                return True
            size, rule, build = found
            children = []
            if size:
                children = values[-size:]
                del stack[-size:]
                del values[-size:]
            values.append(build(children))
            stack.append(states[stack[-1]][rule])

    def _choices(self) -> list[str]:
        return [name for name in self._states[self._stack[-1]] if name.isupper()]

    def _accepts(self, type: str) -> bool:
        """Whether a token of this type fits: a walk through the tables without building anything."""
        found = self._states[self._stack[-1]].get(type)
        return isinstance(found, int) or (found is not None and behind(self._states, self._stack, type) is not None)

    def _wanted(self) -> list[str]:
        return [name for name in self._choices() if self._accepts(name)]

    def _complain(self, line: Line, index: int) -> None:
        """Say that the token at `index` does not fit, or that something is missing behind the last."""
        if line.number not in self._said:
            mend = mend_before(self._states, self._start, line.tokens, index)
            if mend is not None:
                self._say(complain.mended(line, mend, (mend.type,), self._last, self._file))
            else:
                token = line.tokens[index] if index < len(line.tokens) else None
                self._say(complain.wrong_token(line, token, self._wanted(), self._last, self._file))

    def _say(self, finding: Finding) -> None:
        """One mistake, one finding: a line that something is said of already says no more."""
        if finding.span.line not in self._said:
            self._said.add(finding.span.line)
            self._findings.append(finding)
