"""What a pack holds, gathered once for the page, the PDF and the files beside them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import partial

from ..batch import Batch
from ..model.finding import SEVERITIES, Finding
from ..model.span import Origin
from ..model.table import Table
from ..report.excerpt import Sources, excerpt
from ..report.plain import visible
from ..report.units import in_metric
from ..report.values import shortened
from ..takeoff import LISTS
from .chapters import SIGNED, for_reading, lists_by_chapter, logs
from .options import Options
from .pictures import Draw, Pictures, pictures


@dataclass(frozen=True, slots=True)
class Source:
    """A file that was read: its name, and the SHA-256 of its text as UTF-8."""

    name: str
    digest: str


@dataclass(frozen=True, slots=True)
class Found:
    """A finding with the number that it has in the diagrams. `line` and `marks` are its excerpt, empty without one."""

    number: int
    finding: Finding
    line: str
    marks: str
    notes: tuple[str, ...]
    units: str


@dataclass(frozen=True, slots=True)
class Chapter:
    """Some lists under one heading."""

    key: str
    title: str
    lists: tuple[Table, ...]


@dataclass(frozen=True, slots=True)
class Contents:
    """A job as it is told in a pack. Lists are in the units asked for; those without rows are only named in `empty`."""

    options: Options
    title: str
    projects: tuple[str, ...]
    sources: tuple[Source, ...]
    left_out: tuple[str, ...]
    broken: bool
    units: tuple[tuple[str, str, tuple[str, ...]], ...]  # typical, hand, tags, a row a hookup
    found: tuple[Found, ...]
    counts: tuple[tuple[str, int], ...]
    sheets: tuple[Table, ...] = ()
    pictures: tuple[Pictures, ...] = ()
    chapters: tuple[Chapter, ...] = ()
    empty: tuple[Table, ...] = ()
    whole: tuple[Table, ...] = field(default=(), repr=False)  # every list that has rows, as `takeoff` prints it

    @property
    def unit_count(self) -> int:
        """How many real units there are."""
        return sum(len(tags) for *_, tags in self.units)


def gather(batch: Batch, options: Options, draw: Draw | None = None, lists: Iterable[str] = LISTS) -> Contents:
    """All of it; of files none of which can be compiled only what was found. `draw` makes the drawings of a hookup,
    else all are made, in the units asked for; `lists` names the lists to make."""
    findings = batch.findings
    projects = tuple(dict.fromkeys(p for one in batch.compilations if (p := one.compiled.declared.project)))
    counts = tuple((s, n) for s in SEVERITIES if (n := sum(f.severity == s for f in findings)))
    told = Contents(
        options=options,
        title=" / ".join(projects) or batch.name,
        projects=projects,
        sources=tuple(Source(name, _digest(text)) for name, text in batch.sources.items()),
        left_out=batch.left_out,
        broken=batch.broken,
        units=tuple((h.name, h.airflow, tuple(unit.tag for unit in h.units)) for h in batch.hookups),
        found=tuple(_found(findings, Sources(batch.sources))),
        counts=counts,
    )
    if batch.broken:
        return told
    draw = draw or partial(pictures, metric=options.metric)
    return _with_lists(told, batch, list(enumerate(findings, 1)), draw, lists)


def _with_lists(
    told: Contents, batch: Batch, numbered: list[tuple[int, Finding]], draw: Draw, lists: Iterable[str]
) -> Contents:
    def shown(table: Table) -> Table:
        return in_metric(table) if told.options.metric else table

    made = {table.name: shown(table) for table in batch.tables(list(lists))}
    whole = tuple(table for table in made.values() if table.rows)

    def printed(key: str, names: tuple[str, ...]) -> tuple[Table, ...]:
        lists = tuple(made[name] for name in names if name in made and made[name].rows)
        return (*logs(whole), *lists) if key == SIGNED[0] else tuple(map(for_reading, lists))

    chapters = (Chapter(key, title, printed(key, names)) for key, title, names in lists_by_chapter())
    return replace(
        told,
        sheets=tuple(map(shown, _sheets(batch))),
        pictures=tuple(draw(batch.job, hookup, numbered) for hookup in batch.hookups),
        chapters=tuple(chapter for chapter in chapters if chapter.lists),
        empty=tuple(table for table in made.values() if not table.rows),
        whole=whole,
    )


def _sheets(batch: Batch) -> Iterator[Table]:
    """What a checker signs, file by file."""
    for one in batch.compilations:
        for sheet in () if one.broken else one.sheets(short=True):
            yield sheet if len(batch.compilations) == 1 else replace(sheet, title=f"{sheet.title}: {one.name}")


def _found(findings: tuple[Finding, ...], sources: Sources) -> Iterator[Found]:
    for number, finding in enumerate(findings, 1):
        line, marks = excerpt(finding.span, sources) or ("", "")
        notes = tuple(f"{note.text} ({note.span})" if note.span else note.text for note in finding.notes)
        yield Found(number, finding, visible(line.rstrip()), marks, notes, shortened(finding.units))


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def places(origin: Origin) -> str:
    """The lines of files behind a row as the drawings give them for a component: `FILE:LINE FILE:LINE`."""
    return " ".join(dict.fromkeys(f"{span.file}:{span.line}" for span in origin))
