"""Text for a screen or paper: nothing in it that moves the cursor, and its width in columns."""

from __future__ import annotations

import unicodedata

#: Characters that turn or break the line on a screen: bidirectional controls and the line and paragraph separators.
_TURNING = {*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200E, 0x200F, 0x2028, 0x2029}
_SHOWN = {
    **{code: 0x2400 + code for code in range(0x20) if code != 0x09},  # the control pictures of Unicode
    0x7F: 0x2421,
    **dict.fromkeys(range(0x80, 0xA0), 0xFFFD),
    **dict.fromkeys(_TURNING, 0xFFFD),
}


def visible(text: str) -> str:
    """`text` with every control character but the tab shown as one harmless sign.

    >>> visible("valve" + chr(27) + "[2J")
    'valve␛[2J'
    """
    return text if text.isprintable() else text.translate(_SHOWN)


def width(text: str) -> int:
    """Columns on a screen: two for a wide East Asian character, none for a combining mark.

    >>> width("3/4"), width("弁"), width("e" + chr(0x301))
    (3, 2, 1)
    """
    if text.isascii():
        return len(text)
    return sum(_width(character) for character in text)


def _width(character: str) -> int:
    if unicodedata.category(character) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in ("W", "F") else 1
