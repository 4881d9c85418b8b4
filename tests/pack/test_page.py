"""The page as a document: well-formed, whole, self-contained, and text stays text."""

import hashlib
import re
from functools import lru_cache
from itertools import pairwise
from xml.etree import ElementTree

import html5lib
import pytest
from coilwright.batch import compile_files
from coilwright.pack import Options, page
from coilwright.pack.chapters import SIGNED, lists_by_chapter
from coilwright.report.units import in_metric
from coilwright.takeoff import LISTS
from coilwright.takeoff.by_unit import by_unit
from pack_jobs import AQUARIUM, EXAMPLES, TEXT, WICKED, compiled, wicked_job

SVG = "{http://www.w3.org/2000/svg}"
ALL = sorted(EXAMPLES.glob("*.hookup"))


def read(html: str) -> ElementTree.Element:
    """The page's tree; a page that is not well-formed raises."""
    parser = html5lib.HTMLParser(tree=html5lib.getTreeBuilder("etree"), strict=True, namespaceHTMLElements=False)
    return parser.parse(html)


@lru_cache
def job(path):
    return compile_files([path])


@lru_cache
def tree(path):
    return read(page(job(path)))


def said(element) -> str:
    return " ".join("".join(element.itertext()).split())


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.stem)
def test_every_example_is_well_formed_with_headings_in_order(path):
    root = tree(path)
    levels = [int(e.tag[1]) for e in root.iter() if e.tag in ("h1", "h2", "h3", "h4")]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(later <= earlier + 1 for earlier, later in pairwise(levels))
    ids = [e.get("id") for e in root.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    links = {e.get("href") for e in root.iter("a")}
    assert links and all(link[1:] in ids for link in links)
    for table in root.iter("table"):
        assert said(table.find("caption"))
        assert all(th.get("scope") for th in table.iter("th"))


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.stem)
def test_every_list_is_there_or_named(path):
    root, batch = tree(path), job(path)
    tables = {said(e.find("caption")).rpartition(":")[0]: e for e in root.iter("table")}
    left_out = next((said(p) for p in root.iter("p") if said(p).startswith("Lists without rows")), "")
    made = batch.tables(list(LISTS))
    signed = next(names for key, _, names in lists_by_chapter() if key == SIGNED[0])
    assert any(table.rows for table in made)
    for table in made:
        if table.rows:
            shown = [e for title, e in tables.items() if title == table.title or title.startswith(f"{table.title}: ")]
            rows = [row for e in shown for row in e.findall("tbody/tr")]
            lots = by_unit(table) if table.name in signed else [table]
            assert len(shown) == len(lots) and len(rows) == sum(len(lot.rows) for lot in lots), table.name
            assert all(re.fullmatch(r"\S+:\d+( \S+:\d+)*", row.get("data-at")) for row in rows), table.name
        else:
            assert table.title.lower() in left_out and table.title not in tables, table.name


def test_chapters_hold_every_list_once():
    named = [name for *_, names in lists_by_chapter() for name in names]
    assert sorted(named) == sorted(LISTS)


def test_a_row_and_its_component_name_the_same_line():
    root = tree(AQUARIUM)
    drawn = {at for e in root.iter(f"{SVG}g") for at in (e.get("data-at") or "").split()}
    (valves,) = (e for e in root.iter("table") if said(e.find("caption")).startswith("Valve schedule:"))
    rows = valves.findall("tbody/tr")
    assert rows and all(row.get("data-at").split()[0] in drawn for row in rows)


def test_diagrams_of_every_distinct_hookup_once():
    root, batch = tree(AQUARIUM), job(AQUARIUM)
    titles = [said(e.find(f"{SVG}title")) for e in root.iter(f"{SVG}svg")]
    descs = [said(e.find(f"{SVG}desc")) for e in root.iter(f"{SVG}svg")]
    assert len(batch.hookups) == 2
    assert sum(desc.startswith("Line diagram, as drawn, ") for desc in descs) == 1  # of the hookup that is turned over
    assert sum("lineup" in title for title in titles) == 4
    assert sum(title.startswith("Isometric") for title in titles) > 20
    forty = tree(EXAMPLES / "fan-coil-forty.hookup")
    assert len(list(forty.iter(f"{SVG}svg"))) == sum(2 + h.mirrored for h in job(ALL[1]).hookups)


def test_findings_have_the_numbers_of_the_diagrams():
    batch = job(EXAMPLES / "gallery-unfinished.hookup")
    root = read(page(batch))
    numbers = {e.get("data-finding") for e in root.iter(f"{SVG}g")} - {None, "n"}
    found = {e.get("id"): said(e) for e in root.iter("li") if (e.get("id") or "").startswith("finding-")}
    assert numbers and {f"finding-{n}" for n in numbers} <= set(found)
    assert list(found) == [f"finding-{n}" for n in range(1, len(batch.findings) + 1)]
    for number, finding in enumerate(batch.findings, 1):
        assert finding.message.replace("`", "") in found[f"finding-{number}"]
        assert finding.rule in found[f"finding-{number}"]


def test_cover_says_what_was_compiled_and_no_date_of_its_own():
    bare, given = page(job(AQUARIUM)), page(job(AQUARIUM), Options("B", "2026-11-25"))
    digest = hashlib.sha256(AQUARIUM.read_bytes()).hexdigest()
    for html in (bare, given):
        assert digest in html and "Saltmarsh Aquarium: gallery air handlers" in html
        for word in ("Pressure test", "Hot work", "Lifting", "Glycol", "Stored energy", "Hot surfaces"):
            assert f"<dt>{word}</dt>" in html
        assert "the engineer of record and licensed practice decide" in html
    assert "<dd>2026-11-25</dd>" in given and "<dd>B</dd>" in given
    assert not re.findall(r"20\d\d-\d\d-\d\d", bare)


def test_sheets_to_sign_have_room_for_it():
    root = tree(AQUARIUM)
    captions = [said(t.find("caption")) for t in root.iter("table") if t.get("class") == "sign"]
    assert {f"Signatures: Pressure test: GA-{n}" for n in range(1, 6)} < set(
        captions
    ) and "Signatures: Tags" in captions
    assert "Signatures: Positions of the valves: GA-1" in captions and "Signatures: checker's sheet" in captions
    sheets = [t for t in root.iter("table") if said(t.find("caption")).startswith("Pressure test: GA-")]
    assert len(sheets) == 5
    for number, sheet in enumerate(sheets, 1):
        assert {"Done by", "Time"} <= {said(th) for th in sheet.iter("th")}
        assert all(len(row.findall("td[@class='hand']")) == 3 for row in sheet.findall("tbody/tr"))
        text = said(sheet)
        assert f"BV-{number}01" in text and "*" not in text and "GA-" not in said(sheet.find("tbody"))


def test_a_weld_is_logged_for_each_unit():
    root = tree(AQUARIUM)
    (weld_list,) = (t for t in root.iter("table") if said(t.find("caption")).startswith("Weld list:"))
    logs = [t for t in root.iter("table") if said(t.find("caption")).startswith("Weld log: GA-")]
    heads = [said(th) for th in logs[0].iter("th")]
    assert len(logs) == 5 and heads[-3:] == ["Welder", "Heat number", "Date"]
    assert not {"Welder", "Date"} & {said(th) for th in weld_list.iter("th")}
    assert all(len(row.findall("td[@class='hand']")) == 3 for t in logs for row in t.findall("tbody/tr"))
    assert not any("*" in said(t) for t in logs)


def test_of_many_units_built_alike_there_is_one_sheet_to_write_the_unit_on():
    many = TEXT + "".join(f"unit AH-{n} is one, number {n}\n" for n in range(3, 16))
    root = read(page(compiled(many)))
    captions = [said(t.find("caption")) for t in root.iter("table") if "signed" in (t.get("class") or "")]
    assert [re.sub(r"\d+", "#", caption) for caption in captions if "Lockout" in caption] == ["Lockout: # rows"]
    text = said(root.find("body"))
    assert "Unit: " in text and "One sheet for 15 units built alike: AH-1, AH-2, AH-3," in text
    assert "lists/lockout-by-unit.csv" in text


def test_nothing_from_elsewhere_and_no_script():
    html = page(job(AQUARIUM))
    urls = set(re.findall(r"(?:https?:)?//[\w.-]+[^\"' <)]*", html))
    assert urls == {"http://www.w3.org/2000/svg"}
    root = read(html)
    assert not [e for e in root.iter() if e.tag.endswith("script")]
    sources = [(e.tag, key, v) for e in root.iter() for key, v in e.items() if key in ("src", "href")]
    assert all(value.startswith("#") or value == "data:," for _, _, value in sources)
    assert "@import" not in html and "url(" not in html
    assert "default-src &#39;none&#39;" in html or "default-src 'none'" in html


@pytest.mark.parametrize("note", WICKED)
def test_text_of_the_file_stays_text(note):
    batch = wicked_job(note)
    html = page(batch, Options(revision=note, date=note))
    root = read(html)
    plain = said(read(page(wicked_job("plain"), Options("plain", "plain"))).find("body"))
    tags = [e.tag for e in root.iter()]
    assert "script" not in tags and f"{SVG}script" not in tags and "img" not in tags
    assert tags.count("style") == 1
    shown = " ".join(note.replace("\u202e", "\ufffd").split())
    assert said(root.find("body/header/h1")) == shown
    assert said(root.find("head/title")) == shown
    assert said(root.find("body/header/dl/div/dd")) == shown
    page_text = said(root.find("body"))
    assert page_text.count(shown) > 5 and "\u202e" not in said(root.find("body/header"))
    assert len(page_text) > len(plain) / 2


def test_metric():
    batch = job(AQUARIUM)
    root = read(page(batch, Options(units="metric")))
    (bill,) = (t for t in root.iter("table") if said(t.find("caption")).startswith("Bill of materials:"))
    wanted = in_metric(batch.tables(["bill"])[0])
    sizes = [said(row.findall("td")[2]) for row in bill.findall("tbody/tr")]
    assert sizes == [row.cells["size"] for row in wanted.rows] and "DN 100" in sizes


def test_a_file_that_does_not_compile_shows_its_findings_alone():
    batch = compiled("typical one\n    coil CC on nothing\n")
    assert batch.broken
    root = read(page(batch))
    found = [said(e) for e in root.iter("li") if (e.get("id") or "").startswith("finding-")]
    assert len(found) == len(batch.findings) > 0
    assert not list(root.iter(f"{SVG}svg"))


def test_several_files():
    batch = compile_files([AQUARIUM, EXAMPLES / "one-coil.hookup"])
    root = read(page(batch))
    assert said(root.find(".//h1")).count(" / ") == 1
    sheets = [said(h) for h in root.iter("h3") if said(h).startswith("Checker's table")]
    assert len(sheets) == 2 and len(set(sheets)) == 2


def test_markup_for_the_head_goes_there():
    html = page(compiled(AQUARIUM.read_text(encoding="utf-8")), head='<script src="live.js"></script>')
    assert '<script src="live.js"></script>\n</head>' in html and "Content-Security-Policy" not in html
