"""SVG text: elements with everything escaped, numbers of two places, and how much room a text takes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from html import escape
from typing import Literal, NamedTuple

#: What XML 1.0 (section 2.2) does not allow in a text.
_NO_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

#: Advance widths in em that no common sans serif face exceeds: rounded up from DejaVu Sans (its own tables, book
#: weight), the widest of those that a browser falls back on.
_WIDTHS = {
    **dict.fromkeys("ijl|'", 0.30),
    **dict.fromkeys(".,:; I", 0.34),
    **dict.fromkeys('-()[]frt/\\!*"', 0.46),
    **dict.fromkeys("mMWw%@", 1.02),
}
_DIGIT, _LOWER, _CAPITAL, _OTHER = 0.64, 0.64, 0.79, 1.05


class Box(NamedTuple):
    """What a symbol or a label covers. `kind`: `symbol`, `label` or `mark`; `of`: whose it is (a component's id)."""

    x: float
    y: float
    width: float
    height: float
    kind: Literal["symbol", "label", "mark"]
    of: str

    def meets(self, other: Box) -> bool:
        """Whether they cover a place together; edges that touch do not."""
        return (
            self.x + self.width > other.x + 0.01
            and other.x + other.width > self.x + 0.01
            and self.y + self.height > other.y + 0.01
            and other.y + other.height > self.y + 0.01
        )


class Stroke(NamedTuple):
    """A straight piece of pipe as drawn, for those that look for crossings."""

    x1: float
    y1: float
    x2: float
    y2: float


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture. `width` and `height` are in CSS pixels (1/96 in), `body` holds its elements.

    `boxes` cover its symbols and labels, `pipes` are its straight pieces of pipe.
    """

    title: str
    desc: str
    width: float
    height: float
    body: str
    boxes: tuple[Box, ...] = ()
    pipes: tuple[Stroke, ...] = ()

    def svg(self) -> str:
        """The whole document, to be written to a file of its own or set into a page."""
        size = f'width="{num(self.width)}" height="{num(self.height)}"'
        view = f'viewBox="0 0 {num(self.width)} {num(self.height)}"'
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" {size} {view} role="img" class="dg" font-family="{FONT}">'
            f"<title>{plain(self.title)}</title><desc>{plain(self.desc)}</desc>{self.body}</svg>\n"
        )


#: How much wider bold letters are at most.
BOLD = 1.15
FONT = "Arial, Helvetica, Liberation Sans, DejaVu Sans, sans-serif"
#: Colours where no style sheet sets others: the classes `dg-…` are there to be told.
INK, SOFT, PAPER, ACCENT = "#1a1a1a", "#767676", "#ffffff", "#b3261e"


@lru_cache(maxsize=20_000)
def num(value: float) -> str:
    """A number with at most two places, the same on every machine.

    >>> num(3.0), num(0.126), num(-0.001)
    ('3', '0.13', '0')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


@lru_cache(maxsize=20_000)
def plain(text: str) -> str:
    """Text of the file for an element or an attribute: what is markup is escaped, what XML cannot hold replaced."""
    return escape(_NO_XML.sub("�", text), quote=True)


def element(name: str, inside: str = "", **attributes: str | float) -> str:
    """An element; `_` in a name stands for `-`, one at its end is dropped (`class_`). `inside` is markup."""
    said = _said(attributes)
    return f"<{name}{said}>{inside}</{name}>" if inside else f"<{name}{said}/>"


def _said(attributes: Mapping[str, str | float]) -> str:
    """Attributes as they stand in an element; one without a value is left out."""
    said = ""
    for key, value in attributes.items():
        if value != "":
            said += f'{_opened(key)}{plain(value) if isinstance(value, str) else num(value)}"'
    return said


@cache
def _opened(key: str) -> str:
    """An attribute up to its value."""
    return f' {key.rstrip("_").replace("_", "-")}="'


def text_width(text: str, size: float) -> float:
    """How wide a line of text is at most, in pixels."""
    return size * _ems(text)


@lru_cache(maxsize=20_000)
def _ems(text: str) -> float:
    """The same of a face of one pixel; drawings of one job repeat their words."""
    return sum(map(_width_of, text))


def _width_of(letter: str) -> float:
    found = _WIDTHS.get(letter)
    if found is not None:
        return found
    if "a" <= letter <= "z":
        return _LOWER
    if "0" <= letter <= "9":
        return _DIGIT
    return _CAPITAL if "A" <= letter <= "Z" else _OTHER


def wrapped(text: str, size: float, width: float, most: int = 6, spill: float = 1.5) -> list[str]:
    """A text in lines of `width` pixels, parted at blanks and behind `-` or `/`; a word may be
    `spill` times as wide before it is parted anywhere. What does not go on `most` lines ends in an ellipsis."""
    lines: list[str] = []
    line = ""
    for word in re.findall(r"\s+|[^\s/-]+[/-]?|[/-]", text):
        if word.isspace():
            word = " "
        if text_width(line + word.rstrip(), size) <= width:
            line += word
            continue
        if line.strip():
            lines.append(line.strip())
        line = word.lstrip()
        while text_width(line, size) > spill * width and len(line) > 1:
            fits = next(n for n in range(len(line) - 1, 0, -1) if n == 1 or text_width(line[:n], size) <= width)
            lines.append(line[:fits])
            line = line[fits:]
    if line.strip():
        lines.append(line.strip())
    if len(lines) > most:
        lines = [*lines[: most - 1], lines[most - 1][:-1] + "…"]
    return lines


def path(d: str, **attributes: str | float) -> str:
    """A path."""
    return element("path", "", d=d, **attributes)


def words(lines: Iterable[str], x: float, y: float, size: float, step: float, **attributes: str | float) -> str:
    """Lines of text below each other, the first with its baseline at `y`, each an element of its own, so that letters
    that run from right to left in one do not move those of another."""
    said = _said({"font_size": size, **attributes})
    return "".join(
        f'<text x="{num(x)}" y="{num(y + n * step)}"{said}>{plain(line)}</text>' for n, line in enumerate(lines) if line
    )
