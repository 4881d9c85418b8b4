"""The registry of rules: what each asks, why, how to mend it, and who says so."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from importlib import import_module

from ..model.finding import Finding, Severity
from ..model.hookup import Hookup
from .sections import Sections

#: The modules that hold rules, in the order their findings are documented.
TOPICS = ("drainage", "isolation", "services", "joints")

Check = Callable[[Hookup, Sections], Iterable[Finding]]


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule.

    `asks` is the requirement in one line, `why` the reason in one or two sentences, `mend` what to do, `sources` who
    says so (or "common practice, no source"), `agreement` how far the sources agree.
    """

    name: str
    severity: Severity
    asks: str
    why: str
    mend: str
    sources: tuple[str, ...]
    agreement: str
    check: Check


_RULES: dict[str, Rule] = {}


def rule(
    name: str, *, severity: Severity, asks: str, why: str, mend: str, sources: tuple[str, ...], agreement: str
) -> Callable[[Check], Check]:
    """Register a check under a name that states the fault in kebab case."""

    def add(check: Check) -> Check:
        if name in _RULES:
            raise ValueError(f"two rules are called {name}")
        _RULES[name] = Rule(name, severity, asks, why, mend, sources, agreement, check)
        return check

    return add


def all_rules() -> dict[str, Rule]:
    """Every rule by name, in the order of the topics."""
    for topic in TOPICS:
        import_module(f".{topic}", __package__)
    by_topic = sorted(_RULES.values(), key=lambda rule: TOPICS.index(rule.check.__module__.rpartition(".")[2]))
    return {rule.name: rule for rule in by_topic}


def check_hookup(hookup: Hookup) -> list[Finding]:
    """What all rules find in one hookup, each finding with the rule's name, severity and the hookup's units."""
    sections = Sections(hookup)
    units = tuple(unit.tag for unit in hookup.units)
    return [
        replace(finding, rule=rule.name, severity=rule.severity, help=finding.help or rule.mend, units=units)
        for rule in all_rules().values()
        for finding in rule.check(hookup, sections)
    ]
