"""Lists as a workbook, to go on working in: a sheet a list, a real table with filters, formulas, and print set-up.

XlsxWriter is loaded with this module, and this module where a workbook is asked for. Texts are written as texts,
whatever they begin with. The same lists give the same bytes.
"""

from __future__ import annotations

import datetime
import io
import re
from collections.abc import Sequence

from xlsxwriter import Workbook

from ..model.table import Table
from ..version import __version__
from .worksheet import Sheet, Styles, as_cell

#: A workbook carries the day it was made; ours carries always the same one.
_MADE = datetime.datetime(2000, 1, 1)
_LETTER, _A4 = 1, 9
#: What a sheet's name may be: so many characters, none of these, and not the one that spreadsheets keep for themselves.
_LONGEST = 31
_FORBIDDEN = re.compile(r"[\[\]:*?/\\'\x00-\x1f]")
_KEPT = "history"


def render(tables: Sequence[tuple[str, Table]], metric: bool = False) -> bytes:
    """The workbook of all lists, each on a sheet of the name given with it, as far as a sheet's name may be so.

    Raises Trouble for a list with more rows than a sheet takes.
    """
    stream = io.BytesIO()
    book = Workbook(stream, {"in_memory": True})
    book.set_properties({"created": _MADE, "comments": f"coilwright {__version__}"})
    styles = Styles(book)
    names: set[str] = set()
    for number, (name, table) in enumerate(tables, 1):
        sheet = book.add_worksheet(_sheet_name(name, names))
        Sheet(sheet, table, styles, f"T{number}").write(_A4 if metric else _LETTER)
    if not tables:
        book.add_worksheet("nothing").write_string(0, 0, "There are no lists.")
    book.close()
    return stream.getvalue()


def _sheet_name(name: str, taken: set[str]) -> str:
    """A name that a sheet may have and none has yet."""
    plain = _cut(_FORBIDDEN.sub("-", as_cell(name)), _LONGEST) or "-"
    made, number = plain, 2
    while made.casefold() in taken or made.casefold() == _KEPT:
        made, number = f"{_cut(plain, _LONGEST - len(str(number)) - 1)} {number}", number + 1
    taken.add(made.casefold())
    return made


def _cut(text: str, units: int) -> str:
    """As much of a text as has so many UTF-16 units, in which a workbook counts: some signs take two."""
    return text.encode("utf-16-le")[: 2 * units].decode("utf-16-le", "ignore")
