"""The mend of every finding, carried out: it is gone, and nothing worse came.

A rule's finding either carries its mend as changes of the file, made here as they stand, or the rule is one of `WORDS`,
with the reason why no change can be proposed. A new rule has to choose.
"""

from collections import Counter
from pathlib import Path

import pytest
from coilwright import compile_text
from coilwright.model.finding import Finding
from coilwright.rules.registry import all_rules
from mends import applied, put_in_place

CASES = Path(__file__).parent / "cases"
SAMPLES = Path(__file__).parents[1] / "messages"
TODAY = "2027-01-01"
#: Rules whose mend is words alone, and why no change of the file can be proposed.
WORDS: dict[str, str] = {
    "mains-swapped": "which of the two tags is wrong is not in the file",
    "size-not-in-spec": "what a spec says of a size is the shop's choice",
    "bypass-comes-off-with-coil": "what opens the line there is the spec's: a union, a flange pair, a coupling",
    "flexible-connector-small": "whether the line goes up with it is the designer's choice",
    "design-over-rating": "a class, a spec or another design pressure: the designer's choice",
    "loop-without-expansion": "which tank, how large and where, is the designer's choice",
    "steam-not-judged": "what steam asks for is not known here",
    "ball-valve-balances": "whether the ball valve stays is the designer's choice",
    "strainer-in-upflow": "a line moves, and where the run is level is the fitter's to say",
    "riser-off-bottom": "where the main has its outlet is not in the file",
    "valve-untagged": "the tag is the reader's",
    "freezing-air-on-water": "another service, or a pumped loop of several lines",
    "hanger-span-exceeded": "where a hanger can be hung is the building's",
    "lump-unsupported": "where a hanger can be hung is the building's",
    "no-room-for-pipe": "which of two things moves, and how far, is the designer's choice",
    "length-not-in-tables": "the length is on the maker's sheet",
    "main-in-two-places": "which of two places is wrong is not in the file",
    "hole-not-met": "whether the pipe or the hole is in the wrong place is not in the file",
    "pull-space-blocked": "which line moves, and where there is room, is the designer's choice",
    "into-the-cabinet": "which line moves, and where there is room, is the designer's choice",
    "insulation-overlaps": "which line moves, and where there is room, is the designer's choice",
    "pieces-clash": "which line moves, and where there is room, is the designer's choice",
    "galvanized-with-glycol": "what a spec says of a size is the shop's choice",
}
#: Samples of messages whose help is no words to put in, and why.
SAMPLE_WORDS: dict[str, str] = {
    "acceptance-expired": "mended at the finding, or a date of the reader's",
    "acceptance-unclear": "names another coil and leaves the reason to the reader",
    "acceptance-unused": "a line is taken out",
    "declared-twice": "which of the two goes is the reader's choice",
    "end-missing": "a choice of several",
    "file-unreadable": "mended outside the file",
    "includes-itself": "a line is taken out",
    "joining-missing": "a choice of several",
    "line-joins-itself": "another tee, which one is the reader's choice",
    "line-too-long": "a line is broken up",
    "misplaced-line": "white space",
    "move-turns-back": "the way of the pipe is the reader's",
    "nested-too-deep": "blocks are taken out",
    "no-such-bevel": "the angle is the reader's",
    "no-such-class": "a choice of several",
    "no-such-date": "the date is the reader's",
    "no-such-port": "a tee of the reader's",
    "no-such-size": "a choice of several",
    "not-a-fraction": "`30 %` of glycol then has to say by what",
    "not-made-so": "a choice of several",
    "not-positive": "the quantity is the reader's",
    "not-understood": "a comma is taken out",
    "nothing-passes": "a tee of the reader's",
    "nothing-to-compile": "a whole file",
    "number-missing": "a number of the reader's",
    "number-used-twice": "a number of the reader's",
    "offset-angle-missing": "a phrase of the reader's, or lines of their own",
    "outside-project": "mended outside the file",
    "pipe-ends-nowhere": "a choice of several",
    "place-not-here": "a phrase is taken out",
    "port-missing": "both connections of the sample's coil have their lines",
    "port-used-twice": "a tee of the reader's",
    "quantity-missing": "the quantity is the reader's",
    "reason-missing": "the reason is the reader's",
    "said-twice": "a line is taken out",
    "service-missing": "a service of the reader's, or another end of the line",
    "step-out-of-place": "a line moves",
    "tag-shared": "a tag of the reader's",
    "tag-used-twice": "a tag of the reader's",
    "two-ends": "a line is taken out",
    "two-sizes": "a word is taken out",
    "two-tags": "a word is taken out",
    "unclosed-quote": "a quote mark where the reader's words end",
    "uneven-indent": "white space",
    "unexpected-block": "white space",
    "unexpected-line": "a choice of several",
    "unknown-airflow": "a choice of several",
    "unknown-detail": "a choice of several",
    "unknown-ends": "a choice of several",
    "unknown-fact": "a choice of several",
    "unknown-flange": "a choice of several",
    "unknown-joining": "a choice of several",
    "unknown-kind": "the kind that is near is not made in the sample's size",
    "unknown-pack": "mended outside the file",
    "unknown-separation": "a choice of several",
    "unknown-spec": "the underlined words are the whole line",
    "unknown-tag": "a choice of several",
    "uses-itself": "a line is taken out",
}


@pytest.mark.parametrize("rule", [rule for rule in all_rules() if rule not in WORDS])
def test_mend_of_a_rule_carried_out(rule: str) -> None:
    text = (CASES / f"{rule}.fail.hookup").read_text(encoding="utf-8")
    found = [f for f in found_in(text) if f.rule == rule]
    assert found
    for finding in found:
        assert finding.mend, finding.message
        assert_settled(text, applied(text, finding.mend), finding)


#: Cases with several faults, or whose mends bring others to light.
WHOLE = (
    "coil-not-isolated",
    "coils-share-shutoffs",
    "control-valve-missing",
    "dangling-end",
    "drain-missing",
    "glycol-basis-unsaid",
    "reducer-holds-air",
    "vacuum-breaker-on-closed-loop",
)


@pytest.mark.parametrize("case", WHOLE)
def test_mends_made_one_after_another_end_in_a_hookup_that_passes(case: str) -> None:
    text = (CASES / f"{case}.fail.hookup").read_text(encoding="utf-8")
    made = []
    while found := [f for f in found_in(text) if f.mend]:
        made.append(found[0].rule)
        assert len(made) < 20, made
        text = applied(text, found[0].mend)
    assert case in made
    # What a mend puts in has no tag yet: that is the reader's to give.
    assert [f.message for f in found_in(text) if f.rule != "valve-untagged"] == []


SAMPLE_NAMES = sorted(path.stem for path in SAMPLES.glob("*.hookup"))


@pytest.mark.parametrize("name", [name for name in SAMPLE_NAMES if name not in SAMPLE_WORDS])
def test_help_of_a_message_put_in_place(name: str) -> None:
    text = (SAMPLES / f"{name}.hookup").read_text(encoding="utf-8")
    found = [f for f in found_in(text) if f.rule == name]
    assert found
    for finding in found:
        mended = put_in_place(text, finding)
        assert mended is not None, finding.help
        assert_settled(text, mended, finding)


def test_words_alone_name_rules_and_samples_that_there_are() -> None:
    assert set(WORDS) <= set(all_rules())
    assert set(SAMPLE_WORDS) <= set(SAMPLE_NAMES)


@pytest.mark.parametrize("rule", WORDS)
def test_words_alone_propose_no_change(rule: str) -> None:
    text = (CASES / f"{rule}.fail.hookup").read_text(encoding="utf-8")
    assert all(not f.mend and f.help for f in found_in(text) if f.rule == rule)


def found_in(text: str) -> tuple[Finding, ...]:
    return compile_text(text, name="case.hookup", today=TODAY).findings


def assert_settled(text: str, mended: str, finding: Finding) -> None:
    """There is one finding less of this rule at least, and no `error` and no `must` that was not there before."""
    before, after = found_in(text), found_in(mended)
    told = (finding.help, [f"{f.span}: {f.rule}: {f.message}" for f in after], mended)
    assert sum(f.rule == finding.rule for f in after) < sum(f.rule == finding.rule for f in before), told
    grave = Counter(f.rule for f in after if f.severity in ("error", "must"))
    assert not grave - Counter(f.rule for f in before if f.severity in ("error", "must")), told
