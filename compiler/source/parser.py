"""text -> tree and findings. Never raises because of the text, and gives a tree for whatever could be read.

The whole text is lexed first; lines and indents are made in `lines`; the tokens then go one by one into lark's
interactive parser, and `feed` mends what does not fit. (lark's own `on_error` does not work together with an
indenter.)
"""

from __future__ import annotations

from functools import cache
from threading import Lock

from lark import Lark

from ..model.finding import Finding
from ..model.span import Span
from .build import Build
from .feed import Feeder
from .lines import MOST_FINDINGS, split
from .plain import one_newline, plain
from .scan import Scanner
from .tables import States, make_parser, states_of
from .tree import Tree

#: A line longer than this is no line of a hookup. A comment may have any length.
LONGEST_LINE = 2000

_lock = Lock()  # the builder inside the parser holds one file at a time


@cache
def _parser() -> tuple[Lark, Build, Scanner]:
    build = Build()
    lark = make_parser(build)
    return lark, build, Scanner(lark)


@cache
def _states() -> States:
    return states_of(_parser()[0])


def parse_text(text: str, file: str) -> tuple[Tree, list[Finding]]:
    """The tree of a text and what was wrong with it, line by line. `file` is the name that places carry."""
    text = one_newline(text)
    shortened, found = _without_long_lines(text, file)
    with _lock:
        lark, build, scanner = _parser()
        shown = shortened.split("\n")
        lines = split(plain(shortened).split("\n"), shown, scanner, file)
        build.begin(file, shown, lines.lines)
        feeder = Feeder(lark.parse_interactive(), _states(), file, build.broken, lines.findings)
        most = len(lines.findings) + MOST_FINDINGS
        for line in lines.lines:
            feeder.line(line)
            if len(lines.findings) > most:
                break
        statements, carried = feeder.end()
    found = sorted([*found, *lines.findings], key=Finding.order)
    return Tree(file, text, statements, (*carried, *lines.after)), _at_most(found)


def _without_long_lines(text: str, file: str) -> tuple[str, list[Finding]]:
    """The text with lines that are too long left blank, each with a finding."""
    if len(text) <= LONGEST_LINE:
        return text, []
    rows = text.split("\n")
    found = []
    for number, row in enumerate(rows, 1):
        if len(row) > LONGEST_LINE and not row.lstrip().startswith("#"):
            span = Span(file, number, 1, number, 2)
            message = f"this line has {len(row)} characters; the longest that is read has {LONGEST_LINE}"
            found.append(Finding("line-too-long", "error", message, span, help="break it into several lines"))
            rows[number - 1] = ""
    return ("\n".join(rows) if found else text), found


def _at_most(found: list[Finding]) -> list[Finding]:
    if len(found) <= MOST_FINDINGS:
        return found
    message = f"more than {MOST_FINDINGS} lines of this file cannot be read; the rest is not looked at"
    help = "see whether this is a hookup file at all"
    return [
        *found[:MOST_FINDINGS],
        Finding("too-many-mistakes", "error", message, found[MOST_FINDINGS].span, help=help),
    ]
