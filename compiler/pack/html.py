"""The pack as one HTML page that needs no network and no script."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from markupsafe import Markup, escape

from ..model.table import Column, Table
from ..report.plain import visible
from ..report.sums import sum_row
from ..report.tables_text import cell_text, heading
from ..version import __version__
from .cautions import CAUTIONS, DEFERENCE
from .chapters import SIGNATURES, SIGNED, signed_sheets
from .contents import Contents, places
from .setting import apart, in_line

if TYPE_CHECKING:
    from jinja2 import Environment


def render(contents: Contents, head: str = "") -> str:
    """The page; `head` is markup for the end of its head."""
    return (
        _templates()
        .get_template("page.html.jinja")
        .render(
            c=contents,
            cautions=CAUTIONS,
            deference=DEFERENCE,
            version=__version__,
            signatures=SIGNATURES,
            signed=SIGNED[0],
            lists=_lists(contents),
            style=Markup(_text("page.css")),
            head=Markup(head),
        )
    )


@lru_cache(maxsize=1)
def _templates() -> Environment:
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    made = Environment(
        loader=FunctionLoader(_text),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
        finalize=_shown,
    )
    made.filters |= {"words": words, "css": css_string, "svg": _svg, "count": counted}
    made.globals |= {
        "rows": _rows,
        "sums": _sums,
        "heading": heading,
        "in_line": in_line,
    }
    return made


def _text(name: str) -> str:
    return (files(__package__) / name).read_text(encoding="utf-8")


def _shown(value: Any) -> Any:
    """Text of a file with nothing in it that turns or breaks the line; markup of ours as it is."""
    return visible(value) if type(value) is str else value


#: So many rows at most stay on one printed page.
_KEPT = 25
#: A column whose cells are single words of so many letters at most, such as tags, is never broken.
_WORD = 20


@dataclass(frozen=True, slots=True)
class Listed:
    """A list as it is shown. `kind`: a class that it shares with lists of the same headings."""

    table: Table
    title: str
    above: tuple[tuple[str, str], ...]
    columns: Sequence[Column]
    kind: str
    blank: bool = False  # the unit is written in

    @property
    def keep(self) -> bool:
        """Whether it stays on one printed page."""
        return len(self.table.rows) <= _KEPT


@dataclass(slots=True)
class _Lists:
    """All lists of a page: those of the checker, and of each chapter by its list, the sheets to sign one by one."""

    checker: list[Listed] = field(default_factory=list)
    chapters: dict[str, list[list[Listed]]] = field(default_factory=dict)
    kinds: dict[tuple[str, ...], str] = field(default_factory=dict)  # headings -> class
    whole: set[tuple[str, int]] = field(default_factory=set)  # class, number of a column that is never broken

    def add(self, table: Table, title: str, blank: bool = False) -> Listed:
        """A list to be shown."""
        above, columns = apart(table)
        kind = self.kinds.setdefault(tuple(map(heading, columns)), f"k{len(self.kinds)}")
        for number, column in enumerate(columns, 1):
            cells = [row.cells.get(column.key) for row in table.rows]
            if all(type(cell) is not str or (len(cell) <= _WORD and " " not in cell) for cell in cells):
                self.whole |= {(kind, number)} if any(type(cell) is str for cell in cells) else set()
        return Listed(table, title, above, columns, kind, blank)


def _lists(contents: Contents) -> _Lists:
    made = _Lists()
    made.checker.extend(made.add(table, table.title) for table in contents.sheets)
    for chapter in contents.chapters:
        if chapter.key == SIGNED[0]:
            found = [[made.add(s.table, s.title, s.blank) for s in signed_sheets(table)] for table in chapter.lists]
        else:
            found = [[made.add(table, table.title)] for table in chapter.lists]
        made.chapters[chapter.key] = found
    return made


def _rows(table: Table, columns: Sequence[Column]) -> Markup:
    """The rows of a list. A list may have thousands, for which a template would take long."""
    heads = [(column, '<td class="r">' if column.align == "right" else "<td>") for column in columns]
    made = []
    for row in table.rows:
        made.append(f'<tr data-at="{_cell(places(row.origin))}">')
        for column, opened in heads:
            value = row.cells.get(column.key)
            opened = '<td class="hand">' if column.by_hand and value is None and opened == "<td>" else opened
            made.append(f"{opened}{_cell(cell_text(value, column))}</td>")
        made.append("</tr>\n")
    return Markup("".join(made))


def _sums(table: Table, columns: Sequence[Column]) -> Markup:
    """What is added up, as the foot of a list; nothing where nothing is."""
    texts = sum_row(table, columns)
    cells = ("td", "td class='r'")
    inside = (
        "".join(f"<{cells[c.align == 'right']}>{_cell(text)}</td>" for c, text in zip(columns, texts, strict=True))
        if texts
        else ""
    )
    return Markup(f"<tfoot><tr>{inside}</tr></tfoot>\n") if texts else Markup("")


@lru_cache(maxsize=20_000)
def _cell(text: str) -> str:
    return str(words(text) if "`" in text else escape(visible(text)))


def _svg(drawing: Any) -> Markup:
    return Markup(drawing.svg())


def words(text: str) -> Markup:
    """A sentence with what stands in backticks as code.

    >>> words("no vent by `FB-*01`, <b>")
    Markup('no vent by <code>FB-*01</code>, &lt;b&gt;')
    """
    parts = text.split("`")
    if len(parts) % 2 == 0:  # one backtick has no partner
        return escape(visible(text))
    return Markup("").join(
        Markup("<code>{}</code>").format(visible(part)) if index % 2 else visible(part)
        for index, part in enumerate(parts)
    )


def css_string(text: str) -> Markup:
    """A text as a string of a style sheet inside a page: all but plain letters and digits by their number.

    >>> css_string('A-1 "<"')
    Markup('"A\\\\2d 1\\\\20 \\\\22 \\\\3c \\\\22 "')
    """
    inside = "".join(c if c.isascii() and c.isalnum() else f"\\{ord(c):x} " for c in visible(text))
    return Markup(f'"{inside}"')


def counted(number: int, thing: str) -> str:
    """A number with its thing.

    >>> counted(1, "unit"), counted(3, "unit")
    ('1 unit', '3 units')
    """
    return f"{number} {thing}{'' if number == 1 else 's'}"
