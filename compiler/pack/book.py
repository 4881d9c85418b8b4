"""The pack as a PDF, set by typst. Whatever a file says reaches typst as a string and is never read as its markup."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from ..drawing.svg import FONT
from ..model.table import Table
from ..report.plain import visible
from ..report.trouble import Trouble
from ..version import __version__
from .above import holds_for, notes_above, without
from .cautions import CAUTIONS, DEFERENCE
from .chapters import SIGNATURES, SIGNED, signed_sheets
from .contents import Contents
from .placing import INSET_X as SMALL_INSET
from .placing import LETTERS as SMALL
from .placing import PX, place
from .setting import GUTTER, INSET_X, INSET_Y, WHOLE, in_line, settle

if TYPE_CHECKING:
    from jinja2 import Environment

_FACE = "Libertinus Serif"
#: A PDF carries when it was made; ours carries always the same moment, 2000-01-01. Seconds.
_MADE = 946_684_800
#: Long and short side of the paper, and the margins beside and above and below what is printed, in points.
_PAPERS = {"us-letter": (792.0, 612.0), "a4": (841.9, 595.3)}
_BESIDE, _ABOVE, _BELOW = 28.0, 42.0, 34.0


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
            paper=_paper(contents),
            room=_room(contents),
            beside=_BESIDE,
            above=_ABOVE,
            below=_BELOW,
            inset=(INSET_X, INSET_Y),
            gutter=GUTTER,
            small=(SMALL, SMALL_INSET),
            px=PX,
            whole=WHOLE,
            signed=SIGNED[0],
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
    made.globals |= {
        "laid_out": laid_out,
        "signed_sheets": signed_sheets,
        "place": place,
        "notes_above": notes_above,
        "holds_for": holds_for,
        "without": without,
    }
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


def _paper(contents: Contents) -> str:
    return "a4" if contents.options.metric else "us-letter"


def _room(contents: Contents) -> tuple[float, float]:
    """What is printed of a page on its side: width and height, points."""
    long, short = _PAPERS[_paper(contents)]
    return long - 2 * _BESIDE, short - _ABOVE - _BELOW


def laid_out(table: Table, room: float) -> dict[str, Any]:
    """What typst needs to set a list on a page so many points wide."""
    found = settle(table, room)
    return {
        "above": in_line(found.above),
        "widths": Code(", ".join(f"{one:.1f}pt" for one in found.widths)),
        "aligns": Code(", ".join(column.align for column in found.columns)),
        "letters": round(found.letters, 2),
        "heads": found.heads,
        "rows": [(row.cells, in_line(row.more)) for row in found.rows],
        "sums": found.sums,
        "hand": Code("true" if any(column.by_hand for column in found.columns) else "false"),
        "keep": Code("true" if found.keep else "false"),
        "two": Code("true" if found.two else "false"),
    }
