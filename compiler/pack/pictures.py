"""The drawings of each distinct hookup, made once for all units that are built so."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from ..drawing.diagram import both_hands, lineup_diagrams
from ..drawing.iso_sheet import Isometric
from ..drawing.isometric import isometrics_or_why_not
from ..drawing.svg import Drawing
from ..drawing.wording import INCH_POUND, Wording
from ..model.finding import Finding
from ..model.hookup import Hookup
from ..model.quantity import format_millimetres
from ..report.units import dn, in_words
from ..takeoff.job import Job
from ..takeoff.tally import units_text


@dataclass(frozen=True, slots=True)
class Pictures:
    """Of one hookup: its line diagrams (as drawn, then as built, where those differ), its lineups, its isometrics.

    `left_out` says of which lines and spools there is no isometric, and why.
    """

    units: str
    tags: tuple[str, ...]
    lines: tuple[Drawing, ...]
    lineups: tuple[Drawing, ...]
    isometrics: tuple[Isometric, ...]
    left_out: tuple[str, ...]


#: How the drawings of a metric pack write lengths, sizes and notes: as its lists do.
METRIC = Wording(format_millimetres, dn, in_words, "DN")

#: Makes the drawings of a hookup. It is given the findings of the whole job, each with its number.
Draw = Callable[[Job, Hookup, Sequence[tuple[int, Finding]]], Pictures]


def pictures(job: Job, hookup: Hookup, findings: Sequence[tuple[int, Finding]], *, metric: bool = False) -> Pictures:
    """All drawings of a hookup."""
    return completed(job, hookup, lines_alone(job, hookup, findings, metric=metric), metric=metric)


def lines_alone(job: Job, hookup: Hookup, findings: Sequence[tuple[int, Finding]], *, metric: bool = False) -> Pictures:
    """The line diagrams, which take the least time; the others are said to be left out."""
    tags = tuple(unit.tag for unit in hookup.units)
    own = [(number, finding) for number, finding in findings if not tags or set(finding.units) & set(tags)]
    name = units_text(hookup.units) or hookup.name
    return Pictures(name, tags, both_hands(hookup, findings=own, wording=_wording(metric)), (), (), ("not drawn yet",))


def completed(job: Job, hookup: Hookup, lines: Pictures, *, metric: bool = False) -> Pictures:
    """The same with all other drawings. They follow from the hookup and the settings of its job alone."""
    drawn, missing = isometrics_or_why_not(job, hookup, _wording(metric))
    lineups = lineup_diagrams(hookup, job.sections(hookup), _wording(metric))
    return replace(lines, lineups=lineups, isometrics=tuple(drawn), left_out=tuple(missing))


def _wording(metric: bool) -> Wording:
    return METRIC if metric else INCH_POUND


def with_others(lines: Pictures, other: Pictures) -> Pictures:
    """Line diagrams with all other drawings of `other`, of a hookup that is the same."""
    return replace(lines, lineups=other.lineups, isometrics=other.isometrics, left_out=other.left_out)
