"""Mends in hookups with all their trim: a part is taken out, and the mend of what is found puts things right."""

from collections import Counter
from pathlib import Path

import pytest
from coilwright import compile_text
from coilwright.model.finding import Finding
from mends import applied

SAMPLES = Path(__file__).parent / "samples"
EXAMPLES = Path(__file__).parents[2] / "examples"
#: sample, what is taken out or put in place of what, the rule that finds it, and what the mend may leave to be said.
BROKEN: dict[str, tuple[str, dict[str, str], str]] = {
    "one valve of a tie": (
        "two-services",
        {"        butterfly valve XV-2, lug, normally closed, locked\n": "", "open XV-1, XV-2,": "open XV-1,"},
        "glycol-one-valve-from-water",
    ),
    "the outlet shutoff of a loop's pump": (
        "runaround",
        {"        butterfly valve BV-4, lug\n": ""},
        "pump-without-shutoffs",
    ),
    "the inlet shutoff of a coil's pump": (
        "preheat",
        {"        butterfly valve BV-703, lug\n": ""},
        "pump-without-shutoffs",
    ),
    "the return shutoff of a pumped loop": (
        "preheat",
        {"        butterfly valve BV-702, lug\n": ""},
        "coil-not-isolated",
    ),
    "the strainer of a common control valve": (
        "bank",
        {"        strainer ST-501, grooved\n            strainer blowdown\n": ""},
        "strainer-missing",
    ),
    "glycol too thin by far": ("preheat", {"50 % by volume": "20 % by volume"}, "glycol-too-thin-for-inhibitor"),
}
#: What stands in no line of the file before the reader has said it: a tag, a hanger, a relief valve of the new piece.
LEFT = {"valve-untagged", "lump-unsupported", "blocked-in-liquid"}


def found_in(text: str) -> tuple[Finding, ...]:
    return compile_text(text, name="case.hookup").findings


@pytest.mark.parametrize("case", BROKEN)
def test_what_was_taken_out_comes_back(case: str) -> None:
    sample, changes, rule = BROKEN[case]
    text = (SAMPLES / f"{sample}.hookup").read_text(encoding="utf-8")
    for old, new in changes.items():
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    before = found_in(text)
    found = [f for f in before if f.rule == rule]
    assert found
    for one in found:
        assert one.mend, one.message
        after = found_in(applied(text, one.mend))
        assert sum(f.rule == rule for f in after) < len(found), applied(text, one.mend)
        assert {f.rule for f in after} <= {f.rule for f in before} | LEFT, [f.message for f in after]
        grave = Counter(f.rule for f in after if f.severity in ("error", "must"))
        assert not grave - Counter(f.rule for f in before if f.severity in ("error", "must"))


def test_the_second_valve_of_a_tie_is_in_the_lineup_that_opens_the_first() -> None:
    text = (SAMPLES / "two-services.hookup").read_text(encoding="utf-8")
    text = text.replace("        butterfly valve XV-2, lug, normally closed, locked\n", "").replace(
        "XV-1, XV-2,", "XV-1,"
    )
    (one,) = [f for f in found_in(text) if f.rule == "glycol-one-valve-from-water"]
    mended = applied(text, one.mend)
    assert "butterfly valve XV-1A, lug, normally closed" in mended and "open XV-1, XV-1A, XV-3, XV-4" in mended
    assert {f.severity for f in found_in(mended)} == {"note"}


def test_a_typical_has_no_one_hand_to_order() -> None:
    case = (SAMPLES.parent / "cases" / "hand-not-as-ordered.fail.hookup").read_text(encoding="utf-8")
    typical = case.replace("unit AH-1, airflow left to right", "typical one, drawn with airflow left to right")
    assert typical != case
    typical += "\nunit AH-1 is one, airflow left to right\nunit AH-2 is one, airflow right to left\n"
    assert [f.mend for f in found_in(typical) if f.rule == "hand-not-as-ordered"] == [()]


def test_a_threaded_item_is_bought_flanged_only_where_it_is_made_so() -> None:
    case = (SAMPLES.parent / "cases" / "joined-off-size.fail.hookup").read_text(encoding="utf-8")
    for one in [f for f in found_in(case) if f.rule == "joined-off-size" and f.mend]:
        assert all(edit.old in case.splitlines()[edit.at.line - 1] for edit in one.mend)


def test_a_low_point_above_a_check_valve_names_it() -> None:
    text = (SAMPLES / "preheat.hookup").read_text(encoding="utf-8")
    held = "        drain 3/4\n        check valve CV-701"
    assert text.count(held) == 1
    turned = text.replace(held, "        check valve CV-701")
    notes = [note.text for f in found_in(turned) if f.rule == "drain-missing" for note in f.notes]
    assert "nothing gets back through check valve `CV-701`" in notes


def test_a_larger_tube_is_one_that_valves_come_in() -> None:
    text = """\
service hot-water
    water
    design 125 psi, 70 degF to 180 degF
    spec copper-soldered
unit FC-1, airflow left to right
    coil HC on hot-water
        supply low, 1/2 solder
        return high, 1/2 solder
        headers copper
        flow 1.5 gpm
    supply to HC, 1/2
        from main HWS
        ball valve BV-1
        left 1 ft
    return from HC, 1/2
        ball valve BV-2
        left 1 ft
        to main HWR
"""
    said = {edit.new for f in found_in(text) if f.rule == "friction-high" for edit in f.mend}
    assert said == {(", 3/4",)}


def test_an_end_without_main_is_told_of_it() -> None:
    text = (SAMPLES / "bank.hookup").read_text(encoding="utf-8").replace("to main CHR", "to CHR")
    (one,) = [f for f in found_in(text) if f.rule == "unknown-tag"]
    assert one.message.startswith("there is no coil, tee or valve `CHR`")
    assert one.help.startswith("if it is a main, write `main CHR`")


def _stacked(gpm: int) -> list[Finding]:
    text = (EXAMPLES / "stacked-coils.hookup").read_text(encoding="utf-8")
    return found_in(text.replace("        holds 14 gal", f"        holds 14 gal\n        flow {gpm} gpm"))


def test_a_reduced_control_valve_is_no_pipe() -> None:
    rules = {"friction-high", "velocity-high", "flow-over-code-cap"}
    assert not [f.message for f in _stacked(90) if f.rule in rules]
    said = [f.message for f in _stacked(150) if f.rule == "friction-high"]
    assert any("`return from LOWER`" in m and "300 gpm through size 4" in m for m in said)
    assert not any("300 gpm through size 3" in m for m in said)


def test_a_line_that_changes_its_size_gets_no_larger_size_by_its_first_line() -> None:
    for finding in _stacked(150):
        if finding.rule == "friction-high":
            assert bool(finding.mend) == ("UPPER" in finding.message)
