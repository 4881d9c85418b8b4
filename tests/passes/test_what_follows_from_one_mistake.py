"""One mistake is told once: tags of what could not be laid for it are not missed elsewhere."""

import pytest
from coilwright import compile_text

GOOD = """
service hot-water
    water
    design 125 psi, 70 degF to 180 degF
    spec steel-threaded
service glycol
    ethylene glycol, 30 % by volume
    design 125 psi, 10 degF to 110 degF
    spec steel-threaded
typical one, drawn with airflow left to right
    coil HC on hot-water
        supply low, 1 male thread
        return high, 1 male thread
    coil GC on glycol
        supply low, 1 male thread
        return high, 1 male thread
    supply to HC, 1
        from main HWS
        ball valve BV-*1
    return from HC, 1
        ball valve BV-*2
        to main HWR
    supply to GC, 1
        from main GS
        three-way control valve TCV-*3, 1, threaded, mixing
        ball valve BV-*3
    return from GC, 1
        tee T-*4
        ball valve BV-*4
        to main GR
    bypass from T-*4 to TCV-*3 bypass, 1
        balancing valve FB-*5
    lineup "run"
        open BV-*3, BV-*4, FB-*5
        expect GC on glycol
unit AH-1 is one, number 1
"""


def errors(*changes: tuple[str, str]) -> list[tuple[str, str]]:
    text = GOOD
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return [(f.rule, f.help) for f in compile_text(text).findings if f.severity == "error"]


def test_the_good_file_has_none() -> None:
    assert errors() == []


@pytest.mark.parametrize(
    ("old", "new", "rule"),
    [
        ("by volume\n    design 125 psi, 10 degF to 110 degF\n    spec steel-threaded",
         "by volume\n    design 125 psi, 10 degF to 110 degF\n    spec steel-thraded", "unknown-spec"),
        ("supply to GC, 1", "supply to GC", "size-missing"),
        ("return from GC, 1", "return from GC", "size-missing"),
        ("        tee T-*4", "        tea T-*4", "unknown-kind"),
        ("        ball valve BV-*3", "        bal valve BV-*3", "unknown-kind"),
        ("coil GC on glycol", "coil GC on glycl", "unknown-service"),
        ("number 1", "number 1\n    replace BV-*4 with bal valve", "unknown-kind"),
    ],
)  # fmt: skip
def test_tags_of_what_is_not_laid_are_not_missed(old: str, new: str, rule: str) -> None:
    assert [found for found, _ in errors((old, new))] == [rule]


def test_a_tag_that_stands_nowhere_is_missed_beside_another_mistake() -> None:
    found = errors(("supply to GC, 1", "supply to GC"), ("open BV-*3", "open BV-*9"))
    assert [rule for rule, _ in found] == ["size-missing", "unknown-tag"]


def test_a_tag_that_a_unit_leaves_out_is_missed() -> None:
    assert ("unknown-tag") in [rule for rule, _ in errors(("number 1", "number 1\n    omit BV-*4"))]


def test_a_tag_nearly_right_is_proposed_before_a_main() -> None:
    [(rule, help)] = errors(("from T-*4", "from T*4"))
    assert rule == "unknown-tag"
    assert help == "`T-*4` is there; if it is a main, write `main T*4`"


def test_a_slip_in_where_a_line_ends_proposes_the_whole_line() -> None:
    assert ("unknown-kind", "write `to main GR`") in errors(("to main GR", "too main GR"))
    assert ("unknown-kind", "write `from main GS`") in errors(("from main GS", "frm main GS"))
