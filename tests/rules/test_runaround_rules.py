"""A runaround loop: two coils one behind the other, a pump, and no main."""

from pathlib import Path

from coilwright import compile_text
from coilwright.model.finding import Finding

TEXT = (Path(__file__).parent / "samples" / "runaround.hookup").read_text(encoding="utf-8")


def found_in(text: str) -> tuple[Finding, ...]:
    found = compile_text(text, name="runaround.hookup").findings
    return tuple(f for f in found if f.rule != "length-not-in-tables")


def changed(*pairs: tuple[str, str]) -> str:
    text = TEXT
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def test_a_sound_loop_has_nothing_against_it() -> None:
    assert [f"{f.span.line} {f.rule}: {f.message}" for f in found_in(TEXT)] == []


def test_coils_one_behind_the_other_carry_the_same_water() -> None:
    # 80 gpm through 2-1/2 schedule 40 (bore 2.469 in, 4.788 sq in): 0.4085 * 80 / 2.469**2 = 5.36 ft/s.
    text = TEXT.replace("flow 60 gpm", "flow 80 gpm").replace(
        "warm from EXH return to OA supply, 2-1/2", "warm from EXH return to OA supply, 2-1/2, occupied area"
    )
    (one,) = [f for f in found_in(text) if f.rule == "velocity-high"]
    assert "carries 80 gpm through size 2-1/2 at 5.4 ft/s" in one.message


def test_one_balancing_valve_sets_the_flow_of_both_coils() -> None:
    made = compile_text(TEXT)
    verdicts = {coil: v for (rule, _, coil), v in made.checked[0].verdicts.items() if rule == "balancing-missing"}
    assert {coil: (v.answer, v.said) for coil, v in verdicts.items()} == {"EXH": ("yes", "FB-1"), "OA": ("yes", "FB-1")}
    without = found_in(changed(("        balancing valve FB-1, flanged\n", "")))
    assert [f.about for f in without if f.rule == "balancing-missing"] == [("EXH",), ("OA",)]


def test_the_pump_of_a_loop_flows() -> None:
    rows = compile_text(TEXT).tables(["standing"])[0].rows
    assert [(row.cells["part"], row.cells["flow"]) for row in rows if "cold" in str(row.cells["line"])] == [
        ("OA - EXH", "as drawn")
    ]
    dead = compile_text(changed(("butterfly valve BV-5, lug", "butterfly valve BV-5, lug, normally closed")))
    flows = {row.cells["flow"] for row in dead.tables(["standing"])[0].rows if "cold" in str(row.cells["line"])}
    assert "as drawn" not in flows and "dead leg" in flows


def test_water_driven_in_at_the_high_connection() -> None:
    swapped = changed(
        ("warm from EXH return to OA supply", "warm from EXH return to OA return"),
        ("cold from OA return to EXH supply", "cold from OA supply to EXH supply"),
    )
    (one,) = [f for f in found_in(swapped) if f.rule == "supply-not-low"]
    assert one.severity == "must" and one.about == ("OA",)
    assert [(edit.old, edit.new) for edit in one.mend] == [("OA return", ("OA supply",)), ("OA supply", ("OA return",))]
    turned = changed(("cold from OA return to EXH supply", "cold from EXH supply to OA return"))
    assert [f.about for f in found_in(turned) if f.rule == "supply-not-low"] == [("EXH",), ("OA",)]


def test_a_tank_behind_a_shut_valve_takes_up_nothing() -> None:
    shut = changed(("ball valve BV-7, 1, locked, normally open", "ball valve BV-7, 1, locked, normally closed"))
    (one,) = [f for f in found_in(shut) if f.rule == "loop-without-expansion"]
    assert one.severity == "must" and [note.text for note in one.notes] == ["`ET-1` is shut off"]
    shop = changed(
        ("kind expansion tank\n", "kind bladder vessel\n    takes up expansion\n"),
        ("expansion tank ET-1", "bladder vessel ET-1"),
    )
    assert found_in(shop) == ()
