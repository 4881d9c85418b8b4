"""The registry: every rule is named, explained and sourced, and has a file that breaks it and one that does not."""

import re
from pathlib import Path

import pytest
from coilwright import compile_file
from coilwright.model.finding import Finding
from coilwright.rules.document import document
from coilwright.rules.registry import all_rules
from hookups import LEFT_OUT

CASES = Path(__file__).parent / "cases"
RULES = list(all_rules())
#: Words that would make of a rule's name an instruction, where it has to state the fault.
INSTRUCTIONS = {"require", "requires", "use", "add", "put", "check", "ensure", "must", "should", "avoid"}
UNSOURCED = "common practice, no source"


def findings_of(name: str) -> tuple[Finding, ...]:
    """The findings of a case, without those on trim that it leaves out, unless it is a case of that rule."""
    found = compile_file(CASES / name).findings
    return tuple(f for f in found if f.rule not in LEFT_OUT or name.startswith(f.rule + "."))


@pytest.mark.parametrize("rule", RULES)
def test_failing_file_yields_this_rule_and_no_other(rule: str) -> None:
    found = findings_of(f"{rule}.fail.hookup")
    assert {f.rule for f in found} == {rule}


@pytest.mark.parametrize("rule", RULES)
def test_passing_file_yields_nothing(rule: str) -> None:
    assert findings_of(f"{rule}.pass.hookup") == ()


def test_every_case_belongs_to_a_rule() -> None:
    assert {p.name.split(".")[0] for p in CASES.iterdir()} == set(RULES)


@pytest.mark.parametrize("rule", RULES)
def test_name_states_the_fault(rule: str) -> None:
    assert re.fullmatch(r"[a-z]+(-[a-z]+)+", rule)
    assert rule.split("-")[0] not in INSTRUCTIONS


@pytest.mark.parametrize("rule", RULES)
def test_rule_says_why_how_to_mend_and_who_says_so(rule: str) -> None:
    one = all_rules()[rule]
    assert one.why.strip() and one.why.rstrip().endswith(".")
    assert one.mend.strip() and not one.mend.endswith(".")
    assert one.asks.strip() and not one.asks.endswith(".")
    assert one.agreement.strip()
    assert one.sources
    assert one.severity in ("must", "should", "note")
    if UNSOURCED in one.sources:
        assert one.sources == (UNSOURCED,)
    assert one.check.__doc__


@pytest.mark.parametrize("rule", RULES)
def test_a_finding_is_placed_worded_and_graded(rule: str) -> None:
    for found in findings_of(f"{rule}.fail.hookup"):
        assert found.severity == all_rules()[rule].severity
        assert found.span.file.endswith(f"{rule}.fail.hookup")
        assert found.help
        assert not found.message.endswith(".") and found.message[0] in "`abcdefghijklmnopqrstuvwxyz"


def test_page_of_rules_is_fresh() -> None:
    page = Path(__file__).parents[2] / "docs" / "rules.md"
    assert page.read_text(encoding="utf-8") == document(), "python -m coilwright.rules.document > docs/rules.md"


def test_rules_change_no_hookup_and_answer_alike_twice() -> None:
    from coilwright.rules.registry import check_hookup

    for case in sorted(CASES.iterdir()):
        for hookup in compile_file(case).hookups:
            before = _all_of(hookup)
            first = check_hookup(hookup)
            assert _all_of(hookup) == before
            assert check_hookup(hookup) == first


def _all_of(hookup: object) -> list[str]:
    graph = hookup.graph  # type: ignore[attr-defined]
    nodes = [repr(data["component"]) for _, data in graph.nodes(data=True)]
    return [*nodes, *(f"{u} {v} {data['joint']!r}" for u, v, data in graph.edges(data=True))]
