"""All files of a pack as bytes by relative path."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator, Sequence

from ..batch import Batch
from ..drawing.svg import Drawing
from ..model.hookup import Hookup
from ..model.table import Table
from ..report import tables_csv
from ..report.document import Format, Look, render
from ..report.result import Result, without_repeats
from ..takeoff import LISTS as TAKEN
from ..takeoff.by_unit import is_shared, with_a_row_a_unit
from ..version import __version__
from .aside import Aside
from .chapters import SIGNED
from .contents import Contents, gather
from .options import Options
from .pictures import Pictures, pictures

PAGE, BOOK, LISTS, JOB, RECORD = "index.html", "pack.pdf", "lists.xlsx", "job.json", "pack.json"


def everything(batch: Batch, options: Options) -> dict[str, bytes]:
    """The page, the drawings, the lists, the workbook, the JSON, the PDF if it is asked for; and the record of them.

    Raises Trouble where the PDF cannot be made.
    """
    if batch.broken:
        return _set(batch, options, gather(batch, options), None)
    numbered = list(enumerate(batch.findings, 1))
    hookups = batch.hookups

    def drawn(some: Sequence[Hookup]) -> list[Pictures]:
        return [pictures(batch.job, hookup, numbered, metric=options.metric) for hookup in some]

    with Aside(lambda: drawn(hookups[1::2])) as others:  # begun before the lists, which its drawings do not need
        with_rows = [table.name for table in batch.tables(list(TAKEN)) if table.rows]
        with Aside(lambda: _documents(batch, with_rows, options)) as documents:
            made = dict(zip(map(id, hookups[::2]), drawn(hookups[::2]), strict=True))
            made |= zip(map(id, hookups[1::2]), others.result(), strict=True)
            contents = gather(batch, options, lambda job, hookup, findings: made[id(hookup)])
            return _set(batch, options, contents, documents)


def _set(
    batch: Batch, options: Options, contents: Contents, documents: Aside[dict[str, bytes]] | None
) -> dict[str, bytes]:
    """The files of what is gathered."""
    from .html import render as as_page

    made = {PAGE: _bytes(as_page(contents))}
    if options.pdf:
        from .book import render as as_book

        made[BOOK] = as_book(contents)
    for number, (kind, drawing) in enumerate(_drawings(contents), 1):
        made[f"drawings/{number:03}-{kind}-{_plain(drawing.title)}.svg"] = drawing.svg().encode()
    for table in contents.whole:
        made[f"lists/{table.name}.csv"] = _bytes(tables_csv.render([table]))
    for table in _shared(contents):
        made[f"lists/{table.name}-by-unit.csv"] = _bytes(tables_csv.render([with_a_row_a_unit(table)]))
    made |= documents.result() if documents else _documents(batch, [], options)
    made[RECORD] = _record(contents, made)
    return made


def _drawings(contents: Contents) -> Iterator[tuple[str, Drawing]]:
    for one in contents.pictures:
        hands = ("drawn", "built") if len(one.lines) == 2 else ("line",)
        yield from zip(hands, one.lines, strict=True)
        yield from (("lineup", drawing) for drawing in one.lineups)
        yield from (("iso", drawing) for drawing in one.isometrics)


def _shared(contents: Contents) -> Iterator[Table]:
    """The sheets to sign with rows that hold for several units."""
    for chapter in contents.chapters:
        if chapter.key == SIGNED[0]:
            yield from filter(is_shared, chapter.lists)


def _plain(title: str) -> str:
    """A title as part of a file's name that every system takes; the number before it tells files apart."""
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:60].strip("-")


def _documents(batch: Batch, names: Sequence[str], options: Options) -> dict[str, bytes]:
    """The workbook and the JSON of the lists named."""
    results = _results(batch, names)
    return {LISTS: _document(results, "xlsx", options), JOB: _document(results, "json", options)}


def _results(batch: Batch, names: Sequence[str]) -> list[Result]:
    """What `takeoff` would print: of a single file its findings and lists, of several those of the job first."""
    tables = () if batch.broken else batch.tables(names)
    if len(batch.compilations) == 1:
        one = batch.compilations[0]
        return [Result(one.name, one.findings, one.sources, tables)]
    files = [Result(one.name, one.findings, one.sources) for one in batch.compilations]
    return [Result(batch.name, (), {}, tables, of_job=True), *without_repeats(files)]


def _document(results: list[Result], form: Format, options: Options) -> bytes:
    return _bytes(render(results, form, Look(units=options.units)))


def _record(contents: Contents, made: dict[str, bytes]) -> bytes:
    """What was compiled and what came of it, each file with its SHA-256."""
    data = {
        "coilwright": __version__,
        "revision": contents.options.revision,
        "date": contents.options.date,
        "units": contents.options.units,
        "compiled": {source.name: source.digest for source in contents.sources},
        "files": {name: hashlib.sha256(made[name]).hexdigest() for name in sorted(made)},
    }
    return _bytes(json.dumps(data, indent=2, ensure_ascii=False) + "\n")


def _bytes(text: str | bytes) -> bytes:
    return text if isinstance(text, bytes) else text.encode("utf-8", "backslashreplace")
