"""From the flat tokens of a file to lines with indents: comments and blank lines set aside, uneven indents reported."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from lark import Token

from ..model.finding import Finding
from ..model.span import Span
from .tree import Comment

#: A tab stands for the way to the next multiple of this.
TAB = 4
#: Blocks deeper than this are no hookup; the limit keeps a broken file from costing more than it is worth.
DEEPEST = 40


@dataclass(slots=True)
class Line:
    """The tokens of one line that says something, with the indents that come before and how deep it stands."""

    number: int
    tokens: list[Token]
    width: int
    before: tuple[Comment | None, ...]
    trailing: Comment | None


@dataclass(slots=True)
class Lines:
    """The lines of a file, what stands behind the last of them, and what was wrong on the way."""

    lines: list[Line] = field(default_factory=list)
    after: tuple[Comment | None, ...] = ()
    findings: list[Finding] = field(default_factory=list)


def span_of(token: Token, file: str) -> Span:
    """The place of a token."""
    return Span(file, token.line or 1, token.column or 1, token.end_line or 1, token.end_column or 1)


def split(tokens: Iterable[Token], text: str, file: str) -> Lines:
    """Group tokens by line. Finds: characters and quotation marks that mean nothing here."""
    rows = text.split("\n")
    made = Lines()
    before: list[Comment | None] = []
    current: list[Token] = []
    trailing: Comment | None = None
    junk_line = 0
    number = 1

    def end_line() -> None:
        nonlocal before, current, trailing
        if current:
            made.lines.append(Line(number, current, _width(rows[number - 1]), tuple(before), trailing))
            before, current, trailing = [], [], None
        elif trailing is not None:
            before.append(trailing)
            trailing = None
        elif number <= len(rows) and (number < len(rows) or rows[-1]):
            before.append(None)

    for token in tokens:
        if token.type == "_NEWLINE":
            end_line()
            number += 1
        elif token.type == "COMMENT":
            trailing = Comment(rows[number - 1][(token.column or 1) - 1 :], span_of(token, file), not current)
        elif token.type == "JUNK":
            if junk_line != number:
                junk_line = number
                made.findings.append(_junk(token, file))
        else:
            current.append(token)
    end_line()
    made.after = tuple(before)
    return made


def _width(row: str) -> int:
    width = 0
    for character in row:
        if character == "\t":
            width += TAB - width % TAB
        elif character.isspace():
            width += 1
        else:
            break
    return width


def _junk(token: Token, file: str) -> Finding:
    span = span_of(token, file)
    if token == '"':
        return Finding(
            "unclosed-quote", "error", "this quotation mark has no partner on its line", span, help='close it: `"…"`'
        )
    shown = token if token.isprintable() else f"character number {ord(token)}"
    return Finding("not-understood", "error", f"`{shown}` means nothing in a hookup file", span, help="take it out")


def indented(lines: Lines, file: str) -> Iterator[tuple[Line, int]]:
    """Every line with the number of blocks it opens (1), or closes (negative).

    Finds: a line that stands between two levels (taken to belong to the outer one), blocks nested too deep.
    """
    levels = [0]
    too_deep = False
    for line in lines.lines:
        step = 0
        if line.width > levels[-1]:
            if len(levels) > DEEPEST:
                if not too_deep:
                    too_deep = True
                    lines.findings.append(
                        _finding(line, file, "nested-too-deep", f"blocks go no deeper than {DEEPEST}")
                    )
                continue
            levels.append(line.width)
            step = 1
        else:
            while line.width < levels[-1]:
                levels.pop()
                step -= 1
            if line.width > levels[-1]:
                lines.findings.append(
                    _finding(
                        line,
                        file,
                        "uneven-indent",
                        "this line starts between two levels",
                        "line it up with the lines of its block",
                    )
                )
                levels.append(line.width)
                step += 1
        yield line, step


def _finding(line: Line, file: str, rule: str, message: str, help: str = "") -> Finding:
    return Finding(rule, "error", message, span_of(line.tokens[0], file), help=help)
