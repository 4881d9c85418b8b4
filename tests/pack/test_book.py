"""The PDF: pages, bookmarks, running heads, the same bytes, and text that stays text."""

import io
import re
import sys
from itertools import pairwise

import pytest
from coilwright.batch import compile_files
from coilwright.cli import main
from coilwright.pack import Options, pack
from coilwright.pack.book import source_of
from coilwright.pack.contents import gather
from coilwright.pack.letters import wide
from pack_jobs import AQUARIUM, EXAMPLES, WICKED, wicked_job
from pypdf import PdfReader


def book(batch, **options) -> bytes:
    pytest.importorskip("typst", reason="the package typst is not installed: no PDF to look at")
    return pack(batch, Options(pdf=True, **options))["pack.pdf"]


def outline(reader: PdfReader, entries=None, depth=1):
    for entry in reader.outline if entries is None else entries:
        if isinstance(entry, list):
            yield from outline(reader, entry, depth + 1)
        else:
            yield depth, entry.title, reader.get_destination_page_number(entry)


def squeezed(text: str) -> str:
    return "".join(text.split())


def test_pages_bookmarks_and_running_heads():
    batch = compile_files([AQUARIUM])
    data = book(batch, revision="B", date="2026-11-25")
    reader = PdfReader(io.BytesIO(data))
    pages = [squeezed(page.extract_text()) for page in reader.pages]
    marks = list(outline(reader))
    chapters = [title for depth, title, _ in marks if depth == 1]
    assert chapters[0] == "Read first"
    assert {"Line diagrams", "Isometrics", "To order", "Sheets to sign"} <= set(chapters)
    tables = [table for table in batch.tables(["bill", "tags"]) if table.rows]
    titles = {title for _, title, _ in marks}
    assert len(tables) == 2 and {table.title for table in tables} <= titles
    assert {f"Pressure test: GA-{n}" for n in range(1, 6)} <= titles  # a sheet to sign for each unit
    units = [(title, page) for depth, title, page in marks if depth == 2 and title.startswith("GA-3")]
    assert len(units) == 3  # line diagram, lineups, isometrics
    for chapter, (title, page) in zip(("Line diagrams", "Lineup diagrams", "Isometrics"), units, strict=True):
        assert squeezed(f"{chapter}·{title}") in pages[page]
    assert squeezed(f"Isometrics·{units[2][0]}") in pages[units[2][1] + 3]
    for number, text in enumerate(pages, 1):
        assert f"page{number}of{len(pages)}" in text
        assert "revisionB,date2026-11-25" in text
        assert "SaltmarshAquarium" in text
    bill = next(page for _, title, page in marks if title == "Bill of materials")
    assert "Toorder·Billofmaterials" in pages[bill]


def test_same_bytes_and_no_clock():
    batch = compile_files([EXAMPLES / "one-coil.hookup"])
    one, other = book(batch), book(compile_files([EXAMPLES / "one-coil.hookup"]))
    assert one == other and one.startswith(b"%PDF")
    assert set(re.findall(rb"D:(\d{4})", one)) <= {b"2000"}


def test_paper():
    batch = compile_files([EXAMPLES / "one-coil.hookup"])
    for units, sides in (("inch-pound", (612, 792)), ("metric", (595, 842))):
        reader = PdfReader(io.BytesIO(book(batch, units=units)))
        found = {tuple(sorted(round(float(x)) for x in page.mediabox[2:])) for page in reader.pages}
        assert found == {sides}


@pytest.mark.parametrize("note", WICKED)
def test_text_of_the_file_stays_text(note):
    reader = PdfReader(io.BytesIO(book(wicked_job(note), revision=note, date=note)))
    wanted = squeezed(note.replace("\u202e", "\ufffd"))
    first = squeezed(reader.pages[0].extract_text())
    assert first.count(wanted) >= 3
    assert len(reader.pages) > 10


def test_source_holds_no_text_outside_strings():
    source = source_of(gather(wicked_job("#panic"), Options()))
    outside = re.sub(r'"(?:[^"\\]|\\.)*"', "", source)
    assert "panic" not in outside and "panic" in source


def test_without_the_package_one_line_says_how_to_get_it(tmp_path, monkeypatch, capsys):
    monkeypatch.setitem(sys.modules, "typst", None)
    assert main(["pack", str(EXAMPLES / "one-coil.hookup"), "--out", str(tmp_path / "out"), "--pdf", "--quiet"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "pip install 'coilwright[pdf]'" in line
    assert not (tmp_path / "out").exists()


def test_no_word_is_printed_on_another_and_no_page_is_nearly_empty():
    batch = compile_files([AQUARIUM])
    reader = PdfReader(io.BytesIO(book(batch)))
    marks = list(outline(reader))
    first = next(page for depth, title, page in marks if title == "To order")
    last = next(page for depth, title, page in marks if title == "Sheets to sign")
    lists = [title for depth, title, page in marks if depth == 2 and first <= page < last]
    assert last - first < len(lists)  # lists follow each other on a page
    neighbours = 0
    for page in reader.pages[first:]:
        runs: dict[float, list[tuple[float, float, str]]] = {}

        def seen(text, cm, tm, font, size, runs=runs):
            if text.strip():
                at = tm[4] * cm[0] + cm[4], round(tm[5] * cm[3] + cm[5], 1)
                runs.setdefault(at[1], []).append((at[0], size * abs(tm[0] * cm[0]), text.strip()))

        text = page.extract_text(visitor_text=seen)
        assert len(text) > 200
        for line in runs.values():
            for (x, size, word), (after, _, other) in pairwise(sorted(line)):
                if len(word) < 40:  # of longer ones kerning makes the width uncertain
                    neighbours += 1
                    assert x + 0.95 * wide(word) * size <= after + 0.5, (word, other)
    assert neighbours > 1000


#: Of the supply to one coil a length is given, of the other lines none.
PARTLY = """\
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
unit AH-1, airflow left to right
"""
COIL = """\
    coil C-{0} on chilled-water
        supply low at leaving side, 3 flanged
        return high at entering side, 3 flanged
    supply to C-{0}, 3
        from main CHS
        left{1}
        butterfly valve BV-{0}1, lug
    return from C-{0}, 3
        butterfly valve BV-{0}2, lug
        to main CHR
"""


def heights(page) -> dict[str, float]:
    """How high above the foot of a page each run of text stands, points."""
    found: dict[str, float] = {}

    def seen(text, cm, tm, font, size):
        if text.strip():
            found.setdefault(text.strip(), tm[5] * cm[3] + cm[5])

    page.extract_text(visitor_text=seen)
    return found


def test_what_is_left_out_stands_above_the_first_figure():
    text = PARTLY + COIL.format(1, " 3 ft") + "".join(COIL.format(n, "") for n in range(2, 12))
    batch = compile_files(["partly.hookup"], texts={"partly.hookup": text})
    reader = PdfReader(io.BytesIO(book(batch)))
    first = next(page for depth, title, page in outline(reader) if title == "Isometrics")
    found = heights(reader.pages[first])
    notes = [at for words, at in found.items() if "return from C-" in words]
    figure = [at for words, at in found.items() if words.startswith("Isometric of")]
    assert len(notes) >= 2 and figure  # more than a line of them
    assert min(notes) > max(figure) + 9


def test_without_lengths_no_page_says_that_there_are_no_isometrics():
    batch = compile_files(["order.hookup"], texts={"order.hookup": PARTLY + COIL.format(1, "")})
    reader = PdfReader(io.BytesIO(book(batch)))
    assert "Isometrics" not in {title for _, title, _ in outline(reader)}
    saying = [n for n, page in enumerate(reader.pages) if "Noisometrics" in squeezed(page.extract_text())]
    assert saying == [0]


def test_headings_of_the_cover_keep_clear_and_contents_stay_on_it():
    reader = PdfReader(io.BytesIO(book(compile_files([EXAMPLES / "one-coil.hookup"]))))
    found = heights(reader.pages[0])
    (above,) = [at for words, at in found.items() if words.startswith("coilwright ")]
    assert above - found["Read first"] > 30
    checker = next(page for _, title, page in outline(reader) if title.startswith("Checker"))
    assert checker == 1
