"""What is said of a line that cannot be read, in trade words."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from lark import Token

from ..model.finding import Finding
from .expected import GOOD_LINES, KEYWORDS, OTHER_LINE, PHRASES, expected
from .lines import Line, span_of
from .mend import Mend, near_keyword

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
    near = near_keyword(first, wanted)
    if near is not None:
        message = f"{_shown(first, line)} begins no line here"
        return Finding("not-understood", "error", message, span, help=f"`{KEYWORDS[near]}` does")
    words = expected(wanted, begins=True)
    message = f"no line here begins with {_shown(first, line)}; expected {words}"
    help = _good_line(wanted)
    if first.type == "TAG" and "DIRECTION" in wanted:
        help = f"words come first, then the tag: `{GOOD_LINES['WORD']}`"
    return Finding("not-understood", "error", message, span, help=help)


def wrong_token(line: Line, token: Token | None, wanted: Collection[str], last: Token, file: str) -> Finding:
    """For a token that does not fit behind `last`, or for the end of the line if None."""
    first = line.tokens[0]
    words = expected(wanted)
    help = _example(first, wanted)
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
    elif token.type == last.type == "WORD" and first.type in ("SERVICE", "SPEC", "TYPICAL"):
        help = f"a name is one word: `{last}-{token}`"
    near = near_keyword(token, wanted)
    if near is not None:
        help = f"`{KEYWORDS[near]}` does"
    message = f"{_shown(token, line)} does not fit here; expected {words}"
    return Finding("not-understood", "error", message, span_of(token, file), help=help)


def mended(line: Line, mend: Mend, wanted: Collection[str], last: Token, file: str) -> Finding:
    """For a slip that leaves no doubt of what was meant; the line is read as meant."""
    token = line.tokens[mend.index]
    if mend.left_out:
        message = f"{PHRASES[mend.type]} is missing before {_shown(token, line)}"
        help = _example(line.tokens[0], wanted)
        if mend.type == "_COMMA":
            one, two = _shown(last, line).strip("`"), _shown(token, line).strip("`")
            help = f"`{one}, {two}`"
            if last.type == token.type == "WORD" and mend.index == 2:
                help += f", or `{one}-{two}` if that is one name"
        return Finding("not-understood", "error", message, span_of(last, file).after(), help=help)
    if mend.index == 0:
        message = f"{_shown(token, line)} begins no line here"
    else:
        message = f"{_shown(token, line)} does not fit here; expected {expected(wanted)}"
    return Finding("not-understood", "error", message, span_of(token, file), help=f"`{KEYWORDS[mend.type]}` does")


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


def _example(first: Token, wanted: Collection[str]) -> str:
    """A line that begins as this one does."""
    if first.type == "WORD":
        return f"a good line: `{OTHER_LINE}`" if {"FROM", "TO"} & set(wanted) else ""
    return f"a good line: `{GOOD_LINES[first.type]}`" if first.type in GOOD_LINES else ""


def _good_line(wanted: Collection[str]) -> str:
    """A line of the block: an item among steps, else the first that has a keyword; none among facts."""
    begin = [name for name in PHRASES if name in wanted and name in KEYWORDS and name in GOOD_LINES]
    names = ["WORD"] if "DIRECTION" in wanted else begin
    return f"a good line: `{GOOD_LINES[names[0]]}`" if names else ""
