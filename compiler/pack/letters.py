"""How wide the letters of the book's face are, so that no column is narrower than its words.

Hundredths of the letter size, rounded up: measured in Libertinus Serif as typst brings it along
(SIL Open Font License).
"""

from __future__ import annotations

from functools import lru_cache

#: Of the characters from blank to tilde, 32 to 126.
_REGULAR = (
    *(25, 29, 34, 47, 47, 64, 71, 19, 30, 30, 37, 55, 22, 34, 22, 33, 47, 47, 47),
    *(47, 47, 47, 47, 47, 47, 47, 24, 24, 55, 55, 55, 44, 90, 70, 59, 65, 71, 56),
    *(49, 69, 73, 30, 33, 64, 53, 84, 70, 71, 55, 71, 59, 49, 60, 67, 66, 96, 66),
    *(58, 61, 36, 29, 36, 52, 49, 40, 46, 50, 43, 51, 45, 31, 50, 54, 28, 28, 52),
    *(27, 79, 55, 51, 52, 51, 38, 39, 32, 54, 50, 75, 49, 52, 43, 28, 21, 28, 45),
)
_BOLD = (
    *(25, 27, 38, 52, 52, 64, 73, 22, 32, 32, 44, 54, 25, 36, 25, 32, 52, 52, 52),
    *(52, 52, 52, 52, 52, 52, 52, 26, 26, 52, 56, 52, 43, 99, 74, 66, 71, 74, 61),
    *(55, 74, 82, 37, 38, 74, 58, 90, 74, 73, 62, 73, 72, 51, 66, 74, 70, 103, 72),
    *(63, 63, 40, 31, 40, 52, 49, 40, 51, 55, 46, 57, 49, 40, 53, 62, 33, 32, 62),
    *(33, 91, 62, 56, 59, 58, 43, 43, 36, 60, 53, 78, 57, 56, 46, 31, 22, 31, 48),
)

#: Of other letters of Latin script, and of all else.
_LATIN, _OTHER = 80, 105


@lru_cache(maxsize=50_000)
def wide(text: str, bold: bool = False) -> float:
    """How wide a line of text is at most, in letter sizes (em)."""
    table = _BOLD if bold else _REGULAR
    return sum(_hundredths(letter, table) for letter in text) / 100


def _hundredths(letter: str, table: tuple[int, ...]) -> int:
    code = ord(letter)
    if 32 <= code < 127:
        return table[code - 32]
    return _LATIN if code < 0x250 else _OTHER
