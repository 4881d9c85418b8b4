"""What the grammar's terminals are called in the trade, so that no grammar name reaches a reader."""

from __future__ import annotations

from collections.abc import Iterable

#: Every terminal of the grammar, in the order in which expectations are listed. A test holds it complete.
PHRASES: dict[str, str] = {
    "_NL": "the end of the line",
    "_COMMA": "a comma",
    "SIZE": "a size such as `2-1/2`",
    "TAG": "a tag such as `BV-101`",
    "QUANTITY": "a quantity such as `3 ft 2-1/2 in`",
    "STRING": 'words in quotation marks, `"…"`',
    "WORD": "a word",
    "DIRECTION": "`up`, `down`, `left`, `right`, `toward` or `away`",
    "NUMBER": "a number",
    "_INDENT": "an indented block",
    "_DEDENT": "the end of the block",
    "$END": "the end of the file",
    "_SET_ASIDE": "nothing",
    "_NEWLINE": "the end of the line",
    "COMMENT": "a comment",
    "JUNK": "nothing",
} | {
    word.upper(): f"`{word}`"
    for word in (
        "project",
        "use",
        "service",
        "spec",
        "kind",
        "lengths",
        "assembly",
        "typical",
        "unit",
        "takeoff",
        "coil",
        "lineup",
        "supply",
        "return",
        "main",
        "from",
        "to",
        "through",
        "about",
        "on",
        "of",
        "is",
        "with",
        "omit",
        "resize",
        "replace",
        "add",
        "after",
        "before",
    )
}

#: Not worth naming where anything else is expected.
_QUIET = ("_NL", "_INDENT", "_DEDENT", "$END", "NUMBER", "_SET_ASIDE", "_NEWLINE", "COMMENT", "JUNK")
#: More than this says nothing to a reader.
_MOST = 5

KEYWORDS = tuple(word.strip("`") for name, word in PHRASES.items() if word == f"`{name.lower()}`")


def expected(terminals: Iterable[str]) -> str:
    """The expectations in words, at most five, commonest first; empty if there is nothing worth saying."""
    found = [name for name in PHRASES if name in set(terminals)]
    loud = [name for name in found if name not in _QUIET] or found
    if {"WORD", "TAG", "SIZE", "COIL", "SUPPLY"} <= set(loud):
        return "any words"
    words = [PHRASES[name] for name in loud]
    if len(words) > _MOST:
        words = [*words[: _MOST - 1], "others"]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}" if words else ""
