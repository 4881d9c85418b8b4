"""A line too large for a page is cut at match lines; each sheet can be read, and all together say what one would."""

import re
from types import SimpleNamespace

import pytest
from coilwright import compile_text
from coilwright.drawing.iso_cut import fits, letter
from coilwright.drawing.isometric import isometrics
from coilwright.drawing.svg import text_width
from iso_checks import check_isometrics, rings, rows, split, texts, weld_numbers

LONG = """\
project "Saltmarsh Aquarium: a long line"
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
    insulate 1 in
unit AH-1, airflow left to right
    coil CC on chilled-water
        supply low at leaving side, 3 flanged, at right 20 in, up 12 in, toward 4 in
        return high at entering side, 3 flanged, at right 10 in, up 60 in, toward 4 in
    supply to CC, 3
        from main CHS
        left 3 ft
{steps}
        left 4 ft
        away 16 in
    return from CC, 3
        toward 14 in
        butterfly valve BV-99
        right 40 in
        up 5 ft
        to main CHR
"""
STEP = """\
        butterfly valve BV-{n}
        left 2 ft
        hanger
        left 1 ft
        drain 3/4
        vent 1/2
        left 1 ft
        reducer 2-1/2, eccentric, flat on top
        reducer 3, eccentric, flat on top
        left 1 ft"""


@pytest.fixture(scope="module")
def long():
    made = compile_text(LONG.format(steps="\n".join(STEP.format(n=n) for n in range(1, 9))))
    assert not made.broken, made.findings
    return made


def sheets_of(made, name="supply to CC"):
    return [one for one in isometrics(made.job, made.hookups[0]) if f": {name}" in one.title]


def test_every_sheet_can_be_read(long):
    found = sheets_of(long)
    assert len(found) > 2
    for number, one in enumerate(found, 1):
        assert one.title.endswith(f"supply to CC, sheet {number} of {len(found)}")
        assert fits(one.figure.width, one.figure.height)
    for size in map(float, re.findall(r'font-size="([0-9.]+)"', "".join(one.figure.svg() for one in found))):
        assert size >= 8  # 9 px come out at 6 points; three figures in a ring a little less


def test_sheets_name_each_other_at_their_match_lines(long):
    found = sheets_of(long)
    lettered = {}
    for number, one in enumerate(found, 1):
        for group in texts(one, "dg-label"):
            if group and group[0].startswith("match line "):
                lettered.setdefault(group[0], []).append((number, int(group[1].removeprefix("see sheet "))))
    assert sorted(lettered) == [f"match line {chr(65 + n)}" for n in range(len(found) - 1)]
    for here in lettered.values():
        (a, to_b), (b, to_a) = here
        assert (a, b) == (to_a, to_b) and a != b


def test_sheets_together_hold_what_the_lists_hold(long):
    check_isometrics(long, long.hookups[0])


def test_numbers_run_on(long):
    """No weld and no cut is on two sheets, alike pieces have one number on all, and the tables are of their sheet."""
    found = sheets_of(long)
    welds = [weld for one in found for weld in weld_numbers(one)]
    assert len(welds) == len(set(welds)) > 20
    named = {}
    for one in found:
        bill = {row[0]: row[1:-1] for row in rows(one) if row[0].isdigit()}
        assert set(bill) == {ring for ring in rings(one) if ring.isdigit()}
        for item, said in bill.items():
            assert named.setdefault(item, said) == said


def test_a_length_through_a_match_line_stands_once_and_once_in_brackets(long):
    said = [text for one in sheets_of(long) for group in texts(one, "dg-dimension") for text in group]
    plain = sorted(text for text in said if text.endswith("c-c"))
    again = sorted(text.strip("()") for text in said if text.startswith("("))
    assert plain == again and plain


def test_a_short_line_is_one_sheet(long):
    (one,) = sheets_of(long, "return from CC")
    assert "sheet" not in one.title and "match line" not in one.svg()


def test_same_bytes(long):
    assert [one.svg() for one in sheets_of(long)] == [one.svg() for one in sheets_of(long)]


def test_outlets_with_no_move_between_them_are_not_dimensioned(long):
    lines, _ = split(long.hookups[0], isometrics(long.job, long.hookups[0]))
    said = [text for drawing in lines.values() for group in texts(drawing, "dg-dimension") for text in group]
    assert said and not [text for text in said if text.strip("()").startswith("0 in")]


def test_hangers_say_their_place(long):
    said = [" ".join(group) for one in sheets_of(long) for group in texts(one, "dg-label")]
    assert "H1 2 ft from BV-1" in said


def test_eccentric_reducers_show_their_level_side(long):
    one = sheets_of(long)[0]
    labels = [group for group in texts(one, "dg-label") if "FOT" in group]
    assert labels and all(text_width(text, 9.5) < 240 for group in labels for text in group)
    assert any("flat on top" in " ".join(row) for row in rows(one))


def test_many_match_lines_have_a_letter_each():
    straights = [object() for _ in range(29)]
    made = [[] for _ in range(30)]
    for number, straight in enumerate(straights):
        made[number].append(SimpleNamespace(straight=straight, match_a="", match_b="cut"))
        made[number + 1].append(SimpleNamespace(straight=straight, match_a="cut", match_b=""))
    letter(made)
    said = [leg.match_b.partition(",")[0] for sheet in made for leg in sheet if leg.match_b]
    assert len(set(said)) == 29 and said[25:27] == ["match line Z", "match line AA"]
