"""The page in a browser: nothing on the console, nothing too wide for a phone, all pages in print, readable by all."""

import io
from pathlib import Path
from unicodedata import normalize

import pytest
from coilwright.batch import compile_files
from coilwright.pack import Options, page
from coilwright.takeoff import LISTS
from pack_browser import chromium, console, measured
from pack_jobs import AQUARIUM, EXAMPLES, wicked_job
from pypdf import PdfReader


@pytest.fixture(scope="module")
def aquarium(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("page") / "index.html"
    path.write_text(page(compile_files([AQUARIUM]), Options("B", "2026-11-25")), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def unfinished(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("page") / "index.html"
    path.write_text(page(compile_files([EXAMPLES / "gallery-unfinished.hookup"])), encoding="utf-8")
    return path


def test_nothing_on_the_console(aquarium, unfinished, tmp_path):
    for one in (aquarium, unfinished):
        done = chromium(tmp_path, "--dump-dom", one.as_uri())
        assert "</html>" in done.stdout and not console(done)


def test_console_errors_are_seen(tmp_path):
    bad = tmp_path / "bad.html"
    bad.write_text("<!doctype html><script>throw new Error('seen')</script>", encoding="utf-8")
    assert any("seen" in line for line in console(chromium(tmp_path, "--dump-dom", bad.as_uri())))


WIDE = """
const root = doc.documentElement, out = [];
for (const e of doc.body.querySelectorAll('*')) {
    const box = e.getBoundingClientRect();
    if (box.right > root.clientWidth + 1 && box.width > 1 && !e.closest('.box') && !e.closest('.vh'))
        out.push(e.outerHTML.slice(0, 80));
}
const boxes = [...doc.querySelectorAll('.box')];
return {width: root.clientWidth, scroll: root.scrollWidth, out,
        scrolled: boxes.filter(b => b.scrollWidth > b.clientWidth + 1).length,
        stuck: boxes.filter(b => b.scrollWidth > b.clientWidth + 1 && b.tabIndex !== 0).length};
"""


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_nothing_is_wider_than_the_window(aquarium, unfinished, tmp_path, width):
    wicked = tmp_path / "wicked.html"
    wicked.write_text(page(wicked_job("x" * 300), Options("r" * 200, "d" * 200)), encoding="utf-8")
    for one in (aquarium, unfinished, wicked):
        found = measured(tmp_path, one, width, WIDE)
        assert found["width"] == width and found["scroll"] <= width and not found["out"], found
        assert found["stuck"] == 0
        assert found["scrolled"] > 3 or width > 1000  # wide lists are there, and scroll in their own box


def test_print_has_all_pages(aquarium, tmp_path):
    batch = compile_files([AQUARIUM])
    target = tmp_path / "print.pdf"
    chromium(tmp_path, f"--print-to-pdf={target}", "--no-pdf-header-footer", aquarium.as_uri())
    reader = PdfReader(io.BytesIO(target.read_bytes()))
    pages = ["".join(normalize("NFKC", p.extract_text()).split()) for p in reader.pages]  # a face may join f and l
    for table in batch.tables(list(LISTS)):
        if table.rows:
            title = "".join(table.title.split())
            assert sum(title in text for text in pages) > 1, table.name  # in the contents and on its own page
    tags = batch.tables(["tags"])[0].rows
    text = "".join(pages)
    assert all(row.cells["tag"] in text for row in tags)
    several = [text for text in pages if "Sheetstosign·Tags" in text]
    assert len(several) > 1 and all("Normally" in text for text in several[:-1])  # heads are repeated
    assert all("GA-3and2more·isometrics" in text for text in pages if "GA-3,GA-4,GA-5(each)" in text)
    assert f"page{len(pages)}of{len(pages)}" in pages[-1] and "revisionB,date2026-11-25" in pages[0]
    assert all(len(text) > 150 for text in pages), "a page with hardly anything on it"


RULES = """
const script = doc.createElement('script');
script.textContent = window.axeText;
return await new Promise(done => {
    doc.head.append(script);
    win.axe.run(doc, {resultTypes: ['violations']}).then(found => done({
        passes: found.passes.length,
        violations: found.violations.filter(v => ['serious', 'critical'].includes(v.impact))
            .map(v => v.id + ': ' + v.nodes.slice(0, 3).map(n => n.html.slice(0, 120)).join(' | '))}));
});
"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_serious(unfinished, tmp_path, axe, scheme):
    html = unfinished.read_text(encoding="utf-8")
    policy = html[html.index('<meta http-equiv="Content-Security-Policy"') :].split("\n", 1)[0]
    html = html.replace(policy, "")
    if scheme == "dark":
        assert "prefers-color-scheme: dark" in html
        html = html.replace("prefers-color-scheme: dark", "min-width: 1px")
    one = tmp_path / "page.html"
    one.write_text(html, encoding="utf-8")
    import json

    script = f"window.axeText = {json.dumps(axe).replace('</', '<' + chr(92) + '/')}; {RULES}"
    found = measured(tmp_path, one, 1000, script)
    assert found["passes"] > 20
    assert not found["violations"], "\n".join(found["violations"])
