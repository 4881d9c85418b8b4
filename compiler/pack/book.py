"""The pack as a PDF, set by typst. Whatever a file says reaches typst as a string and is never read as its markup."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from ..drawing.svg import FONT
from ..model.table import Table
from ..report.plain import visible, width
from ..report.tables_text import heading, used_columns
from ..report.trouble import Trouble
from ..report.values import as_text
from ..version import __version__
from .cautions import CAUTIONS, DEFERENCE
from .chapters import SIGNATURES, is_signed, to_sign
from .contents import Contents

if TYPE_CHECKING:
    from jinja2 import Environment

_FACE = "Libertinus Serif"
#: A PDF carries when it was made; ours carries always the same moment, 2000-01-01. Seconds.
_MADE = 946_684_800
#: Characters of a column: the room for a hand, and beyond which a longer text makes it no wider.
_HAND, _WIDEST = 14, 40
#: Letters in points: the largest and smallest, and how many characters of one point go on a line.
_LARGEST, _SMALLEST, _ON_A_LINE = 9.0, 5.5, 1400


class Code(str):
    """A piece of typst source of ours, which goes into the source as it is."""

    __slots__ = ()


def render(contents: Contents) -> bytes:
    """The PDF: letter paper, A4 where lists are metric. Raises Trouble where typst is not installed."""
    try:
        import typst
    except ImportError:
        raise Trouble(
            "a PDF needs the package typst; install it with: pip install 'coilwright[pdf]' (or: pip install typst)"
        ) from None
    source = source_of(contents).encode("utf-8", "backslashreplace")
    made = typst.Compiler().compile(source, format="pdf", timestamp=_MADE)
    if not isinstance(made, bytes):
        raise TypeError("typst gave no document")
    return made


def source_of(contents: Contents) -> str:
    """The source that typst sets."""
    return (
        _templates()
        .get_template("book.typ.jinja")
        .render(
            c=contents,
            cautions=CAUTIONS,
            deference=DEFERENCE,
            signatures=SIGNATURES,
            version=__version__,
            paper="a4" if contents.options.metric else "us-letter",
        )
    )


@lru_cache(maxsize=1)
def _templates() -> Environment:
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    made = Environment(
        loader=FunctionLoader(lambda name: (files(__package__) / name).read_text(encoding="utf-8")),
        autoescape=False,  # `finalize` makes a typst string of every text instead
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
        finalize=literal,
        block_start_string="<%",
        block_end_string="%>",
        variable_start_string="<<",
        variable_end_string=">>",
        comment_start_string="<#",
        comment_end_string="#>",
    )
    made.filters |= {"code": Code, "svgtext": _svg_text}
    made.globals |= {"laid_out": laid_out, "to_sign": to_sign, "is_signed": is_signed}
    return made


def literal(value: Any) -> Any:
    r"""A text as a typst string; numbers and `Code` as they are.

    >>> print(literal('#sys "x" \\'))
    "#sys \"x\" \\"
    """
    if not isinstance(value, str) or isinstance(value, Code):
        return value
    lines = (visible(line) for line in value.split("\n"))
    return '"' + "\\n".join(line.replace("\\", "\\\\").replace('"', '\\"') for line in lines) + '"'


def _svg_text(svg: str) -> str:
    """A drawing in the face that typst brings along, so that its pages are the same on every machine."""
    return svg.replace(f'font-family="{FONT}"', f'font-family="{_FACE}"', 1)


def laid_out(table: Table) -> dict[str, Any]:
    """What typst needs to set a list: column widths, letters, heads, rows."""
    columns = used_columns(table)
    heads = [heading(column) for column in columns]
    rows = [[as_text(row.cells.get(column.key), column.unit) for column in columns] for row in table.rows]
    widths = [
        max(_HAND if column.by_hand else 3, *(min(width(text), _WIDEST) for text in (_longest_word(head), *cells)))
        for column, head, cells in zip(columns, heads, zip(*rows, strict=True), strict=True)
    ]
    total = sum(widths) + 2 * len(widths)
    return {
        "widths": Code(", ".join(f"{one}fr" for one in widths)),
        "aligns": Code(", ".join(column.align for column in columns)),
        "letters": round(max(_SMALLEST, min(_LARGEST, _ON_A_LINE / total)), 1),
        "full": total > _ON_A_LINE / _LARGEST / 2,
        "heads": heads,
        "rows": rows,
    }


def _longest_word(text: str) -> str:
    return max(text.split(), key=len, default="")
