"""The `rules` block put to use: severities, accepted findings, a shop's own rules."""

import importlib.metadata
import re
from collections.abc import Callable, Iterator

import pytest
from coilwright import compile_text
from coilwright.model.finding import Finding
from coilwright.rules import registry
from coilwright.rules.registry import all_rules, fault, rule
from coilwright.rules.settings import GROUP

HOOKUP = """\
service chilled-water
    water
    design 125 psi, 40 degF to 100 degF
    spec steel-threaded

typical fan-coil, drawn with airflow left to right
    coil CC on chilled-water
        supply low at leaving side, 3/4 male thread
        return high at entering side, 3/4 male thread
    supply to CC, 3/4
        from main CWS
        strainer ST-*7
        ball valve BV-*1
        drain 3/4
    return from CC, 3/4
        balancing valve FB-*1
        ball valve BV-*2
        to main CWR

unit FC-1 is fan-coil, number 1, airflow left to right
unit FC-2 is fan-coil, number 2, airflow left to right
"""
BECAUSE = 'because "the riser has a vent", by "R. Okafor"'


def found(*lines: str, today: str = "") -> tuple[Finding, ...]:
    """All findings of the hookup, the accepted too, with some lines in its `rules` block."""
    block = "".join(f"    {line}\n" for line in lines)
    made = compile_text(HOOKUP + (f"rules\n{block}" if block else ""), name="case.hookup", today=today)
    assert not made.broken, [f"{f.span}: {f.message}" for f in made.findings]
    return made.found


def of(name: str, findings: tuple[Finding, ...]) -> list[Finding]:
    return [f for f in findings if f.rule == name]


def test_a_file_sets_a_severity_and_changes_nothing_else() -> None:
    (before,) = of("vent-missing", found())
    after = found("vent-missing is note")
    assert before.severity == "must"
    assert [f.severity for f in of("vent-missing", after)] == ["note"]
    rest = [(f.rule, f.severity) for f in after if f.rule != "vent-missing"]
    assert rest == [(f.rule, f.severity) for f in found() if f.rule != "vent-missing"]


def test_severity_of_a_rule_that_is_not_there_is_a_finding() -> None:
    (wrong,) = of("unknown-rule", found("vent-mising is note"))
    assert wrong.help == "`vent-missing` is one"
    assert wrong.span.line == 23


def test_accepted_at_a_coil() -> None:
    after = found(f'accept vent-missing at CC, {BECAUSE}, until "2027-06-30"')
    (one,) = of("vent-missing", after)
    assert one.accepted == "accepted by R. Okafor until 2027-06-30: the riser has a vent"
    assert one.units == ("FC-1", "FC-2")
    assert {f.rule for f in after if not f.accepted} == {f.rule for f in found()} - {"vent-missing"}


def test_an_accepted_finding_is_no_longer_among_the_open_ones() -> None:
    made = compile_text(f"{HOOKUP}rules\n    accept vent-missing at CC, {BECAUSE}\n")
    assert of("vent-missing", made.findings) == []
    assert [f.rule for f in made.accepted] == ["vent-missing"]


def test_accepted_at_a_valve_of_every_unit() -> None:
    """Tags with `*` stand for the valve of all units that are built alike."""
    (one,) = of("strainer-outside-shutoffs", found(f"accept strainer-outside-shutoffs at ST-*7, {BECAUSE}"))
    assert one.accepted and one.units == ("FC-1", "FC-2")


def test_accepted_at_the_valve_of_one_unit_parts_the_units() -> None:
    both = of("strainer-outside-shutoffs", found(f"accept strainer-outside-shutoffs at ST-17, {BECAUSE}"))
    assert {f.units: bool(f.accepted) for f in both} == {("FC-1",): True, ("FC-2",): False}


def test_two_acceptances_take_one_unit_each() -> None:
    """For reasons of their own; with one reason they are one line of the sheet."""
    rule = "strainer-outside-shutoffs"
    lines = [f'accept {rule} at ST-{n}7, because "place {n}", by "R. Okafor"' for n in (1, 2)]
    alike = [f"accept {rule} at ST-{n}7, {BECAUSE}" for n in (1, 2)]
    assert [(f.units, bool(f.accepted)) for f in of(rule, found(*alike))] == [(("FC-1", "FC-2"), True)]
    both = of(rule, found(*lines))
    assert {f.units: bool(f.accepted) for f in both} == {("FC-1",): True, ("FC-2",): True}


@pytest.mark.parametrize("at", ["CC2", "ST-*7", "ST-37", "FC-1"])
def test_an_acceptance_of_nothing_is_a_finding(at: str) -> None:
    after = found(f"accept vent-missing at {at}, {BECAUSE}")
    (unused,) = of("acceptance-unused", after)
    assert unused.severity == "should" and unused.span.line == 23
    assert f"`vent-missing` at `{at}`" in unused.message
    assert [bool(f.accepted) for f in of("vent-missing", after)] == [False]


def test_the_same_acceptance_twice_is_unused_once() -> None:
    line = f"accept vent-missing at CC, {BECAUSE}"
    assert [f.span.line for f in of("acceptance-unused", found(line, line))] == [24]


@pytest.mark.parametrize(
    ("today", "holds"), [("", True), ("2027-06-29", True), ("2027-06-30", True), ("2027-07-01", False)]
)
def test_an_acceptance_holds_until_the_end_of_its_day(today: str, holds: bool) -> None:
    after = found(f'accept vent-missing at CC, {BECAUSE}, until "2027-06-30"', today=today)
    assert [bool(f.accepted) for f in of("vent-missing", after)] == [holds]
    expired = [f.message for f in of("acceptance-expired", after)]
    assert expired == ([] if holds else ["the acceptance of `vent-missing` at `CC` ran out on 2027-06-30"])


@pytest.mark.parametrize(
    ("line", "wrong"),
    [
        ('accept vent-missing at CC, by "R. Okafor"', "reason-missing"),
        ('accept vent-missing at CC, because " ", by "R. Okafor"', "reason-missing"),
        ('accept vent-missing at CC, because "the riser has a vent"', "name-missing"),
        (f"accept vent-missing, {BECAUSE}", "acceptance-unclear"),
        (f'accept vent-missing at CC, {BECAUSE}, until "2027-13-01"', "no-such-date"),
    ],
)
def test_an_acceptance_that_nobody_can_judge_does_not_hold(line: str, wrong: str) -> None:
    made = compile_text(f"{HOOKUP}rules\n    {line}\n")
    assert [f.span.line for f in of(wrong, made.findings)] == [23]
    assert not made.accepted


def test_acceptance_of_a_rule_that_is_not_there() -> None:
    after = found(f"accept vent-mising at CC, {BECAUSE}")
    assert [f.span.line for f in of("unknown-rule", after)] == [23]
    assert of("acceptance-unused", after) == []


class FakePoint:
    """An entry point as `importlib.metadata` gives them."""

    def __init__(self, name: str, load: Callable[[], object]) -> None:
        self.name = name
        self.load = load


@pytest.fixture
def installed(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str, Callable[[], object]], None]]:
    """Installs packs of rules for one test: by name, what their import does. The registry is as before afterwards."""
    all_rules()
    monkeypatch.setattr(registry, "_RULES", dict(registry._RULES))
    points: list[FakePoint] = []

    def entry_points(*, group: str) -> list[FakePoint]:
        return points if group == GROUP else []

    monkeypatch.setattr(importlib.metadata, "entry_points", entry_points)
    yield lambda name, load: points.append(FakePoint(name, load))
    monkeypatch.undo()
    assert not [name for name in all_rules() if name.startswith("shop-")]


def add_shop_rule(check: registry.Check, name: str = "shop-finds-coil") -> None:
    rule(
        name,
        severity="note",
        asks="every coil is known to the shop",
        why="The shop counts coils.",
        mend="ask the shop",
        sources=("common practice, no source",),
        agreement="one shop",
    )(check)


def every_coil(hookup: registry.Hookup, sections: registry.Sections) -> Iterator[Finding]:
    for tag, facts in hookup.coils.items():
        yield fault(f"coil `{tag}` is here", facts.span, about=(tag,))


def failing(hookup: registry.Hookup, sections: registry.Sections) -> Iterator[Finding]:
    yield from every_coil(hookup, sections)
    raise LookupError("no such drawer")


def test_a_shops_own_rule_is_asked_graded_and_accepted_as_any(installed: Callable[..., None]) -> None:
    installed("shop-rules", lambda: add_shop_rule(every_coil))
    shipped = len(found())
    after = found("also shop-rules", "shop-finds-coil is should")
    (one,) = of("shop-finds-coil", after)
    assert (one.severity, one.help, one.units) == ("should", "ask the shop", ("FC-1", "FC-2"))
    assert len(after) == shipped + 1
    assert list(all_rules())[-1] == "shop-finds-coil"
    (accepted,) = of("shop-finds-coil", found("also shop-rules", f"accept shop-finds-coil at CC, {BECAUSE}"))
    assert accepted.accepted


def test_a_pack_is_loaded_by_the_file_that_names_it_alone(installed: Callable[..., None]) -> None:
    loaded: list[str] = []
    installed("shop-rules", lambda: loaded.append("shop-rules"))
    installed("other-rules", lambda: loaded.append("other-rules"))
    found()
    assert loaded == []
    found("also other-rules")
    assert loaded == ["other-rules"]


def test_rules_of_a_pack_look_at_no_file_that_does_not_ask_for_them(installed: Callable[..., None]) -> None:
    installed("shop-rules", lambda: add_shop_rule(every_coil))
    before = found()
    assert of("shop-finds-coil", found("also shop-rules"))
    assert found() == before
    (unknown,) = of("unknown-rule", found("shop-finds-coil is should"))
    assert "`shop-finds-coil`" in unknown.message


def test_a_shipped_rule_that_raises_is_our_bug(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(registry, "_RULES", dict(registry._RULES))
    add_shop_rule(failing, "shipped-fails")
    with pytest.raises(LookupError):
        found()


def test_a_rule_that_raises_is_a_finding_and_the_others_still_speak(installed: Callable[..., None]) -> None:
    installed("shop-rules", lambda: add_shop_rule(failing, "shop-fails"))
    shipped = found()
    after = found("also shop-rules")
    (failed,) = of("rule-failed", after)
    assert failed.severity == "must"
    assert failed.message == "rule `shop-fails` failed and says nothing: LookupError: no such drawer"
    assert of("shop-fails", after) == []
    assert [f for f in after if f.rule != "rule-failed"] == list(shipped)


def test_a_pack_that_cannot_be_imported_is_a_finding(installed: Callable[..., None]) -> None:
    def broken() -> None:
        raise ImportError("no module named drawer")

    installed("shop-rules", broken)
    shipped = found()
    after = found("also shop-rules")
    (failed,) = of("rule-failed", after)
    assert failed.message == "pack of rules `shop-rules` cannot be loaded: ImportError: no module named drawer"
    assert failed.span.line == 23
    assert [f for f in after if f.rule != "rule-failed"] == list(shipped)


def test_a_pack_that_is_not_installed_is_a_finding_that_names_those_that_are(installed: Callable[..., None]) -> None:
    (wrong,) = of("unknown-pack", found("also shop-rules"))
    assert wrong.help == f"none is installed under `{GROUP}`"
    installed("other-rules", lambda: None)
    (wrong,) = of("unknown-pack", found("also shop-rules"))
    assert (wrong.severity, wrong.help, wrong.span.line) == ("must", "installed: other-rules", 23)


def test_the_sum_line_counts_what_is_accepted_by_itself() -> None:
    def sums(*lines: str) -> dict[str, int]:
        block = "".join(f"    {line}\n" for line in lines)
        note = compile_text(HOOKUP + (f"rules\n{block}" if block else "")).checker().notes[-1]
        return {answer: int(number) for number, answer in re.findall(r"(\d+) (yes|no|cannot tell|accepted)", note)}

    before = sums()
    assert "accepted" not in before
    for at, units in (("CC", 2), ("FB-*1", 0), ("FB-101", 0), ("BV-11", 1)):
        after = sums(f"accept vent-missing at {at}, {BECAUSE}")
        assert after.get("accepted", 0) == units, at
        assert after["no"] == before["no"] - units
        assert {**after, "no": 0, "accepted": 0} == {**before, "no": 0, "accepted": 0}
