"""What is said of a line that cannot be read, in trade words."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from lark import Token

from ..model.finding import Finding
from ..model.nearest import nearest
from .expected import GOOD_LINES, KEYWORDS, OTHER_LINE, PHRASES, expected
from .lines import Line, span_of

#: Two tokens that begin a line of their own wherever they stand, so that no item or fact can begin with them.
_BEGINNINGS = {
    "PROJECT": "STRING",
    "USE": "STRING",
    "UNIT": "TAG",
    "COIL": "TAG",
    "LINEUP": "STRING",
    "SUPPLY": "TO",
    "RETURN": "FROM",
}

#: A message shows no more characters of a word than this.
_LONGEST = 40


def begins_line(tokens: Sequence[Token]) -> bool:
    """Whether the tokens begin a line that can be nothing else, such as `coil TRIM` or `supply to`."""
    return len(tokens) > 1 and _BEGINNINGS.get(tokens[0].type) == tokens[1].type


def wrong_line(line: Line, wanted: Collection[str], file: str) -> Finding:
    """For a line whose first word begins no line of its block; `wanted` are the terminals that would."""
    first = line.tokens[0]
    span = span_of(first, file)
    if begins_line(line.tokens):
        message = f"a line `{first} …` does not stand in this block"
        return Finding("misplaced-line", "error", message, span, help="indent it as the other lines of its kind")
    near = _near_keyword(first, wanted)
    if near:
        message = f"{_shown(first, line)} begins no line here"
        return Finding("not-understood", "error", message, span, help=f"`{near}` does")
    words = expected(wanted, begins=True)
    message = f"no line here begins with {_shown(first, line)}; expected {words}"
    return Finding("not-understood", "error", message, span, help=_good_line(wanted))


def wrong_token(line: Line, token: Token | None, wanted: Collection[str], last: Token, file: str) -> Finding:
    """For a token that does not fit behind `last`, or for the end of the line if None."""
    first = line.tokens[0]
    near = _near_keyword(first, [name for name in GOOD_LINES if name in KEYWORDS]) if first.type == "WORD" else None
    if near and last is first:
        message = f"{_shown(first, line)} begins no line here"
        return Finding("not-understood", "error", message, span_of(first, file), help=f"`{near}` does")
    words = expected(wanted)
    help = f"a good line: `{GOOD_LINES[first.type]}`" if first.type in GOOD_LINES and first.type != "WORD" else ""
    if first.type == "WORD" and "FROM" in wanted:
        help = f"a good line: `{OTHER_LINE}`"
    if token is None:
        if last.type == "_COMMA":
            help = "take out the comma at the end, or write what belongs behind it"
        message = f"something is missing at the end of this line; expected {words}"
        return Finding("not-understood", "error", message, span_of(last, file).after(), help=help)
    if token.type == "_COMMA" and last.type == "_COMMA":
        help = "take out one comma"
    elif token.type == "TAG" and "WORD" in wanted and not {"TAG", "_NL"} & set(wanted):
        help = "names of services, specs and typicals are written in lower case, tags in capitals"
    elif "TAG" in wanted and "WORD" not in wanted and _meant_as_tag(token, line):
        help = f"tags are written in capitals: `{token.upper()[:_LONGEST]}`"
    message = f"{_shown(token, line)} does not fit here; expected {words}"
    return Finding("not-understood", "error", message, span_of(token, file), help=help)


def unexpected_block(line: Line, file: str) -> Finding:
    """For a line that stands deeper than one that takes no block."""
    message = "this line stands deeper than the one above, which takes no block"
    help = "line it up with the line above"
    return Finding("unexpected-block", "error", message, span_of(line.tokens[0], file), help=help)


def _meant_as_tag(token: Token, line: Line) -> bool:
    """Whether a word is likely a tag in small letters: it is no keyword, and not the first of several words."""
    behind = line.tokens[line.tokens.index(token) + 1 :]
    return token.type == "WORD" and token not in KEYWORDS.values() and not (behind and behind[0].type == "WORD")


def _shown(token: Token, line: Line) -> str:
    """A token as its writer sees it, printable and never long."""
    if token.type == "_COMMA":
        return "this comma"
    column = (token.column or 1) - 1
    text = "".join(c if c.isprintable() else "?" for c in line.text[column : column + len(token)])
    return f"`{text if len(text) <= _LONGEST else text[: _LONGEST - 1] + '…'}`"


def _near_keyword(first: Token, wanted: Collection[str]) -> str | None:
    """The keyword that a line probably meant to begin with."""
    if first.type != "WORD" or first.lower() in KEYWORDS.values():
        return None
    return nearest(str(first), [KEYWORDS[name] for name in wanted if name in KEYWORDS])


def _good_line(wanted: Collection[str]) -> str:
    """A line of the block: an item among steps, else the first that has a keyword; none among facts."""
    names = ["WORD"] if "DIRECTION" in wanted else [name for name in PHRASES if name in wanted and name in KEYWORDS]
    return f"a good line: `{GOOD_LINES[names[0]]}`" if names else ""
