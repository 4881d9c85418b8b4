"""Where things come from: a row of a list, a line of the file, a tag, or a rule."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Protocol

from ..model.explanation import Explanation
from ..model.finding import Finding
from ..model.hookup import Component, Hookup, with_number
from ..model.quantity import format_feet_inches
from ..model.span import Span
from ..model.table import Table, Value
from ..rules.registry import Rule, all_rules
from . import LISTS
from .describe import description, size_text
from .job import Job

#: The finest division of an inch that a heading says.
_FINEST = 64


class Compiled(Protocol):
    """What is needed of a compilation."""

    @property
    def hookups(self) -> Sequence[Hookup]:
        """Its hookups."""

    @property
    def job(self) -> Job:
        """What its lists are made from."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Its findings."""

    def tables(self, names: Sequence[str] | None = None) -> tuple[Table, ...]:
        """Its lists."""


def explain(subject: str, compiled: Compiled) -> Explanation | None:
    """The explanation of a subject, or None if there is nothing by that name.

    `bill:12` is row 12 of a list; `41` or `FILE:41` a line; anything else a tag (of one unit, or with its `*`) or the
    name of a rule.
    """
    rules = all_rules()
    if subject in rules:
        return of_rule(rules[subject])
    head, _, tail = subject.rpartition(":")
    if tail.isdigit() and head in LISTS:
        return _row(compiled, head, int(tail))
    if tail.isdigit():
        return _line(compiled, head, int(tail))
    return _tag(compiled, subject)


def of_rule(rule: Rule) -> Explanation:
    """What a rule asks, why, how to mend it, and who says so."""
    return Explanation(
        f"{rule.name} ({rule.severity})",
        (
            f"Asks: {rule.asks}.",
            f"Why: {rule.why}",
            f"Mend: {rule.mend}.",
            f"Sources: {'; '.join(rule.sources)}. Agreement: {rule.agreement}.",
        ),
    )


def _row(compiled: Compiled, name: str, number: int) -> Explanation | None:
    (table,) = compiled.tables([name])
    if not 1 <= number <= len(table.rows):
        return None
    row = table.rows[number - 1]
    hidden = [column.key for column in table.columns if column.data_only]
    said = ", ".join(
        _cell(value)
        for key, value in row.cells.items()
        if key not in ("tags", "item", *hidden) and value not in ("", None, ())
    )
    reasons = tuple(row.why.split("; ")) if row.why else ("the file names it",)
    return Explanation(f"{table.title}, row {number}: {said}", reasons, row.origin)


def _cell(value: Value) -> str:
    """A cell in a heading that has no columns: what is a Fraction is a length and says its units."""
    if isinstance(value, Fraction):
        return ("-" if value < 0 else "") + format_feet_inches(abs(value), _FINEST)
    return ", ".join(value) if isinstance(value, tuple) else str(value)


def _line(compiled: Compiled, file: str, number: int) -> Explanation | None:
    def here(span: Span) -> bool:
        if not file and span.file.startswith("library/"):  # a bare number means the user's own file
            return False
        return span.line <= number <= span.end_line and (not file or f"/{span.file}".endswith(f"/{file}"))

    made = [(hookup, c) for hookup in compiled.hookups for c in hookup.components() if any(here(s) for s in c.origin)]
    found = [f for f in compiled.findings if here(f.span)]
    if not made and not found:
        return None
    paragraphs = [f"{f.severity}: {f.message} [{f.rule}]" for f in found]
    counted: dict[tuple[str, str], dict[str, int]] = {}  # what it is, in which typical -> units that have it
    for hookup, component in made:
        said = f"{_said(component)}: {component.why or 'the file names it'}"
        counted.setdefault((said, hookup.name), {})[f"{id(hookup)}"] = len(hookup.units)
    seen = [
        f"{said} ({name}, {sum(units.values())} unit{'s' if sum(units.values()) > 1 else ''})"
        for (said, name), units in counted.items()
    ]
    spans = dict.fromkeys(s for _, c in made for s in c.origin if not here(s))
    return Explanation(f"line {number}", (*paragraphs, *seen), tuple(spans))


def _tag(compiled: Compiled, tag: str) -> Explanation | None:
    for hookup in compiled.hookups:
        for component in hookup.components():
            if not component.tag or not _is(component.tag, tag, hookup):
                continue
            paragraphs = [component.why or "the file names it", *_neighbours(hookup, component)]
            for joint in compiled.job.flanged(hookup):
                if component in joint.between:
                    paragraphs.append("bolts: " + joint.why)
            return Explanation(f"{tag}: {_said(component)}", tuple(dict.fromkeys(paragraphs)), component.origin)
    return None


def _is(pattern: str, tag: str, hookup: Hookup) -> bool:
    return pattern == tag or any(with_number(pattern, unit.number) == tag for unit in hookup.units)


def _said(component: Component) -> str:
    return f"{size_text(component)} {description(component)}"


def _neighbours(hookup: Hookup, component: Component) -> list[str]:
    said = []
    for u, v, joint in hookup.joints():
        if component.id in (u, v):
            other = hookup.component(v if component.id == u else u)
            said.append(f"{joint.kind} to {other.label} ({joint.end_a} to {joint.end_b})")
    return said
