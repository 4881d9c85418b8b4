"""The registry of rules: what each asks, why, how to mend it, and who says so."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import cache
from importlib import import_module
from typing import Literal, NamedTuple

from ..analysis.sections import Sections
from ..model.finding import Finding, Note, Severity
from ..model.hookup import Component, Hookup
from ..model.mend import Mend
from ..model.span import Span

#: The modules that hold rules, in the order their findings are documented.
TOPICS = (
    "isolation",
    "drainage",
    "services",
    "mains",
    "joints",
    "control",
    "bypasses",
    "loops",
    "freezing",
    "glycol",
    "balancing",
    "instruments",
    "coil_ways",
    "insulation",
    "velocity",
    "strength",
    "condensate",
    "supports",
    "spans",
    "flexible",
    "separation",
    "lineup_positions",
    "lineup_rules",
    "bank",
    "removal",
    "drains_more",
    "vents_more",
    "strainers",
    "screens",
    "takeoffs",
    "blocked_in",
    "fittings",
    "reach",
    "tags",
    "steam",
    "measured",
    "missing_lengths",
    "clashes",
)

Answer = Literal["yes", "no", "cannot tell"]


class Verdict(NamedTuple):
    """What a rule says of one coil. `said`: what fulfils it, what is wrong, or what the file has to say first.

    `part` tells apart what a rule asks more than once of a coil: `supply`, `return`.
    """

    coil: str
    answer: Answer
    said: str
    part: str = ""


def yes(coil: str, said: str = "", part: str = "") -> Verdict:
    """The rule is kept at this coil, by what `said` names."""
    return Verdict(coil, "yes", said, part)


def no(coil: str, said: str, part: str = "") -> Verdict:
    """The rule is not kept; for the sheet, beside the finding that says so in full."""
    return Verdict(coil, "no", said, part)


def cannot_tell(coil: str, add: str, part: str = "") -> Verdict:
    """Nothing in the file decides it; `add` is what would."""
    return Verdict(coil, "cannot tell", add, part)


#: A rule gives findings for what is wrong, and verdicts for coils where it is kept or cannot be told. A finding counts
#: as `no` for every coil among the tags it is about.
Check = Callable[[Hookup, Sections], Iterable[Finding | Verdict]]


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule.

    `title` heads its column on the checker's sheet, empty where it is no question of one coil. `asks` is the
    requirement in one line, `why` the reason in one or two sentences, `mend` what to do, `sources` who says so (or
    "common practice, no source"), `agreement` how far the sources agree, `needs` what a file has to declare for it.
    `liquid`: it asks what water and glycol need; of a coil on steam it can tell nothing. `pack`: the shop's pack that
    it belongs to, empty for the shipped ones.
    """

    name: str
    severity: Severity
    title: str
    asks: str
    why: str
    mend: str
    sources: tuple[str, ...]
    agreement: str
    needs: str
    check: Check
    liquid: bool = False
    pack: str = ""


_RULES: dict[str, Rule] = {}
_IN_ORDER: dict[str, Rule] = {}  # the same, by topic
_LOADING: list[str] = [""]  # last, the pack whose rules are being registered


@contextmanager
def registered_for(pack: str) -> Iterator[None]:
    """What is registered meanwhile belongs to a shop's pack, and looks only at files that ask for that pack."""
    _LOADING.append(pack)
    try:
        yield
    finally:
        _LOADING.pop()


def rule(
    name: str,
    *,
    severity: Severity,
    asks: str,
    why: str,
    mend: str,
    sources: tuple[str, ...],
    agreement: str,
    title: str = "",
    needs: str = "",
    liquid: bool = False,
) -> Callable[[Check], Check]:
    """Register a check under a name that states the fault in kebab case."""

    def add(check: Check) -> Check:
        if name in _RULES:
            raise ValueError(f"two rules are called {name}")
        told = (asks, why, mend, sources, agreement, needs)
        _RULES[name] = Rule(name, severity, title, *told, check, liquid, _LOADING[-1])
        return check

    return add


@cache
def _load_topics() -> None:
    for topic in TOPICS:
        import_module(f".{topic}", __package__)


def all_rules() -> dict[str, Rule]:
    """Every rule by name, in the order of the topics; those of a shop behind the shipped ones."""
    _load_topics()
    if len(_IN_ORDER) != len(_RULES):
        order = {f"{__package__}.{topic}": number for number, topic in enumerate(TOPICS)}
        by_topic = sorted(_RULES.values(), key=lambda rule: order.get(rule.check.__module__, len(order)))
        _IN_ORDER.clear()
        _IN_ORDER.update((rule.name, rule) for rule in by_topic)
    return _IN_ORDER


def rules_for(packs: Collection[str]) -> dict[str, Rule]:
    """The shipped rules and those of some packs, by name, in order."""
    return {name: rule for name, rule in all_rules().items() if not rule.pack or rule.pack in packs}


def concerned(hookup: Hookup, *components: Component) -> tuple[str, ...]:
    """The tags that a finding about some components concerns: their own, and the coils that their lines serve."""
    tags = [c.tag for c in components]
    tags += [line.coil for c in components if (line := hookup.lines.get(c.line)) is not None]
    return tuple(dict.fromkeys(filter(None, tags)))


def fault(
    message: str,
    span: Span,
    *,
    about: tuple[str, ...] = (),
    label: str = "",
    notes: tuple[Note, ...] = (),
    help: str = "",
    mend: Mend = (),
    units: tuple[str, ...] = (),
) -> Finding:
    """A finding of the rule that makes it; name, severity and the plain mend are filled in by `check_hookup`, and all
    units of the hookup where `units` names none.
    """
    return Finding("", "must", message, span, label, notes, help, units, about, mend=mend)


@dataclass(slots=True)
class Checked:
    """What all rules say of one hookup. `of` is for a hookup all of whose units say what rules ask of units."""

    hookup: Hookup
    findings: list[Finding] = field(default_factory=list)
    verdicts: dict[tuple[str, str, str], Verdict] = field(default_factory=dict)  # by (rule, part, coil)

    def of(self, hookup: Hookup) -> Checked:
        """The same said of a hookup that is this one but for its units."""
        units = tuple(unit.tag for unit in hookup.units)
        return Checked(hookup, [finding.of(units) for finding in self.findings], self.verdicts)


def check_hookup(
    hookup: Hookup, severities: Mapping[str, Severity] | None = None, packs: Collection[str] = ()
) -> Checked:
    """Run the shipped rules and those of some packs over a hookup. `severities` are those that a file sets otherwise.

    A rule of a pack that raises is a finding itself, and the others still run.
    """
    sections = Sections(hookup)
    units = tuple(unit.tag for unit in hookup.units)
    made = Checked(hookup)
    steam = {coil for coil in hookup.coils if is_on_steam(hookup, coil)}
    for rule in rules_for(packs).values():
        try:
            answers = list(rule.check(hookup, sections))
        except Exception as problem:
            if not rule.pack:
                raise
            text = f"rule `{rule.name}` failed and says nothing: {type(problem).__name__}: {problem}"
            made.findings.append(Finding("rule-failed", "must", text, hookup.span, units=units))
            continue
        if not answers:
            continue
        if rule.liquid and steam:
            answers = _of_liquids(steam, answers)
        found: list[Finding] = []
        for answer in answers:
            if isinstance(answer, Verdict):
                made.verdicts.setdefault((rule.name, answer.part, answer.coil), answer)
            else:
                found.append(answer)
        if not found:
            continue
        severity = (severities or {}).get(rule.name, rule.severity)
        spoken = {answer.coil for answer in answers if isinstance(answer, Verdict) and answer.answer == "no"}
        for one in found:
            help, held = one.help or rule.mend, one.units or units
            made.findings.append(replace(one, rule=rule.name, severity=severity, help=help, units=held))
            for coil in set(one.about).intersection(hookup.coils) - spoken:
                made.verdicts[rule.name, "", coil] = no(coil, one.message)
    return made


def is_on_steam(hookup: Hookup, coil: str) -> bool:
    """Whether a coil's service is steam."""
    service = hookup.services.get(hookup.coils[coil].service)
    return service is not None and service.fluid == "steam"


def _of_liquids(steam: set[str], answers: list[Finding | Verdict]) -> list[Finding | Verdict]:
    """The answers without findings about coils on steam, of which nothing can be told."""
    kept: list[Finding | Verdict] = []
    for answer in answers:
        if isinstance(answer, Finding) and steam.isdisjoint(answer.about):
            kept.append(answer)
        elif isinstance(answer, Verdict):
            on_steam = answer.coil in steam
            kept.append(cannot_tell(answer.coil, "nothing: it is on steam", answer.part) if on_steam else answer)
    return kept
