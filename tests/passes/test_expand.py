"""Typicals, units and the changes of single units."""

from __future__ import annotations

from coilwright import Compilation, compile_text

from .hookups import hookup_text, only

STEPS = "strainer ST-*1\nbutterfly valve BV-*1, lug\ndrain 3/4"


def units(*lines: str) -> Compilation:
    text = hookup_text(STEPS).replace("unit AH-1 is one, number 1\n", "\n".join(lines) + "\n")
    made = compile_text(text, name="test.hookup")
    assert not made.broken, made.findings
    return made


def bill_of(made: Compilation) -> dict[str, tuple[object, object]]:
    return {
        str(r.cells["description"]).split(",")[0]: (r.cells["total"], r.cells["tags"])
        for r in made.tables(["bill"])[0].rows
    }


def test_units_built_alike_share_one_hookup_and_each_has_its_own_tags() -> None:
    made = units(*(f"unit AH-{i} is one, number {i}" for i in range(1, 13)))
    assert len(made.hookups) == 1
    total, tags = bill_of(made)["butterfly valve"]
    assert total == 12
    assert tags == tuple(f"BV-{i}1" for i in range(1, 13))


def test_two_hands_are_two_hookups() -> None:
    made = units("unit AH-1 is one, number 1", "unit AH-2 is one, number 2, airflow right to left")
    assert [(h.airflow, [u.tag for u in h.units]) for h in made.hookups] == [
        ("left to right", ["AH-1"]),
        ("right to left", ["AH-2"]),
    ]


def test_number_is_read_off_the_tag_where_it_is_not_said() -> None:
    assert bill_of(units("unit AH-7 is one"))["butterfly valve"][1] == ("BV-71",)


def test_omit() -> None:
    made = units("unit AH-1 is one, number 1", "unit AH-2 is one, number 2", "    omit ST-*1")
    assert bill_of(made)["wye strainer"] == (1, ("ST-11",))


def test_resize() -> None:
    made = units("unit AH-2 is one, number 2", "    resize BV-*1 to 3")
    assert [str(c.size) for c in only(made, "butterfly valve")] == ["3"]
    assert len(only(made, "eccentric reducer")) == 2


def test_replace_keeps_the_tag() -> None:
    made = units("unit AH-2 is one, number 2", "    replace BV-*1 with gate valve, flanged")
    assert bill_of(made)["gate valve"] == (1, ("BV-21",))
    assert "butterfly valve" not in bill_of(made)


def test_add_before_and_after() -> None:
    made = units("unit AH-2 is one, number 2", "    add check valve CV-*1 after BV-*1", "    add vent 1/2 before ST-*1")
    chain = [
        c.kind.name
        for c in made.hookups[0].components()
        if c.line == "supply to CC" and " > " not in c.id and not c.role
    ]
    assert chain == ["threaded outlet", "wye strainer", "butterfly valve", "check valve", "threaded outlet"]


def test_changed_unit_does_not_change_the_others() -> None:
    made = units("unit AH-1 is one, number 1", "unit AH-2 is one, number 2", "    resize BV-*1 to 3")
    (row,) = [
        r
        for r in made.tables(["bill"])[0].rows
        if r.cells["size"] == "4" and "butterfly" in str(r.cells["description"])
    ]
    assert (row.cells["total"], row.cells["tags"]) == (1, ("BV-11",))
    assert row.cells["each"] == "AH-1: 1"


def test_unit_written_out_in_full() -> None:
    text = hookup_text(STEPS).replace(
        "typical one, drawn with airflow left to right", "unit AH-9, airflow right to left"
    )
    made = compile_text(text.replace("unit AH-1 is one, number 1\n", "").replace("*", "9"), name="test.hookup")
    assert [u.tag for u in made.hookups[0].units] == ["AH-9"]
    assert not made.broken


def test_typical_without_units_is_counted_once_and_said() -> None:
    made = compile_text(hookup_text(STEPS).replace("unit AH-1 is one, number 1\n", ""), name="test.hookup")
    assert "typical-unused" in [f.rule for f in made.findings]
    assert bill_of(made)["butterfly valve"][0] == 1
