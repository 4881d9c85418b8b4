"""Isometrics: numbers and lengths are those of the lists, nothing overlaps, the other hand goes its own way."""

from pathlib import Path
from xml.etree import ElementTree

import pytest
from coilwright import Compilation, compile_file, compile_text
from coilwright.drawing.iso_axes import across, project
from coilwright.drawing.iso_legs import Legs
from coilwright.drawing.isometric import isometrics, left_out
from coilwright.drawing.svg import num
from coilwright.drawing.symbols import named
from coilwright.takeoff.cuts import cuts
from iso_checks import SVG, check_isometrics, check_sheet, dimensions, rows, split, texts

ROOT = Path(__file__).parents[2]
FILES = [
    *sorted((ROOT / "examples").glob("*.hookup")),
    *sorted((ROOT / "tests/hookups").glob("*.hookup")),
]
CASES = sorted((ROOT / "tests/rules/cases").glob("*.hookup"))

PEN = """\
project "Saltmarsh Aquarium: isometrics"
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec {spec}
    insulate 1 in
lengths of balancing valve, flanged
    3, 12-1/2 in
lengths of three-way control valve, flanged
    3, 11 in

typical pen, drawn with airflow left to right
    coil CC on chilled-water
        supply low at leaving side, 3 flanged, at right 20 in, up 12 in, toward 4 in
        return high at entering side, 3 flanged, at right 10 in, up 60 in, toward 4 in
    supply to CC, 3
        from main CHS, at right 62 in, down 24 in, toward 20 in
        through floor, hole 6
        up 3 ft
        hanger
        up 2 ft
        left 6 ft, pitch 1/8 in per ft
        hanger
        left 4 ft, pitch 1/8 in per ft
        up 1 ft, toward 8 in, at 45
        left 3 ft
        tee T-*1, 2-1/2
        left 30 in
        up 18 in, at 45
        left 20 ft
        butterfly valve BV-*1, "<script>alert('&')</script>"
        toward 2 ft
        down 4 ft
        right 14 in
        drain
        away 16 in
    return from CC, 3
        toward 14 in
        vent
        right 20 in
        three-way control valve TCV-*1, mixing
        right 24 in
        balancing valve FB-*1
        butterfly valve BV-*2
        right
        through wall
        right 40 in
        down 5 ft, field fit
        to main CHR
    bypass from T-*1 to TCV-*1 bypass, 2-1/2
        up 30 in
        balancing valve FB-*2
        up 3 ft
        toward 2 ft
unit AH-1 is pen, number 1, airflow left to right
unit AH-2 is pen, number 2, airflow right to left
"""


@pytest.fixture(scope="module")
def pen() -> Compilation:
    return compile_text(PEN.format(spec="steel-welded"))


def line_of(compilation: Compilation, which: int, line: str):
    hookup = compilation.hookups[which]
    return split(hookup, isometrics(compilation.job, hookup))[0][line]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_examples(path: Path) -> None:
    compilation = compile_file(path)
    for hookup in compilation.hookups:
        check_isometrics(compilation, hookup)


def test_cases_of_the_rules() -> None:
    drawn = 0
    for path in CASES:
        compilation = compile_file(path)
        for hookup in compilation.hookups:
            if hookup.measured is not None:
                drawn += len(check_isometrics(compilation, hookup))
    assert drawn > 100


@pytest.mark.parametrize("spec", ["steel-welded", "steel-grooved", "copper-soldered"])
def test_both_hands_of_a_pen(spec: str) -> None:
    compilation = compile_text(PEN.format(spec=spec))
    for hookup in compilation.hookups:
        drawings = check_isometrics(compilation, hookup)
        assert len(split(hookup, drawings)[0]) == 3


def test_the_same_bytes_again(pen: Compilation) -> None:
    again = compile_text(PEN.format(spec="steel-welded"))
    for one, other in zip(pen.hookups, again.hookups, strict=True):
        first = [drawing.svg() for drawing in isometrics(pen.job, one)]
        assert first == [drawing.svg() for drawing in isometrics(pen.job, one)]
        assert first == [drawing.svg() for drawing in isometrics(again.job, other)]


def test_text_of_the_file_stays_text(pen: Compilation) -> None:
    svg = line_of(pen, 0, "supply to CC").svg()
    assert "<script" not in svg and "&lt;script&gt;" in svg


def test_what_is_said_of_a_line(pen: Compilation) -> None:
    drawing = line_of(pen, 0, "supply to CC")
    said = [" ".join(group) for group in texts(drawing, "dg-label")]
    for wanted in (
        "main CHS EL -2 ft", "coil CC supply EL +1 ft", "EL +3 ft", "hole 1 through floor", "H1 3 ft from CHS",
        "H2 6 ft from elbow behind CHS",
        "falls 1/8 in per ft", "set 1 ft", "roll 8 in", "set 1 ft 6 in", "run 1 ft 6 in", "bypass from T-11 to TCV-11",
    ):  # fmt: skip
        assert wanted in said, wanted
    assert dimensions(drawing)["20 ft"] == 1
    assert "airflow left to right" in drawing.svg() and "Service: chilled-water" in drawing.desc
    assert "Units: AH-1." in drawing.svg()


def test_a_length_that_is_missing_is_said_to_be(pen: Compilation) -> None:
    drawing = line_of(pen, 0, "return from CC")
    assert dimensions(drawing)["not measured"] == 1
    assert "break: length not drawn" in drawing.svg()


def test_cuts_are_those_of_the_cut_list(pen: Compilation) -> None:
    hookup = pen.hookups[0]
    (table,) = pen.tables(["cuts"])
    listed = {str(row.cells["cut"]): row for row in table.rows if row.cells["units"] == "AH-1"}
    seen = set()
    for drawing in split(hookup, isometrics(pen.job, hookup))[0].values():
        for row in rows(drawing):
            if row[0] not in listed:
                continue
            seen.add(row[0])
            labels = [text for group in texts(drawing, "dg-label") for text in group if text.startswith(f"{row[0]}  ")]
            assert len(labels) == 1 and row[2].startswith(labels[0].split("  ")[1])
            assert row[-1] == listed[row[0]].cells["spool"]
    assert seen == set(listed) and cuts(pen.job).rows == table.rows


def test_the_other_hand_is_drawn_from_its_own_way(pen: Compilation) -> None:
    drawn, mirrored = (Legs(hookup, pen.job.welds(hookup)) for hookup in pen.hookups)
    assert pen.hookups[1].mirrored
    for line in pen.hookups[0].lines:
        pairs = list(zip(drawn.of_line(line), mirrored.of_line(line), strict=True))
        for one, other in pairs:
            if one.aside or one.stub:
                continue
            right, toward, up = one.unit
            assert other.unit == (-right, toward, up)
        assert any(one.unit[0] for one, _ in pairs)
    assert "the other hand than drawn" in line_of(pen, 1, "supply to CC").svg()


def test_a_line_without_a_direction_is_left_out_with_a_note() -> None:
    text = PEN.format(spec="steel-welded").replace("        left 3 ft\n", "        about 12 ft\n        left 3 ft\n")
    compilation = compile_text(text)
    hookup = compilation.hookups[0]
    lines, _ = split(hookup, isometrics(compilation.job, hookup))
    notes = left_out(compilation.job, hookup)
    assert "supply to CC" not in lines and "return from CC" in lines
    assert [note for note in notes if note.startswith("supply to CC: left out")]
    assert all("direction" in note for note in notes)


def test_a_way_that_comes_round_to_itself() -> None:
    text = PEN.format(spec="steel-welded")
    text = text.replace("        left 20 ft\n", "        left 10 ft\n        tee T-*3, 2-1/2\n        left 10 ft\n")
    text = text.replace("        left 30 in\n", "        left 15 in\n        tee T-*4, 2-1/2\n        left 15 in\n")
    loop = "    by-loop from T-*4 to T-*3, 2-1/2\n        up 3 ft\n        left 20 in\n        down 2 ft\n"
    text = text.replace("    bypass from", f"{loop}    bypass from")
    compilation = compile_text(text)
    assert [f.message for f in compilation.findings if f.severity == "error"] == []
    drawings = check_isometrics(compilation, compilation.hookups[0])
    assert any("joins what is drawn there" in drawing.svg() for drawing in drawings)


def test_reducers_have_their_wide_end_where_the_pipe_is_wide() -> None:
    compilation = compile_file(ROOT / "examples/quarantine-measured.hookup")
    root = ElementTree.fromstring(line_of(compilation, 0, "return from CC-*").svg())
    shape = named("eccentric reducer").body
    turned = [
        group.get("transform", "").removeprefix("matrix(").split()[:2]
        for group in root.iter(f"{SVG}g")
        if any(path.get("d") == shape for path in group.findall(f"{SVG}path"))
    ]
    right = [num(part) for part in project((1, 0, 0))]
    left = [num(part) for part in project((-1, 0, 0))]
    assert turned == [right, left]  # from 3 to 2-1/2 before the control valve, from 2-1/2 to 3 behind it


def test_axes_make_equal_angles() -> None:
    ways = [project(unit) for unit in ((1, 0, 0), (0, 1, 0), (0, 0, 1))]
    for n, (x, y) in enumerate(ways):
        assert x * x + y * y == pytest.approx(1)
        u, v = ways[n - 1]
        assert x * u + y * v == pytest.approx(-0.5)
        a, b = across((x, y))
        assert abs(a * y - b * x) > 0.8


def test_no_isometric_without_lengths() -> None:
    text = "service w\n    water\n    spec steel-welded\nunit AH-1, airflow left to right\n"
    text += "    coil CC on w\n        supply low, 3 flanged\n        return high, 3 flanged\n"
    text += "    supply to CC, 3\n        from main CHS\n        up\n    return from CC, 3\n        to main CHR\n"
    compilation = compile_text(text)
    assert isometrics(compilation.job, compilation.hookups[0]) == []
    assert "gives no lengths" in left_out(compilation.job, compilation.hookups[0])[0]
    check_sheet(line_of(compile_text(PEN.format(spec="steel-welded")), 0, "supply to CC"))
