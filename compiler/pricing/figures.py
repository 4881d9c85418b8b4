"""Numbers of a book: with a decimal point or a decimal comma, never guessed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from .sheets import Cell, Odd

Sign = Literal[".", ",", ""]

_GROUPED = re.compile(r"\d{1,3}(?P<sep>[.,])\d{3}(?:(?P=sep)\d{3})+\Z")
_BOTH = re.compile(r"\d{1,3}(?:(?P<sep>[.,])\d{3})(?:(?P=sep)\d{3})*(?!(?P=sep))(?P<sign>[.,])\d*\Z")
_PLAIN = re.compile(r"\d*(?P<sign>[.,])?\d*\Z")
_UNSURE = re.compile(r"[1-9]\d{0,2}[.,]\d{3}\Z")
_BLANKS = re.compile(r"(?<=\d)[ \u00a0\u202f'](?=\d{3}(?!\d))")
#: Most numbers: their sign, if they have one, can be nothing but the decimal sign.
_EASY = re.compile(r"[0-9]{1,12}(?:([.,])(?:[0-9]{1,2}|[0-9]{4,8}))?\Z")
#: More digits than this are no price and no hours.
_LONGEST = 24


@dataclass(frozen=True, slots=True)
class NoNumber(Exception):
    """Why a cell holds no number that can be used."""

    why: str


def sign_of(text: str) -> Sign:
    """Which decimal sign a number shows beyond doubt, or none.

    >>> sign_of("12,5"), sign_of("1.234,50"), sign_of("12.5"), sign_of("1,234"), sign_of("12")
    (',', ',', '.', '', '')
    """
    if (easy := _EASY.match(text)) is not None:
        return _SIGNS[easy[1]]
    text = _BLANKS.sub("", text.strip())
    if _UNSURE.match(text):
        return ""
    if _GROUPED.match(text):
        return "," if "." in text else "."
    match = _BOTH.match(text) or _PLAIN.match(text)
    sign = match["sign"] if match is not None else None
    return "," if sign == "," else "." if sign == "." else ""


def number(cell: Cell, sign: Sign) -> Decimal:
    """A cell as a number not below zero. `sign` is the book's decimal sign, empty where it shows none.

    Raises NoNumber.

    >>> number("1.234,50", ","), number("1,234", "."), number(0.1, ""), number("1,234.5", "")
    (Decimal('1234.50'), Decimal('1234'), Decimal('0.1'), Decimal('1234.5'))
    """
    if isinstance(cell, Odd):
        raise NoNumber(f"holds {cell.what}")
    if isinstance(cell, int | float):
        value = Decimal(repr(cell))
        if not value.is_finite():
            raise NoNumber("holds no finite number")
    else:
        value = _read((cell or "").strip(), sign)
    if value < 0:
        raise NoNumber(f"holds {cell}, which is below zero")
    if value >= Decimal(10) ** 12:
        raise NoNumber(f"holds {cell}, which is too much")
    return value


def _read(text: str, sign: Sign) -> Decimal:
    if not text:
        raise NoNumber("is empty")
    if sign != "," and (easy := _EASY.match(text)) is not None and easy[1] != ",":
        return Decimal(text)
    shown = text if len(text) <= 40 else text[:40] + "…"
    negative = text.startswith("-")
    plain = _BLANKS.sub("", text.removeprefix("-"))
    if not any(ch.isdigit() for ch in plain) or len(plain) > _LONGEST or not plain.isascii():
        raise NoNumber(f"holds `{shown}`, which is no number")
    own = sign_of(plain)
    if own and sign and own != sign:
        raise NoNumber(f"holds `{shown}`, but other numbers of the book have a decimal {_NAMES[sign]}")
    if _UNSURE.match(plain) and not sign:
        raise NoNumber(f"holds `{shown}`, which reads two ways: say `# decimal point` or `# decimal comma` at the top")
    sign = sign or own or "."
    other = "," if sign == "." else "."
    if _PLAIN.match(plain) or _GROUPED.match(plain) or _BOTH.match(plain) or _UNSURE.match(plain):
        digits = plain.replace(other, "").replace(sign, ".")
        if digits.count(".") <= 1:
            value = Decimal(digits)
            return -value if negative else value
    raise NoNumber(f"holds `{shown}`, which is no number")


_SIGNS: dict[str | None, Sign] = {None: "", ".": ".", ",": ","}
_NAMES = {".": "point", ",": "comma", "": ""}
