"""The mend of every finding, carried out: it is gone, and nothing worse came.

Every rule is in one of three: its help can be pasted as it stands; a hand puts it where its words say (`BY_HAND`); or
it is words alone (`WORDS`), with the reason. A new rule has to choose.
"""

import re
from collections import Counter
from pathlib import Path

import pytest
from coilwright import compile_text
from coilwright.model.finding import Finding
from coilwright.rules.registry import all_rules
from mends import by_hand, pasted, put_in_place

CASES = Path(__file__).parent / "cases"
SAMPLES = Path(__file__).parents[1] / "messages"
TODAY = "2027-01-01"
RELIEF = ("below", "test port", "tee T-9, 3/4; >relief valve 1/2")
DOUBLE = ("for", "ball valve XV-1, normally closed, locked")
PAIR = "ball valve XV-1, normally closed; drain 3/4; vent 1/2; ball valve XV-9, normally closed"
#: Edits that carry out what a help says, for rules whose help leaves the place to the reader.
BY_HAND: dict[str, tuple[tuple[str, str, str], ...]] = {
    "automatic-vent-on-glycol": (("for", "automatic vent", "vent 1/2"),),
    "automatic-vent-without-shutoff": (("for", "automatic air vent 3/4", "ball valve; automatic air vent 3/4"),),
    "balancing-missing": (("above", "ball valve BV-2", "balancing valve FB-1"),),
    "blocked-in-liquid": (RELIEF,),
    "blocked-in-water-indoors": (RELIEF,),
    "branch-ends-bare": (("above", "hose end, with cap and chain", "ball valve, normally closed"),),
    "coil-carries-pipe": (("for", "right 12 ft", "right 6 ft; hanger; right 6 ft"),),
    "coil-level-unsaid": (
        ("for", "return at entering side, 3/4 male thread", "return high at entering side, 3/4 male thread"),
    ),
    "coil-not-isolated": (("below", "control valve TCV-*1", "ball valve"),),
    "control-valve-missing": (
        ("above", "ball valve BV-2", "control valve TCV-1"),
        ("below", "ball valve BV-1", "strainer ST-1; >strainer blowdown"),
    ),
    "dangling-end": (("below", "tee T-*1, 1/2", ">plug"),),
    "cold-water-line-untraced": (("below", "insulate 1 in", "heat traced"),),
    "disc-hits-neighbour": (("above", "strainer ST-*1", "left 6 in"),),
    "drain-too-small": (("for", "drain 1/2", "drain 3/4"),),
    "drain-without-hose-end": (("for", "hose end", "hose end, with cap and chain"),),
    "flange-faces-differ": (("for", "gate valve BV-*1, flanged, raised face", "gate valve BV-*1, flanged, steel"),),
    "flexible-connection-missing": (("above", "vent 1/2", "flexible connector"),),
    "gauge-without-cock": (("for", "pressure gauge PI-1, 1/2", "gauge PI-1"),),
    "glycol-basis-unsaid": (("for", "propylene glycol, 30 %", "propylene glycol, 30 % by volume"),),
    "glycol-one-valve-from-water": ((*DOUBLE, PAIR),),
    "glycol-made-up-with-water": (("for", "automatic make-up", "make-up by hand"),),
    "insulation-thin": (("for", "insulate 1/2 in", "insulate 1 in"),),
    "reducer-holds-air": (("for", "reducer 3, eccentric, flat on bottom", "reducer 3, eccentric, flat on top"),),
    "services-one-valve-apart": ((*DOUBLE, PAIR),),
    "services-without-bleed": (("below", "ball valve XV-1, normally closed, locked", "drain 3/4"),),
    "small-strainer-without-blowdown": (("for", "plug", "strainer blowdown"),),
    "strainer-missing": (("below", "ball valve BV-*1", "strainer ST-*1; >strainer blowdown"),),
    "test-port-missing": (("below", "vent 1/2", "test port"),),
    "vacuum-breaker-on-closed-loop": (("for", "closed loop", "open system"),),
    "vent-left-to-the-flow": (("above", "control valve TCV-*1, 1/2", "vent 1/2"),),
}
#: Rules whose help is words alone, and why no line can be pasted.
WORDS: dict[str, str] = {
    "service-mix-up": "the file alone tells which of the main, the service or a missing valve is meant",
    "mains-swapped": "which of the two tags is wrong is not in the file",
    "class-mismatch": "which of the two is ordered otherwise is the buyer's choice",
    "dissimilar-metals": "what to order instead is the buyer's choice",
    "size-not-in-spec": "what a spec says of a size is the shop's choice",
    "no-joint": "which of the two ends changes is the buyer's choice",
    "joined-off-size": "what a spec says of a size is the shop's choice",
    "control-valves-in-series": "one of two lines goes, and which one is the designer's choice",
    "control-valve-outside-shutoffs": "a line moves to another place",
    "bypass-outside-shutoffs": "a line moves to another place",
    "strainer-outside-shutoffs": "a line moves to another place",
    "test-port-reads-more": "a line moves to another place",
    "element-in-dead-leg": "a line moves to another place",
    "balancing-in-disturbed-flow": "a line moves, by a length that only the site knows",
    "three-way-ports-reversed": "a line is run the other way round, or another valve is ordered",
    "freeze-pump-loop-broken": "several lines make the ring, and their tees are where the designer wants them",
    "bypass-comes-off-with-coil": "what opens the line there is the spec's: a union, a flange pair, a coupling",
    "flexible-connector-small": "whether the line goes up with it is the designer's choice",
    "freezing-air-on-water": "another service, or a pumped loop of several lines",
    "glycol-too-thin-for-inhibitor": "the share is its maker's, and it changes what the coil does",
    "glycol-too-weak": "the fluid is the owner's choice, and a share changes what the coil does",
    "galvanized-with-glycol": "what a spec says of a size is the shop's choice",
    "balancing-doubled": "a line is taken out, and which one is the designer's choice",
    "supply-not-low": "two lines change places, or two words that were written down wrong",
    "flow-with-the-air": "two lines change places, or the coil is ordered otherwise",
    "hand-not-as-ordered": "ordered otherwise, or the airflow is corrected, in lines that differ by file",
    "hole-tight": "the hole is made in the building, and its width is the structure's matter",
    "velocity-high": "every size along the line changes, and what stands in it",
    "friction-high": "every size along the line changes, and what stands in it",
    "flow-over-code-cap": "every size along the line changes, and what stands in it",
    "lineup-contradicts-itself": "one of two lines goes, and which one is the operator's choice",
    "lineup-sets-no-valve": "which valve is meant is not in the file",
    "coils-share-shutoffs": "four valves on lines between tees that differ by file",
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


def cases() -> list[str]:
    return [rule for rule in all_rules() if rule not in WORDS]


@pytest.mark.parametrize("rule", cases())
def test_mend_of_a_rule_carried_out(rule: str) -> None:
    text = (CASES / f"{rule}.fail.hookup").read_text(encoding="utf-8")
    for finding in [f for f in found_in(text) if f.rule == rule]:
        mended = pasted(text, finding)
        assert (mended is None) == (rule in BY_HAND), finding.help
        if mended is None:
            mended = by_hand(text, finding, BY_HAND[rule])
        assert_settled(text, mended, finding)


@pytest.mark.parametrize("rule", BY_HAND)
def test_what_a_hand_writes_is_what_the_help_says(rule: str) -> None:
    text = (CASES / f"{rule}.fail.hookup").read_text(encoding="utf-8")
    finding = next(f for f in found_in(text) if f.rule == rule)
    written = " ".join(new for _, _, new in BY_HAND[rule])
    named = [words.split(" SIZE")[0] for words in re.findall("`([^`]+)`", finding.help)]
    assert any(words in written for words in named), (finding.help, written)


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
    assert set(WORDS) | set(BY_HAND) <= set(all_rules())
    assert not set(WORDS) & set(BY_HAND)
    assert set(SAMPLE_WORDS) <= set(SAMPLE_NAMES)


@pytest.mark.parametrize("rule", WORDS)
def test_words_alone_are_not_pasteable(rule: str) -> None:
    text = (CASES / f"{rule}.fail.hookup").read_text(encoding="utf-8")
    assert all(pasted(text, f) is None for f in found_in(text) if f.rule == rule)


def found_in(text: str) -> tuple[Finding, ...]:
    return compile_text(text, name="case.hookup", today=TODAY).findings


def assert_settled(text: str, mended: str, finding: Finding) -> None:
    """There is one finding less of this rule at least, and no `error` and no `must` that was not there before."""
    before, after = found_in(text), found_in(mended)
    told = (finding.help, [f"{f.span}: {f.rule}: {f.message}" for f in after], mended)
    assert sum(f.rule == finding.rule for f in after) < sum(f.rule == finding.rule for f in before), told
    grave = Counter(f.rule for f in after if f.severity in ("error", "must"))
    assert not grave - Counter(f.rule for f in before if f.severity in ("error", "must")), told
