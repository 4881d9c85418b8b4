"""The pack of a job: one page to print or open on a phone, its drawings, lists, workbook and JSON, and a PDF.

`page` makes the page alone, `pack` everything, as bytes by relative path. Nothing here reads a file of the job, the
clock or the network.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from .options import Options

if TYPE_CHECKING:
    from ..batch import Batch

__all__ = ["Options", "pack", "page"]


def page(batch: Batch, options: Options | None = None, *, head: str = "") -> str:
    """The page as HTML. `head`: markup that is put at the end of its head; without it the page forbids scripts.

    Of files that cannot be compiled it shows the findings alone.
    """
    from .contents import gather
    from .html import render

    return render(gather(batch, options or Options()), head)


def pack(batch: Batch, options: Options | None = None) -> dict[str, bytes]:
    """All files of the pack by relative path (`index.html`, `lists/bill.csv`).

    Raises Trouble where a PDF is asked for and cannot be made.
    """
    from .everything import everything

    return everything(batch, options or Options())
