"""Characters that phones and word processors put in, read as what they mean, without moving any column."""

from __future__ import annotations

import re

#: Blanks other than the plain one, and marks of no width.
BLANKS = "\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000" + (
    "\u00ad\u200b\u200c\u200d\u2060\ufeff\u000b\u000c"
)
#: One character for one character, so that every place in the text stays where its writer sees it.
_SAME_WIDTH = str.maketrans(
    {
        "“": '"', "”": '"', "„": '"', "″": '"', "‟": '"', "«": '"', "»": '"', "＂": '"', "ʺ": '"',
        "’": "'", "‘": "'", "‚": "'", "′": "'", "´": "'", "`": "'", "ʹ": "'",
        "×": "x", "–": "-", "—": "-", "−": "-", "‐": "-", "‑": "-", "‒": "-", "⁄": "/", "∕": "/",
        "，": ",", "º": "°", "˚": "°", "＃": "#",
    }
    | dict.fromkeys(BLANKS, " ")
)  # fmt: skip
#: Fraction characters, as they read behind a whole number or alone.
FRACTIONS = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip
#: A word with only its first letter capital, as phones write the first word of a line.
_CAPITALISED = re.compile(r"(?<![\w*.\"'/-])[A-Z](?=[a-z]+\b(?![*]))")
_FRACTION = re.compile(r"(\d?)[ ]?([½¼¾⅛⅜⅝⅞⅓⅔])")


def one_newline(text: str) -> str:
    """The text without a byte-order mark, its lines ended by a line feed alone."""
    return text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")


def plain(text: str) -> str:
    """The text with plain characters, every character at its old place."""
    return _CAPITALISED.sub(lambda m: m[0].lower(), text.translate(_SAME_WIDTH))


def plain_number(text: str) -> str:
    """A number with its fraction character written out: `2½` is `2-1/2`."""
    return _FRACTION.sub(lambda m: (f"{m[1]}-" if m[1] else "") + FRACTIONS[m[2]], text)
