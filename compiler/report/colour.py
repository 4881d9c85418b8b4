"""Colour for severities, on a terminal only. The text without colour is the text; colour adds nothing to read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import IO

from ..model.finding import Severity

#: Puts a severity's colour around a text, or gives it back unchanged.
Paint = Callable[[str, Severity], str]

#: ECMA-48 select graphic rendition: bold red, red, yellow, cyan.
_CODES: dict[Severity, str] = {"error": "1;31", "must": "31", "should": "33", "note": "36"}


def no_paint(text: str, severity: Severity) -> str:
    """No colour."""
    return text


def ansi_paint(text: str, severity: Severity) -> str:
    """The severity's colour, by escape sequences of ECMA-48."""
    return f"\x1b[{_CODES[severity]}m{text}\x1b[0m"


def paint_for(stream: IO[str], environ: Mapping[str, str]) -> Paint:
    """Colour if the stream is a terminal that can; NO_COLOR always turns it off, FORCE_COLOR on.

    Both count when set to anything but nothing (FORCE_COLOR: or 0).
    """
    if environ.get("NO_COLOR"):
        return no_paint
    if environ.get("FORCE_COLOR", "0") not in ("", "0"):
        return ansi_paint
    return ansi_paint if stream.isatty() and environ.get("TERM") != "dumb" else no_paint
