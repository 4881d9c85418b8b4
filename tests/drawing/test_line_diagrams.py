"""Line diagrams of all examples and of the hookups after published texts."""

from functools import cache
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from coilwright.analysis.lineups import worked_out
from coilwright.api import Compilation, compile_file, compile_text
from coilwright.drawing.carried import Looks
from coilwright.drawing.cells import Pipe, Placed
from coilwright.drawing.diagram import both_hands, line_diagram, lineup_diagrams
from coilwright.drawing.layout import lay_out
from sheet_checks import SVG, all_drawings, check_hookup

ROOT = Path(__file__).parents[2]
FILES = sorted([*ROOT.glob("examples/*.hookup"), *ROOT.glob("tests/hookups/*.hookup")])


@cache
def compiled(path: Path) -> Compilation:
    return compile_file(path)


def hookup_of(name: str, number: int = 0):
    return compiled(ROOT / "examples" / f"{name}.hookup").hookups[number]


def test_files_are_there():
    assert len(FILES) >= 20


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_nothing_overlaps(path):
    done = compiled(path)
    for hookup in done.hookups:
        check_hookup(hookup, done.found)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_everything_with_a_tag_is_on_the_sheet(path):
    for hookup in compiled(path).hookups:
        drawing = line_diagram(hookup)
        shown = {box.of for box in drawing.boxes if box.kind == "symbol"}
        assert {c.id for c in hookup.components() if c.tag} <= shown
        ends = {c.id for c in hookup.components() if c.kind.ports == "end"}
        assert ends <= shown


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_finding_has_its_number_on_the_sheet(path):
    done = compiled(path)
    for hookup in done.hookups:
        numbered = list(enumerate(done.found, 1))
        root = ElementTree.fromstring(line_diagram(hookup, findings=numbered).svg())
        marked = {int(g.get("data-finding")) for g in root.iter(f"{SVG}g") if (g.get("data-finding") or "n") != "n"}
        said = " ".join(text.text or "" for text in root.iter(f"{SVG}text"))
        listed = said.partition("findings without a place here:")[2].replace(",", " ").split()
        assert {n for n, _ in numbered} <= marked | {int(word) for word in listed if word.isdigit()}


def test_a_finding_stands_at_its_component():
    done = compiled(ROOT / "examples" / "gallery-unfinished.hookup")
    numbered = list(enumerate(done.found, 1))
    boxes = line_diagram(done.hookups[0], findings=numbered).boxes
    at = {box.of for box in boxes if box.kind == "mark"}
    assert {"TCV-*01", "XV-*01", "T-*9", "TRIM"} <= at


def test_same_input_same_bytes():
    path = ROOT / "examples" / "aquarium-pair.hookup"
    one, other = compile_file(path), compile_file(path)
    for a, b in zip(one.hookups, other.hookups, strict=True):
        assert [d.svg() for d in all_drawings(a, one.found)] == [d.svg() for d in all_drawings(b, other.found)]


def test_a_unit_built_as_drawn_has_one_sheet():
    assert len(both_hands(hookup_of("one-coil"))) == 1
    assert len(both_hands(hookup_of("aquarium-pair", 0))) == 2


def test_size_breaks_show_the_way_they_stand():
    """A control valve smaller than its line stands between two reducers with their small ends toward it."""
    hookup = hookup_of("one-coil")
    parts = [part for part in lay_out(hookup).parts if isinstance(part, Placed)]
    valve = next(part for part in parts if part.component is not None and part.component.tag == "TCV-101")
    beside = sorted(
        (part for part in parts if part.symbol.name == "eccentric reducer" and part.y == valve.y),
        key=lambda part: part.x,
    )
    assert [part.turn.along for part in beside] == ["right", "left"]
    assert beside[0].x < valve.x < beside[1].x


def test_the_stacked_coil_that_rises_stands_above():
    boxes = {box.component.tag: box for box in lay_out(hookup_of("stacked-coils")).coils}
    assert boxes["UPPER"].y + boxes["UPPER"].height < boxes["LOWER"].y
    assert boxes["UPPER"].x == boxes["LOWER"].x


def test_coils_stand_in_the_order_of_the_air():
    boxes = {box.of: box for box in line_diagram(hookup_of("aquarium-pair"), drawn=True).boxes if box.width > 60}
    assert boxes["PRE"].x < boxes["TRIM"].x
    boxes = {box.of: box for box in line_diagram(hookup_of("aquarium-pair")).boxes if box.width > 60}
    assert boxes["PRE"].x > boxes["TRIM"].x


def test_few_crossings():
    """Each crossover of the pair has to pass one line of the other coil, and passes no more."""
    layout = lay_out(hookup_of("aquarium-pair"))
    assert layout.crossings == 2
    pieces = [p for p in layout.parts if isinstance(p, Pipe) and not p.arrow and not p.thin and p.x1 == p.x2]
    assert len(pieces) == 4 + 2  # four upright pipes, two of them with a gap
    ends = sorted((p.x1, p.y1, p.y2) for p in pieces)
    gaps = [low - high for (x, _, high), (at, low, _) in pairwise(ends) if x == at]
    assert len([gap for gap in gaps if 12 <= gap < 13]) == 2  # three times the blank of a dashed line


def looks_in(name: str, lineup: int):
    """The look of each straight piece of pipe between two things in a lineup, by the things it borders on."""
    hookup = hookup_of(name)
    made = worked_out(hookup, compiled(ROOT / "examples" / f"{name}.hookup").job.sections(hookup))
    standing = made.stand(hookup.lineups[lineup])
    looks = Looks(hookup, standing)
    pipes = [part for part in lay_out(hookup).parts if isinstance(part, Pipe) and not part.arrow]
    return standing, {frozenset(pipe.ids): looks.of(pipe) for pipe in pipes}


def between(looks, *ids):
    found = {look for key, look in looks.items() if set(ids) <= key}
    assert len(found) == 1, found
    return found.pop()


def test_a_lineup_tells_what_stands_and_flows():
    _, looks = looks_in("aquarium-pair", 1)  # glycol on both coils
    glycol, water = between(looks, "main CGS", "BV-*01"), between(looks, "main WWS", "BV-*03")
    assert glycol.dashes != water.dashes
    assert glycol.way == 1 and water.way is None
    dead = between(looks, "BV-*04", "T-*4")
    assert dead.dashes == glycol.dashes and dead.way is None and dead.weight < glycol.weight
    for crossover in (("T-*1", "XV-*01"), ("XV-*01", "T-*3")):
        assert between(looks, *crossover) == glycol
    # the return crossover is written from T-*2 to T-*4, and flows the other way
    assert between(looks, "XV-*02", "T-*4").way == -1


def test_a_lineup_fills_what_is_shut():
    hookup = hookup_of("aquarium-pair")
    sections = compiled(ROOT / "examples" / "aquarium-pair.hookup").job.sections(hookup)
    separate, both = lineup_diagrams(hookup, sections)
    for drawing, shut in ((separate, {"XV-*01", "XV-*02"}), (both, {"BV-*03", "BV-*04"})):
        filled = set()
        for group in ElementTree.fromstring(drawing.svg()).iter(f"{SVG}g"):
            tip = group.findtext(f"{SVG}title") or ""
            bodies = [p for p in group.iter(f"{SVG}path") if (p.get("d") or "").startswith("M-8-8H8V8")]
            if bodies and tip and "dg-ink-fill" in (bodies[0].get("class") or ""):
                filled.add(tip.partition(":")[0])
        assert filled == shut


TEXT = """
service chilled-water
    water
    spec steel-threaded
unit AH-1, airflow left to right
    coil CC on chilled-water
        supply low, 2 female thread
        return high, 2 female thread
    supply to CC, 2
        from main CHS
        ball valve BV-1, "NOTE"
    return from CC, 2
        ball valve BV-2
        to main CHR
    lineup "NOTE"
        closed BV-1
"""


@pytest.mark.parametrize(
    "note", ["<script>alert(1)</script>", "a & b < c > d", "it's 'so'", "\u202egnp.exe", "]]> <!-- -->", "&amp;&#60;"]
)
def test_text_of_the_file_stays_text(note):
    done = compile_text(TEXT.replace("NOTE", note))
    assert not done.broken, done.findings
    for drawing in all_drawings(done.hookups[0]):
        root = ElementTree.fromstring(drawing.svg())
        assert not [e for e in root.iter() if e.tag.endswith("script")]
        squeezed = "".join("".join(root.itertext()).split())
        assert "".join(note.split()) in squeezed
    assert note in ElementTree.fromstring(drawing.svg()).findtext(f"{SVG}title")


def test_the_number_of_a_finding_keeps_clear_of_an_open_end():
    text = TEXT.replace(
        "        ball valve BV-1, ", "        strainer ST-1\n            plug valve\n        ball valve BV-1, "
    )
    made = compile_text(text)
    assert any(
        f.rule == "dangling-end" and f.span.line == text.split("\n").index("            plug valve") + 1
        for f in made.found
    )
    check_hookup(made.hookups[0], made.found)


def test_what_xml_cannot_hold_is_replaced():
    done = compile_text(TEXT)
    drawing = line_diagram(done.hookups[0], standing=None)
    from coilwright.drawing.svg import element, plain

    assert plain("a\x00b\x08c\ufffe") == "a\ufffdb\ufffdc\ufffd"
    ElementTree.fromstring(element("g", plain("\x01"), id="\x02"))
    assert drawing.title == "AH-1"


def test_a_long_row_folds():
    many = "\n".join(f"        ball valve BV-1{n}" for n in range(90))
    done = compile_text(
        TEXT.replace('        ball valve BV-1, "NOTE"', many).replace("closed BV-1\n", "closed BV-10\n")
    )
    assert not done.broken, done.findings
    check_hookup(done.hookups[0], done.found)
    drawing = line_diagram(done.hookups[0])
    assert drawing.width < 1320
    letters = [text.text for text in ElementTree.fromstring(drawing.svg()).iter(f"{SVG}text")]
    assert letters.count("A") == 2 + 1 and letters.count("B") == 2  # one A in the legend
    assert letters.count("goes on at the same letter") == 1
    assert "goes on at the same letter" not in line_diagram(hookup_of("one-coil")).svg()


def test_symbols_carry_their_places():
    root = ElementTree.fromstring(line_diagram(hookup_of("one-coil")).svg())
    groups = [g for g in root.iter(f"{SVG}g") if g.get("data-at")]
    lines = (ROOT / "examples" / "one-coil.hookup").read_text(encoding="utf-8").splitlines()
    valve = next(g for g in groups if (g.findtext(f"{SVG}title") or "").startswith("TCV-101"))
    file, _, line = valve.get("data-at").split()[0].rpartition(":")
    assert file.endswith("one-coil.hookup") and "TCV-101" in lines[int(line) - 1]
