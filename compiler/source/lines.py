"""From the flat tokens of a file to lines with indents: comments and blank lines set aside, uneven indents reported."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from lark import Token

from ..model.finding import Finding
from ..model.span import Span
from .scan import Scanner
from .tree import Comment

#: A tab stands for the way to the next multiple of this.
TAB = 4
#: Blocks deeper than this are no hookup; the limit keeps a broken file from costing more than it is worth.
DEEPEST = 40
#: More mistakes than this in one file say nothing more to its reader, and the rest of the file is not read.
MOST_FINDINGS = 100
#: A tag for the unit's number that is not in capitals: `bv-*01`.
_SMALL_TAG = re.compile(r"(?<![\w*-])[a-z]+-?\*[\w*]*(-[\w*]+)*")


@dataclass(slots=True)
class Line:
    """The tokens of one line that says something, and how it stands to the line above.

    `text` is the line as its writer sees it; tokens hold plain characters and small first letters.
    `step` is 1 where the line opens a block, and -n where it closes n; `trailing` is the comment at its end.
    """

    number: int
    text: str
    tokens: list[Token]
    width: int
    before: tuple[Comment | None, ...]
    trailing: Comment | None
    step: int = 0
    too_deep: bool = False


@dataclass(slots=True)
class Lines:
    """The lines of a file, what stands behind the last of them, and what was wrong on the way."""

    lines: list[Line] = field(default_factory=list)
    after: tuple[Comment | None, ...] = ()
    findings: list[Finding] = field(default_factory=list)


def span_of(token: Token, file: str) -> Span:
    """The place of a token; no token goes over the end of its line."""
    line, column = token.line or 1, token.column or 1
    return Span(file, line, column, line, column + len(token))


def split(rows: Sequence[str], shown: Sequence[str], scanner: Scanner, file: str) -> Lines:
    """Cut the lines of a file, `rows` with plain characters, `shown` as its writer sees them.

    Finds: characters and quotation marks that mean nothing here; it ends early in a file that is full of them.
    """
    made = Lines()
    before: list[Comment | None] = []
    for number, row in enumerate(rows, 1):
        tokens = scanner.tokens(row, number)
        comment = None
        if tokens and tokens[-1].type == "COMMENT":
            token = tokens.pop()
            comment = Comment(shown[number - 1][(token.column or 1) - 1 :], span_of(token, file), not tokens)
        if "JUNK" in [token.type for token in tokens]:
            tokens = _with_small_tags(row, tokens, made.findings, file)
        if "JUNK" in [token.type for token in tokens]:
            made.findings.append(_junk(next(token for token in tokens if token.type == "JUNK"), file))
            tokens = [token for token in tokens if token.type != "JUNK"]
            if len(made.findings) > MOST_FINDINGS:
                break
        if tokens:
            made.lines.append(Line(number, shown[number - 1], tokens, _width(row), tuple(before), comment))
            before = []
        elif comment is not None or number < len(rows) or row:
            before.append(comment)
    made.after = tuple(before)
    _indent(made, file)
    return made


def _width(row: str) -> int:
    if "\t" not in row:
        return len(row) - len(row.lstrip(" "))
    width = 0
    for character in row:
        if character == "\t":
            width += TAB - width % TAB
        elif character == " ":
            width += 1
        else:
            break
    return width


def _with_small_tags(row: str, tokens: list[Token], findings: list[Finding], file: str) -> list[Token]:
    """The tokens of a line, with its tags in small letters read as what they are meant to be. Finds: those."""
    for match in _SMALL_TAG.finditer(row):
        inside = [token for token in tokens if match.start() < (token.column or 0) <= match.end()]
        if len(inside) > 1 and inside[0].column == match.start() + 1:
            tag = Token("TAG", match[0].upper(), None, inside[0].line, inside[0].column)
            findings.append(
                Finding(
                    "not-understood",
                    "error",
                    f"`{match[0]}` is a tag, and tags are written in capitals",
                    span_of(tag, file),
                    help=f"`{tag}`",
                )
            )
            tokens = [*tokens[: tokens.index(inside[0])], tag, *tokens[tokens.index(inside[-1]) + 1 :]]
    return tokens


def _junk(token: Token, file: str) -> Finding:
    span = span_of(token, file)
    if token == '"':
        message = "this quotation mark has no partner on its line"
        return Finding("unclosed-quote", "error", message, span, help='close it: `"…"`')
    name = f"`{token}`" if token.isprintable() else f"the character of number {ord(token[0])}"
    help = "a comment begins behind a blank; a pressure class is `class 150`" if token == "#" else "take it out"
    return Finding("not-understood", "error", f"{name} means nothing in a hookup file", span, help=help)


def _indent(made: Lines, file: str) -> None:
    """Set how each line stands to the one above it.

    Finds: a line between two levels (it goes on with the block it comes nearest to from below), and blocks too deep.
    """
    levels = [min((line.width for line in made.lines), default=0)]  # a text may be indented as a whole
    said = False
    for line in made.lines:
        if line.width > levels[-1]:
            if len(levels) > DEEPEST:
                line.too_deep = True
                if not said:
                    said = True
                    message = f"this block stands in {DEEPEST} others, and blocks go no deeper"
                    made.findings.append(_finding(line, file, "nested-too-deep", message, "end some of them"))
                continue
            levels.append(line.width)
            line.step = 1
            continue
        while line.width < levels[-1]:
            levels.pop()
            line.step -= 1
        if line.width > levels[-1]:
            message = "this line starts between two levels"
            help = "line it up with the lines of its block"
            made.findings.append(_finding(line, file, "uneven-indent", message, help))
            levels.append(line.width)
            line.step += 1


def _finding(line: Line, file: str, rule: str, message: str, help: str) -> Finding:
    return Finding(rule, "error", message, span_of(line.tokens[0], file), help=help)
