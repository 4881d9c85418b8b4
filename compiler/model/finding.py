"""A problem found in a hookup: what, where, why, and how to mend it. Nothing here knows how it is printed."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

from .mend import Mend
from .span import Span

#: `error`: the file cannot be compiled as it stands. The other three are the trade's grades for a hookup that compiles.
Severity = Literal["error", "must", "should", "note"]

SEVERITIES: tuple[Severity, ...] = ("error", "must", "should", "note")


@dataclass(frozen=True, slots=True)
class Note:
    """A further fact, or a further place that matters to the finding."""

    text: str
    span: Span | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """One problem.

    `rule` states the fault in kebab case; `message` stands alone (lower case, no full stop, tags and words of the file
    in backticks); `label` is the short text under the underlined words; `help` is the mend in words, and the only
    imperative; `mend` is the same as changes of the file, where the file says enough for that.
    `units` lists the units it holds for, when it came from a typical. `about` holds the tags it concerns, coils among
    them. `accepted` is not empty where a file accepts it: by whom, until when, why.
    """

    rule: str
    severity: Severity
    message: str
    span: Span
    label: str = ""
    notes: tuple[Note, ...] = ()
    help: str = ""
    units: tuple[str, ...] = ()
    about: tuple[str, ...] = ()
    accepted: str = ""
    mend: Mend = ()

    def order(self) -> tuple[str, int, int, int, str, str]:
        """Sort key: by place, then severity, so that the list reads in file order and never changes."""
        s = self.span
        return (s.file, s.line, s.column, SEVERITIES.index(self.severity), self.rule, self.message)

    def said(self) -> tuple[object, ...]:
        """All of it but the units: findings that agree in this are one finding of several units."""
        return (
            self.rule,
            self.severity,
            self.message,
            self.span,
            self.label,
            self.notes,
            self.help,
            self.about,
            self.accepted,
            self.mend,
        )

    def of(self, units: tuple[str, ...]) -> Finding:
        """The same of some units: itself if those are its own."""
        return self if units == self.units else replace(self, units=units)


@dataclass(slots=True)
class Findings:
    """The findings of one run, in the order they were made."""

    items: list[Finding] = field(default_factory=list)

    def add(
        self,
        rule: str,
        message: str,
        span: Span,
        *,
        severity: Severity = "error",
        label: str = "",
        notes: tuple[Note, ...] = (),
        help: str = "",
    ) -> None:
        """Record a finding about a file that cannot be compiled as it stands (the default), or a graded one."""
        self.items.append(Finding(rule, severity, message, span, label, notes, help))

    @property
    def broken(self) -> bool:
        """Whether any finding keeps the file from being compiled."""
        return any(f.severity == "error" for f in self.items)
