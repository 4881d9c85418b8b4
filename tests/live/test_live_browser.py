"""The live page as a reader has it: in a real browser, by mouse, by keyboard and on a phone."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from browser import Tab, chromium, needs_chromium

pytestmark = needs_chromium

EXAMPLES = Path(__file__).parents[2] / "examples"
GOOD = (EXAMPLES / "one-coil.hookup").read_text()
MEASURED = (EXAMPLES / "quarantine-measured.hookup").read_text()
HOME = "document.querySelector('meta[name=live-page]').content"
WHOLE = f"!{HOME}.endsWith('-part')"


@pytest.fixture(scope="module")
def tab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Tab]:
    with chromium(tmp_path_factory.mktemp("profile")) as made:
        yield made


@pytest.fixture
def file(tab: Tab, serve, tmp_path: Path) -> Iterator[Path]:
    """A file that is shown in the browser."""
    made = tmp_path / "one.hookup"
    made.write_text(GOOD)
    with serve(made) as (address, _):
        tab.troubles.clear()
        tab.size(1200, 900)
        tab.open(address)
        tab.until("document.querySelector('#live-said').textContent.includes('finding')")
        yield made
        tab.open("about:blank")  # before the server ends, which is a trouble to the page
    assert tab.troubles == []


def saved(tab: Tab, file: Path, text: str) -> None:
    before = tab.ask(HOME)
    file.write_text(text)
    tab.until(f"{HOME} !== {before!r} && {WHOLE}")


def test_a_symbol_lights_up_its_rows(tab: Tab, file: Path) -> None:
    tab.point_at("#line-diagrams g[data-at]")
    tab.until("document.querySelector('tr.lit') && document.querySelector('g.lit > .halo')")
    alone = tab.ask(
        "(() => { const own = document.querySelector('g.lit-from').dataset.at.split(' ')[0];"
        " return [...document.querySelectorAll('tr[data-at]')].every("
        "(row) => row.classList.contains('lit') === row.dataset.at.split(' ').includes(own)); })()"
    )
    assert alone


def test_a_row_lights_up_its_symbols(tab: Tab, file: Path) -> None:
    tab.point_at("#valves ~ .box tr[data-at] td")
    tab.until("document.querySelector('#line-diagrams g.lit')")
    alone = tab.ask(
        "(() => { const own = document.querySelector('tr.lit-from').dataset.at.split(' ');"
        " return [...document.querySelectorAll('svg g[data-at]')].every("
        "(one) => one.classList.contains('lit') === own.includes(one.dataset.at.split(' ')[0])); })()"
    )
    assert alone


def test_by_keyboard(tab: Tab, file: Path) -> None:
    tab.ask("document.querySelector('#valves ~ .box tr[data-at]').focus(), 0")
    tab.press("ArrowDown")
    assert tab.ask("document.activeElement === document.querySelectorAll('#valves ~ .box tr[data-at]')[1]")
    tab.press("Enter")
    assert tab.ask("document.activeElement.matches('svg g[data-at].lit')")
    assert tab.ask("document.activeElement.getAttribute('aria-label')")
    assert "Lit up: " in tab.ask("document.querySelector('#live-lit[role=status]').textContent")
    tab.press("Escape")
    assert tab.ask("document.activeElement === document.querySelectorAll('#valves ~ .box tr[data-at]')[1]")
    assert tab.ask("document.querySelector('#live-lit').textContent") == ""


def test_a_save_keeps_the_place(tab: Tab, file: Path) -> None:
    tab.ask("document.querySelector('#valves').scrollIntoView(), 0")
    tab.ask("document.querySelectorAll('#valves ~ .box tr[data-at]')[1].click(), 0")
    top = "document.querySelector('#valves').getBoundingClientRect().top"
    was = tab.ask(top)
    saved(tab, file, f"# one more line\n{GOOD}")
    assert abs(tab.ask(top) - was) < 3
    assert tab.ask("document.querySelectorAll('#valves ~ .box tr[data-at]')[1].matches('.lit-from')")
    saved(tab, file, GOOD.replace("BV-", "BV-9"))
    assert abs(tab.ask(top) - was) < 3
    assert tab.ask("document.body.textContent.includes('BV-9')")


def test_what_does_not_compile_is_told_above_the_last_good_page(tab: Tab, file: Path) -> None:
    page = tab.ask(HOME)
    file.write_text(GOOD.replace("\n    coil ", "\n    coyl <img src=x onerror=alert(1)> ", 1))
    tab.until("document.querySelector('#live.stale #live-wrong:not([hidden]) article')")
    assert tab.ask("document.querySelector('#live-wrong').textContent.includes('<img src=x')")
    assert tab.ask("document.querySelectorAll('img').length") == 0
    assert tab.ask(HOME) == page and tab.ask("document.querySelectorAll('#line-diagrams svg').length") > 0
    file.write_text(GOOD)
    tab.until("!document.querySelector('#live.stale') && document.querySelector('#live-wrong').hidden")


def test_on_a_phone(tab: Tab, file: Path) -> None:
    tab.size(390, 844)
    assert tab.ask("document.documentElement.scrollWidth") == 390
    tab.ask("document.querySelector('#valves ~ .box tr[data-at]').click(), 0")
    assert tab.ask("document.documentElement.scrollWidth") == 390
    tab.ask("[...document.querySelectorAll('#live button')].find((b) => b.textContent === 'Next').click(), 0")
    assert tab.ask("document.activeElement.matches('svg .lit')")
    top, bottom = tab.ask("(({ top, bottom }) => [top, bottom])(document.activeElement.getBoundingClientRect())")
    assert top > 0 and bottom < 844
    file.write_text("coyl " + "x" * 300)
    tab.until("document.querySelector('#live.stale')")
    assert tab.ask("document.documentElement.scrollWidth") == 390


def test_light_and_dark_can_be_read(tab: Tab, file: Path) -> None:
    colours = []
    for scheme in ("light", "dark"):
        tab.call("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": scheme}])
        tab.ask("document.querySelector('#valves ~ .box tr[data-at]').click(), 0")
        found = tab.ask(
            "['#live', 'tr.lit'].map((s) => { const c = getComputedStyle(document.querySelector(s));"
            " return [c.color, c.backgroundColor]; })"
        )
        assert all(contrast(*pair) >= 4.5 for pair in found), found  # WCAG 2.2, 1.4.3
        colours.append(found)
        tab.press("Escape")
    tab.call("Emulation.setEmulatedMedia", features=[])
    assert colours[0] != colours[1]


def contrast(first: str, second: str) -> float:
    """The contrast ratio of two opaque colours (WCAG 2.2, definition of contrast ratio)."""

    def luminance(colour: str) -> float:
        parts = [int(part) / 255 for part in colour.removeprefix("rgb(").removesuffix(")").split(",")]
        red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


AXE_RUN = """
axe.run(document, {resultTypes: ['violations']}).then(found => ({
    passes: found.passes.length,
    violations: found.violations.filter(v => ['serious', 'critical'].includes(v.impact))
        .map(v => v.id + ': ' + v.nodes.slice(0, 3).map(n => n.html.slice(0, 120)).join(' | '))}))
"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("state", ["plain", "lit", "broken"])
def test_axe_finds_nothing_serious(tab: Tab, file: Path, axe: str, scheme: str, state: str) -> None:
    """As it stands, with a row lit up, and with a file that does not compile on top of the last good page."""
    saved(tab, file, MEASURED)
    tab.call("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": scheme}])
    if state == "lit":
        tab.point_at("#valves ~ .box tr[data-at] td")
        tab.until("document.querySelector('#line-diagrams g.lit')")
    elif state == "broken":
        file.write_text(MEASURED + "\n    nonsense here\n")
        tab.until("document.querySelector('#live-said').textContent.includes('error')")
    tab.ask(f"{axe}; 0")
    found = tab.ask(AXE_RUN)
    tab.call("Emulation.setEmulatedMedia", features=[])
    assert found["passes"] > 20
    assert not found["violations"], "\n".join(found["violations"])
