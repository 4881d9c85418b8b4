"""`coilwright compare`: what differs between two files, folders or git states, and what that does to the lists."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from dataclasses import replace
from typing import TYPE_CHECKING

from ..report.result import Result
from ..report.trouble import Trouble
from ..takeoff import DEFAULT_LISTS
from .inputs import compile_inputs
from .output import deliver, format_of, look_for
from .progress import Progress

if TYPE_CHECKING:
    from ..batch import Batch
    from ..compare.read_bought import Purchase
    from ..model.table import Table

SAME, DIFFERENT, UNUSABLE = 0, 1, 2
#: A purchase larger than this is none. Bytes.
_LARGEST = 50_000_000


def run(arguments: Namespace) -> int:
    """Compare; 0 nothing differs, 1 something does, 2 where one of them cannot be compiled."""
    from ..compare.lists import list_changes
    from ..compare.units import differences
    from ..takeoff.lists import make

    format_of(arguments)  # says what is wrong with --out before anything is compiled
    names = list(dict.fromkeys(arguments.lists)) if arguments.lists else list(DEFAULT_LISTS)
    purchase = _purchase(arguments.bought) if arguments.bought is not None else None
    with Progress(arguments.quiet) as progress:
        old, new, title = _states(arguments, progress)
    told = [_told(batch) for batch in (old, new) if batch is not None]
    if not all(told):
        return UNUSABLE
    tables: list[Table] = []
    if old is not None:
        found = differences(old.hookups, new.hookups)
        summary, changed = list_changes(names, old.job, new.job, make)
        tables += [found, summary, *changed]
        if arguments.books:
            tables.append(_price(old, new, arguments.books))
    differs = old is not None and bool(found.rows or changed)
    if purchase is not None:
        from ..compare.bought import against
        from ..compare.buying import Shop, plans_of
        from ..pricing.counted import beside_the_bill

        shop = Shop(new.job.settings, plans_of(make("stock", new.job)))
        held = against(make("bill", new.job), purchase, shop, beside_the_bill(new.job))
        tables += held
        differs = differs or any(table.rows for table in held if table.name != "received")
    look = replace(look_for(arguments.out, arguments.units), findings=False, sum=False)
    deliver([Result(title, (), {}, tuple(tables))], arguments, look)
    return DIFFERENT if differs else SAME


def _price(old: Batch, new: Batch, paths: list[str]) -> Table:
    """What the difference comes to by the user's books."""
    from ..pricing.summary import offer, price_changes
    from .price import read_books

    books = read_books(paths)
    return price_changes(offer(old.job, books, ()), offer(new.job, books, ()))


def _purchase(path: str) -> Purchase:
    """What was bought. Raises Trouble for a file that cannot be read or is no purchase."""
    from ..compare.read_bought import read_purchase

    try:
        with open(path, "rb") as file:
            data = file.read(_LARGEST + 1)
    except (OSError, ValueError) as error:
        raise Trouble(f"cannot read `{path}`: {(getattr(error, 'strerror', None) or str(error)).lower()}") from None
    if len(data) > _LARGEST:
        raise Trouble(f"`{path}` is larger than {_LARGEST // 1_000_000} MB, which no purchase of one job is")
    purchase = read_purchase(data, path)
    if purchase.trouble:
        raise Trouble(f"`{path}` {purchase.trouble}")
    return purchase


def _states(arguments: Namespace, progress: Progress) -> tuple[Batch | None, Batch, str]:
    """The old state (None: there is only a purchase to hold the new one against), the new one, what they are called."""
    words = list(arguments.inputs)
    if arguments.git is not None:
        from .git_state import compile_state

        before, dots, after = arguments.git.partition("..")
        old = compile_state(before, words, progress.files)
        now = compile_state(after, words, progress.files) if dots else _compiled(words, arguments, progress)
        return old, now, f"{' '.join(words)}: {before} to {after or 'now'}"
    if len(words) == 1 and arguments.bought is not None:
        return None, _compiled(words, arguments, progress), f"{words[0]} and {arguments.bought}"
    if len(words) != 2:
        raise Trouble(f"`compare` takes an old and a new file or folder, not {len(words)}; for one file name --git")
    if words[0] == words[1] == "-":
        raise Trouble("only one of the two can be standard input")
    old, new = (_compiled([word], arguments, progress) for word in words)
    return old, new, f"{words[0]} to {words[1]}"


def _compiled(words: list[str], arguments: Namespace, progress: Progress) -> Batch:
    return compile_inputs(words, arguments.stdin_filename, "", progress.files)


def _told(batch: Batch) -> bool:
    """Whether all files compiled; what keeps one from it goes to standard error, since its units would seem gone."""
    from ..report import findings_text
    from ..report.colour import paint_for

    for one in batch.compilations:
        errors = [finding for finding in one.findings if finding.severity == "error"]
        if errors:
            print(findings_text.render(errors, one.sources, paint_for(sys.stderr, os.environ)), file=sys.stderr)
    if batch.left_out:
        print(f"nothing is compared: cannot compile {', '.join(batch.left_out)}", file=sys.stderr)
    return not batch.left_out
