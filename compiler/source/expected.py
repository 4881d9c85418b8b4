"""What the grammar's terminals are called in the trade, so that no grammar name reaches a reader."""

from __future__ import annotations

from collections.abc import Iterable

#: Every terminal of the grammar, in the order in which expectations are listed. (A test sees to it that none lacks.)
PHRASES: dict[str, str] = (
    {
        "SIZE": "a size such as `2-1/2`",
        "TAG": "a tag such as `BV-101`",
        "QUANTITY": "a quantity such as `3 ft 2-1/2 in`",
        "STRING": "words in quotation marks",
        "WORD": "a word in small letters",
        "DIRECTION": "a direction such as `up`",
        "NUMBER": "a number",
        "_INDENT": "an indented block",
        "_DEDENT": "the end of the block",
        "$END": "the end of the file",
        "_SET_ASIDE": "nothing",
        "_HOLE": "nothing",
        "_NEWLINE": "the end of the line",
        "COMMENT": "a comment",
        "JUNK": "nothing",
    }
    | {
        word.upper(): f"`{word}`"
        for word in (
            "project",
            "use",
            "service",
            "spec",
            "kind",
            "lengths",
            "weights",
            "assembly",
            "typical",
            "unit",
            "takeoff",
            "rules",
            "coil",
            "lineup",
            "cabinet",
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
    | {"_COMMA": "a comma", "_NL": "the end of the line"}
)

#: The keywords, by their terminals. DIRECTION stands for six.
KEYWORDS = {name: word.strip("`") for name, word in PHRASES.items() if word == f"`{name.lower()}`"}

#: A good line for each word that begins one, and for lines that begin with any other word.
GOOD_LINES: dict[str, str] = {
    "PROJECT": 'project "Library annex"',
    "USE": 'use "shop.hookup"',
    "SERVICE": "service chilled-water",
    "SPEC": "spec shop-steel, like steel-welded",
    "KIND": "kind duplex strainer, like basket strainer",
    "LENGTHS": "lengths of balancing valve, flanged",
    "WEIGHTS": "weights of balancing valve, flanged",
    "ASSEMBLY": "assembly hose drain, 3/4, drains",
    "TYPICAL": "typical gallery-pair, drawn with airflow left to right",
    "UNIT": "unit GA-1 is gallery-pair, number 1, airflow right to left",
    "TAKEOFF": "takeoff",
    "RULES": "rules",
    "COIL": "coil TRIM on chilled-glycol",
    "LINEUP": 'lineup "separate"',
    "CABINET": "cabinet 72 in wide, 60 in high, at left 4 in, down 6 in",
    "SUPPLY": "supply to TRIM, 4",
    "RETURN": "return from TRIM, 4",
    "FROM": "from main CGS",
    "TO": "to main CGR",
    "THROUGH": "through floor",
    "ABOUT": "about 12 ft",
    "OMIT": "omit ST-101",
    "RESIZE": "resize BV-101 to 3",
    "REPLACE": "replace BV-101 with ball valve, flanged",
    "ADD": "add drain 3/4 after BV-101",
    "DIRECTION": "left 1 ft 6 in, field fit",
    "WORD": "butterfly valve BV-101, lug",
}
#: One for a line of another name, which begins with a word too.
OTHER_LINE = "crossover from T-101 to T-103, 2-1/2"

#: What may be said otherwise at the beginning of a line.
_BEGINNINGS = {"WORD": "a name such as `ball valve` or `crossover`"}
#: Not worth naming where anything else is expected.
_QUIET = ("_INDENT", "_DEDENT", "$END", "NUMBER", "_SET_ASIDE", "_HOLE", "_NEWLINE", "COMMENT", "JUNK")
#: More than this says nothing to a reader.
_MOST = 5


def expected(terminals: Iterable[str], *, begins: bool = False) -> str:
    """The expectations in words, at most five, commonest first; `begins` for those at the beginning of a line."""
    given = set(terminals)
    loud = [name for name in PHRASES if name in given and name not in _QUIET]
    anything = {"WORD", "TAG", "SIZE", "STRING"} <= given
    if anything:
        loud = [name for name in loud if name in KEYWORDS or name in ("_COMMA", "_NL")]
    if len(loud) > _MOST - 2:
        loud = [name for name in loud if name != "_NL"]
    words = [_BEGINNINGS.get(name, PHRASES[name]) if begins else PHRASES[name] for name in loud]
    if anything:
        words.insert(0, "any words")
    if len(words) > _MOST:
        words = [*words[: _MOST - 1], "others"]
    return f"{', '.join(words[:-1])} or {words[-1]}" if len(words) > 1 else "".join(words)
