"""What a file says of rules, put to use: severities, accepted findings, and a shop's own rules."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from ..model.declared import Acceptance, RuleSettings
from ..model.finding import Finding, Severity
from ..model.hookup import with_number
from ..model.nearest import nearest
from ..model.span import Span
from .registry import Checked, registered_for, rules_for

#: The entry point group under which a shop registers a module whose import registers rules.
GROUP = "coilwright.rules"


def load_packs(settings: RuleSettings) -> Iterator[Finding]:
    """Import the rule packs that the files name. A pack that is not installed or fails to import is a finding."""
    if not settings.packs:
        return
    from importlib.metadata import entry_points  # costs a noticeable part of a second, and few files need it

    for name, span in settings.packs:
        found = [point for point in entry_points(group=GROUP) if point.name == name]
        if not found:
            known = sorted(point.name for point in entry_points(group=GROUP))
            help = f"installed: {', '.join(known)}" if known else f"none is installed under `{GROUP}`"
            yield Finding("unknown-pack", "must", f"there is no pack of rules `{name}`", span, help=help)
            continue
        try:
            with registered_for(name):
                found[0].load()
        except Exception as problem:
            text = f"pack of rules `{name}` cannot be loaded: {type(problem).__name__}: {problem}"
            yield Finding("rule-failed", "must", text, span)


def packs_of(settings: RuleSettings) -> frozenset[str]:
    """The names of the packs that the files ask for."""
    return frozenset(name for name, _ in settings.packs)


def severities(settings: RuleSettings) -> tuple[dict[str, Severity], list[Finding]]:
    """The severities that the files set, by rule, and findings for rules that are not there."""
    made: dict[str, Severity] = {}
    wrong: list[Finding] = []
    known = rules_for(packs_of(settings))
    for name, (severity, span) in settings.severities.items():
        if name in known:
            made[name] = severity  # type: ignore[assignment]
        else:
            wrong.append(_unknown(name, known, span))
    return made, wrong


def settled(
    findings: Sequence[Finding], checked: Sequence[Checked], settings: RuleSettings, today: str
) -> list[Finding]:
    """The findings with those marked that the files accept, and a finding for each acceptance that is of no use.

    An acceptance holds where its rule finds something about its tag: `PRE`, `BV-*02`, or `BV-102` for one unit alone.
    """
    left = list(findings)
    known = rules_for(packs_of(settings))
    for acceptance in settings.accepted:
        if acceptance.rule not in known:
            left.append(_unknown(acceptance.rule, known, acceptance.span))
        elif acceptance.until and today and acceptance.until < today:
            text = f"the acceptance of `{acceptance.rule}` at `{acceptance.at}` ran out on {acceptance.until}"
            left.append(Finding("acceptance-expired", "must", text, acceptance.span, help="mend it, or renew the date"))
        else:
            left = _accept(left, acceptance, _numbers(checked))
    return left


def _numbers(checked: Sequence[Checked]) -> dict[str, str]:
    """The number of every unit, by its tag."""
    return {unit.tag: unit.number for one in checked for unit in one.hookup.units}


def _accept(findings: list[Finding], acceptance: Acceptance, numbers: dict[str, str]) -> list[Finding]:
    made: list[Finding] = []
    used = False
    until = f" until {acceptance.until}" if acceptance.until else ""
    words = f"accepted by {acceptance.by}{until}: {acceptance.reason}"
    for finding in findings:
        if finding.rule != acceptance.rule or finding.accepted:
            made.append(finding)
            continue
        units = tuple(u for u in finding.units if _is_about(finding, acceptance.at, numbers.get(u, "")))
        if not units:
            made.append(finding)
            continue
        used = True
        made.append(replace(finding, units=units, accepted=words))
        rest = tuple(u for u in finding.units if u not in units)
        if rest:
            made.append(replace(finding, units=rest))
    if not used:
        text = f"nothing is found by `{acceptance.rule}` at `{acceptance.at}`, so there is nothing to accept"
        made.append(Finding("acceptance-unused", "should", text, acceptance.span, help="take the line out"))
    return made


def _is_about(finding: Finding, tag: str, number: str) -> bool:
    return any(tag in (about, with_number(about, number)) for about in finding.about)


def _unknown(name: str, known: Iterable[str], span: Span) -> Finding:
    close = nearest(name, list(known))
    help = f"`{close}` is one" if close else "docs/rules.md has their names"
    return Finding("unknown-rule", "must", f"there is no rule `{name}`", span, help=help)
