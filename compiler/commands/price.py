"""`coilwright price`: what a job costs by the user's own books, and an alternate beside it."""

from __future__ import annotations

import re
import sys
from argparse import Namespace
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from ..batch import Batch, compile_files
from ..model.table import Table
from ..pricing.book import read_book
from ..pricing.books import Books, together
from ..pricing.keys import name_key
from ..pricing.labour import Choice
from ..pricing.summary import Offer, alternates, offer
from ..report.result import Result
from ..report.trouble import Trouble
from ..source.reader import DiskReader, Unreadable
from .inputs import gather, stdin_text
from .output import deliver, exit_code, format_of, look_for
from .takeoff import tell

_DEFAULT = ("costs", "hours", "cost-summary", "no-price")


class SwappedReader(DiskReader):
    """Reads files with one spec in place of another, wherever a service names it."""

    def __init__(self, old: str, new: str) -> None:
        self._swap = re.compile(rf"^([ \t]+spec[ \t]+){re.escape(old)}(?=[ \t]*(?:#|\r?$))", re.M)
        self._new = new
        self.swapped = 0

    def text(self, text: str) -> str:
        """A text with the spec changed."""
        made, count = self._swap.subn(lambda match: match[1] + self._new, text)
        self.swapped += count
        return made

    def read(self, path: str) -> str:
        """The changed text of a file."""
        return self.text(super().read(path))


def run(arguments: Namespace) -> int:
    """Price all files as one job; 1 also where something of a book is lost, 2 where a book cannot be read at all."""
    form = format_of(arguments)
    books = read_books(arguments.books)
    chosen = _choices(arguments.factors or (), books)
    inputs = gather(arguments.inputs, arguments.stdin_filename)
    texts = {one.name: stdin_text(one.name) for one in inputs if not one.path}
    names, parts = [one.name for one in inputs], {one.name for one in inputs if one.in_folder}

    def compiled(reader: DiskReader, changed: Mapping[str, str]) -> Batch:
        return compile_files(names, reader=reader, today=arguments.on or "", texts=changed, parts=parts)

    batch = compiled(DiskReader(), texts)
    found = [Result(one.name, one.findings, one.sources) for one in batch.compilations]
    tell(found, batch.left_out, arguments)
    code = exit_code(found)
    lost = sum(problem.grave for problem in books.problems)
    if not batch.broken:
        priced = offer(batch.job, books, chosen)
        tables = [priced.tables[name] for name in arguments.lists or _DEFAULT if name in priced.tables]
        if books.problems and "book-problems" not in (arguments.lists or ()):
            tables.append(priced.tables["book-problems"])
        if arguments.instead:
            tables += _alternate(arguments.instead, priced, compiled, texts, books, chosen)
        _deliver(batch, found, tables, arguments)
        if priced.missing and not arguments.quiet:
            rows = "1 row has" if priced.missing == 1 else f"{priced.missing} rows have"
            print(f"{rows} no price, no hours or no known quantity; see the list no-price", file=sys.stderr)
    elif form == "json":
        _deliver(batch, found, [], arguments)
    if lost and not arguments.quiet:
        print(f"the books: {lost} problem{'s' if lost > 1 else ''}, in the list book-problems", file=sys.stderr)
    return max(code, 1 if lost else 0)


def _deliver(batch: Batch, found: Sequence[Result], tables: Sequence[Table], arguments: Namespace) -> None:
    left = batch.left_out
    note = (f"Not in this list, because they cannot be compiled: {', '.join(left)}.",) if left else ()
    made = tuple(replace(table, notes=(*note, *table.notes)) for table in tables)
    alone = len(found) == 1
    results = [replace(found[0], tables=made)] if alone else [Result(batch.name, (), {}, made, of_job=True), *found]
    deliver(results, arguments, replace(look_for(arguments.out, arguments.units), findings=False, sum=False))


def read_books(paths: Sequence[str]) -> Books:
    """The books of some paths together. Raises Trouble for one of which nothing can be used."""
    read = []
    for path in paths:
        try:
            data = Path(path).read_bytes()
        except (OSError, ValueError) as error:
            said = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
            raise Trouble(f"the book `{path}` cannot be read: {said.lower()}") from None
        book = read_book(path, data)
        if book.empty:
            told = "\n".join(
                f"  {f'{p.sheet} ' if p.sheet else ''}{f'row {p.row}: ' if p.row else ''}"
                f"{f'{p.column} ' if p.column else ''}{p.what}"
                for p in book.problems
            )
            raise Trouble(f"nothing of the book `{path}` can be used:\n{told}")
        read.append(book)
    return together(read)


def _choices(words: Sequence[str], books: Books) -> tuple[Choice, ...]:
    made = []
    for word in words:
        name, _, units = word.partition("=")
        if name_key(name) not in books.factors:
            there = ", ".join(books.factors) or "none"
            raise Trouble(f"no book has a factor `{name}`; there is {there}")
        made.append(Choice(name_key(name), units or "*"))
    return tuple(made)


def _alternate(
    word: str, drawn: Offer, compiled: object, texts: Mapping[str, str], books: Books, chosen: Sequence[Choice]
) -> list[Table]:
    """The job with one spec in place of another: OLD=NEW."""
    old, _, new = (part.strip() for part in word.partition("="))
    if not old or not new:
        raise Trouble(f"`{word}` is no alternate; write it like steel-grooved=steel-threaded")
    reader = SwappedReader(old, new)
    try:
        batch = compiled(reader, {name: reader.text(text) for name, text in texts.items()})  # type: ignore[operator]
    except Unreadable as error:
        raise Trouble(str(error)) from None
    if not reader.swapped:
        raise Trouble(f"no service has the spec `{old}`, so there is nothing to put `{new}` in place of")
    if batch.left_out:
        errors = [f for one in batch.compilations for f in one.findings if f.severity == "error"]
        raise Trouble(f"with `{new}` in place of `{old}` the job cannot be compiled: {errors[0].message}")
    other = offer(batch.job, books, chosen)
    name = f"{new} instead of {old}"
    missing = replace(other.tables["no-price"], name="no-price-alternate", title=f"Without a price or hours: {name}")
    return [alternates(drawn, other, name), *([missing] if missing.rows else [])]
