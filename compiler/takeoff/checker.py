"""The checker's sheet: a row a coil of every unit, a column a requirement."""

from __future__ import annotations

from collections.abc import Sequence

from ..model.finding import Finding
from ..model.hookup import with_number
from ..model.table import Column, Row, Table, Value
from ..passes.mirror import coil_hand
from ..rules.registry import Checked, Verdict, all_rules

_FIRST = (Column("unit", "Unit"), Column("coil", "Coil"), Column("hand", "Hand"))
_NOTES = (
    "Shutoffs are taken as shut. Low and high points follow from the moves in the file.",
    "Hand: standing with the air on your back, the side on which the connections are. Others name it the other way "
    "round: order by the sketch, not by the word.",
)


def checker(checked: Sequence[Checked], accepted: Sequence[Finding], *, short: bool = False) -> Table:
    """For every coil of every unit what each rule says: `yes` with what keeps it, `no`, `cannot tell` with what to add.

    Only columns in which a rule said something are there. `accepted` findings turn their `no` into `accepted`. The
    `short` sheet is for paper: its columns are the first questions and those that some coil fails; the notes tell the
    others.
    """
    keys = _columns(checked)
    told: list[str] = []
    if short:
        given = _by_key(checked)
        shown = [key for key in keys if key[0] in _ALWAYS or any(v.answer == "no" for v in given[key])]
        told = _left_out([key for key in keys if key not in shown], given)
        keys = shown
    titles = {rule.name: rule.title for rule in all_rules().values()}
    columns = [Column(_key(rule, part), f"{titles[rule]}{f', {part}' if part else ''}") for rule, part in keys]
    rows: list[Row] = []
    for one in checked:
        hookup = one.hookup
        hand = coil_hand(hookup.airflow) or "cannot tell: airflow not said"
        for unit in hookup.units:
            for coil, facts in hookup.coils.items():
                cells: dict[str, Value] = {"unit": unit.tag, "coil": with_number(coil, unit.number), "hand": hand}
                for rule, part in keys:
                    verdict = one.verdicts.get((rule, part, coil)) or one.verdicts.get((rule, "", coil))
                    if verdict is not None:
                        cells[_key(rule, part)] = with_number(
                            _said(verdict, _is_accepted(rule, coil, unit.tag, accepted)), unit.number
                        )
                rows.append(Row(cells, (facts.span, unit.span)))
    rows.sort(key=lambda row: row.origin[1])  # in the order of the units in the file
    return Table(
        "checker", "Checker's table", (*_FIRST, *columns), tuple(rows), (*_NOTES, *told, *_totals(checked, accepted))
    )


#: The questions whose columns are always shown.
_ALWAYS = ("coil-not-isolated", "coil-not-removable", "drain-missing", "vent-missing")


def _by_key(checked: Sequence[Checked]) -> dict[tuple[str, str], list[Verdict]]:
    """All verdicts by rule and part."""
    made: dict[tuple[str, str], list[Verdict]] = {}
    for one in checked:
        for (rule, part, _), verdict in one.verdicts.items():
            made.setdefault((rule, part), []).append(verdict)
    return made


def _left_out(keys: Sequence[tuple[str, str]], given: dict[tuple[str, str], list[Verdict]]) -> list[str]:
    """What the columns that are not shown would say: kept everywhere, or not to be told and what to add."""
    titles = {rule.name: rule.title for rule in all_rules().values()}
    kept: list[str] = []
    untold: dict[str, list[str]] = {}
    for rule, part in keys:
        title = f"{titles[rule]}{f', {part}' if part else ''}"
        unsure = dict.fromkeys(v.said for v in given[rule, part] if v.answer == "cannot tell")
        if not unsure:
            kept.append(title.lower())
        for said in unsure:
            untold.setdefault(said, []).append(title.lower())
    lines = [f"Also asked, and yes wherever it applies: {'; '.join(kept)}."] if kept else []
    return lines + [f"Cannot tell {', '.join(what)}: {said}." for said, what in untold.items()]


def _columns(checked: Sequence[Checked]) -> list[tuple[str, str]]:
    """The (rule, part) pairs that were answered, in the order of the rules."""
    order = {rule.name: place for place, rule in enumerate(all_rules().values()) if rule.title}
    said = dict.fromkeys((rule, part) for one in checked for rule, part, _ in one.verdicts if rule in order)
    parted = {rule for rule, part in said if part}
    return sorted((key for key in said if key[1] or key[0] not in parted), key=lambda key: order[key[0]])


def _key(rule: str, part: str) -> str:
    return f"{rule}-{part}".replace("-", "_").rstrip("_")


def _is_accepted(rule: str, coil: str, unit: str, accepted: Sequence[Finding]) -> bool:
    return any(f.rule == rule and coil in f.about and unit in f.units for f in accepted)


def _said(verdict: Verdict, is_accepted: bool) -> str:
    answer = _answer(verdict, is_accepted)
    return f"{answer}: {verdict.said}" if verdict.said else answer


def _answer(verdict: Verdict, is_accepted: bool) -> str:
    return "accepted" if verdict.answer == "no" and is_accepted else verdict.answer


def _totals(checked: Sequence[Checked], accepted: Sequence[Finding]) -> list[str]:
    """How many coils there are, and how often each answer was given."""
    coils = sum(len(one.hookup.coils) * len(one.hookup.units) for one in checked)
    counts = {"yes": 0, "no": 0, "accepted": 0, "cannot tell": 0}
    for one in checked:
        for (rule, _, coil), verdict in one.verdicts.items():
            excused = 0
            if verdict.answer == "no":
                excused = sum(_is_accepted(rule, coil, unit.tag, accepted) for unit in one.hookup.units)
            counts["accepted"] += excused
            counts[verdict.answer] += len(one.hookup.units) - excused
    told = ", ".join(f"{number} {answer}" for answer, number in counts.items() if number)
    return [f"{coils} coil{'' if coils == 1 else 's'}: {told}."] if told else []


def accepted_table(findings: Sequence[Finding]) -> Table | None:
    """The findings that the files accept, with who answers for them; None if there are none."""
    if not findings:
        return None
    columns = (
        Column("rule", "Rule"),
        Column("severity", "Severity"),
        Column("units", "Units"),
        Column("finding", "Finding"),
        Column("accepted", "Accepted"),
    )
    rows = tuple(
        Row(
            {"rule": f.rule, "severity": f.severity, "units": f.units, "finding": f.message, "accepted": f.accepted},
            (f.span,),
        )
        for f in findings
    )
    return Table("accepted", "Accepted findings", columns, rows)
