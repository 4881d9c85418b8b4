"""The line that a finding proposes, pasted where it says, makes the finding go away."""

import pytest
from hookups import compiled, hookup, left_in
from mends import applied

BACK = "vent 1/2; ball valve BV-2"
CASES = {
    "items on the level": hookup("ball valve BV-1; strainer ST-1", "balancing valve FB-1; ball valve BV-2"),
    "an item with a block": hookup("ball valve BV-1; tee T-1, 1/2; >test port", BACK),
    "nothing but shutoffs": hookup("ball valve BV-1", "ball valve BV-2"),
    "shutoffs right at vertical pipe": hookup("ball valve BV-1; up", "up; ball valve BV-2"),
    "a riser from the shutoff": hookup("up; ball valve BV-1; up; strainer ST-1; up; left", BACK),
    "a drop to the shutoff": hookup("down; ball valve BV-1; down; strainer ST-1", "down; ball valve BV-2; down"),
    "a strainer close above its shutoff in a riser": hookup("up; ball valve BV-1; strainer ST-1", BACK),
    "loops down and up": hookup(
        "ball valve BV-1; up; left; down; left; up; left", "up; left; down; left; ball valve BV-2"
    ),
    "loops with lengths": hookup("ball valve BV-1; up 2 ft; left 1 ft; down 3 ft; left 6 in; up 1 ft; left 4 in", BACK),
    "an offset": hookup("ball valve BV-1; up 2 ft, left 2 ft, at 45; left 1 ft", BACK),
    "two coils in one piece": hookup(
        "ball valve BV-1; tee T-1, 3/4",
        "tee T-2, 3/4; ball valve BV-2",
        more="coil HC on chilled-water; >supply low, 3/4 male thread; >return high, 3/4 male thread; "
        "branch from T-1 to HC supply, 3/4; >down; >left; branch from HC return to T-2, 3/4; >up; >left; >down",
    ),
    "two shutoffs without a coil between": hookup("ball valve BV-1; ball valve BV-3; drain 3/4", BACK),
    "a check valve": hookup("ball valve BV-1; check valve CV-1; drain 3/4", BACK),
    "water in at the top": hookup("ball valve BV-1; left", "right; ball valve BV-2", levels=("high", "low")),
    "welded and large": hookup(
        "butterfly valve BV-1, lug; up; strainer ST-1; left",
        "up; right; butterfly valve BV-2, lug",
        size="4",
        spec="steel-welded",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_pasting_the_mend_of_a_drain_or_vent_settles_it(case: str) -> None:
    text = CASES[case]
    wanted = ("drain-missing", "vent-missing")
    open_ = [f for f in compiled(text).findings if f.rule in wanted]
    assert open_, "the case has nothing to mend"
    for _ in range(len(open_)):
        mended = applied(text, open_[0].mend)
        left = [f for f in compiled(mended).findings if f.rule in wanted]
        assert len(left) == len(open_) - 1, (open_[0].mend, [f"{f.span}: {f.message}" for f in left], mended)
        text, open_ = mended, left
        if not open_:
            break
    assert open_ == []


def test_other_mends_in_their_own_words() -> None:
    """What the other helps say to write, written."""
    unsaid = hookup("ball valve BV-1; drain 3/4", BACK).replace("return high at", "return at")
    assert [f.rule for f in left_in(unsaid)] == ["coil-level-unsaid"]
    assert "return high" in left_in(unsaid)[0].help
    assert left_in(unsaid.replace("return at", "return high at")) == []
    open_tee = hookup("ball valve BV-1; tee T-1, 1/2; drain 3/4", BACK)
    assert [f.rule for f in left_in(open_tee)] == ["dangling-end"]
    assert "`plug`" in left_in(open_tee)[0].help
    assert left_in(open_tee.replace("tee T-1, 1/2\n", "tee T-1, 1/2\n            plug\n")) == []
    open_coil = hookup("drain 3/4", BACK)
    assert [f.rule for f in left_in(open_coil)] == ["coil-not-isolated"]
    assert "`ball valve`" in left_in(open_coil)[0].help
    assert left_in(open_coil.replace("        drain", "        ball valve\n        drain")) == []


def test_what_the_file_does_not_write_is_not_to_be_replaced() -> None:
    """A word of the file's is replaced, `sweat` for `solder` and a word inside an assembly are not."""
    text = hookup("ball valve BV-1, {ends}; strainer ST-1; purge", BACK, spec="stainless-threaded")
    text = "assembly purge, 3/4, drains\n    ball valve, solder\n    hose end\n" + text
    for ends, said in (("solder", ["solder"]), ("sweat", [])):
        found = [f for f in compiled(text.replace("{ends}", ends)).findings if f.rule == "no-joint"]
        assert len(found) > 1
        assert [edit.old for f in found for edit in f.mend] == said * 2
