"""Every snippet of the language page parses, and is a sound hookup once the services it leaves out stand in front."""

import re
import runpy
from pathlib import Path

import pytest
from coilwright.api import compile_text
from coilwright.catalogue.kinds import shipped_kinds
from coilwright.catalogue.library import SPEC_NAMES, shipped_assemblies
from coilwright.model.kind import ABILITIES
from coilwright.source.parser import parse_text
from coilwright.source.reader import DictReader

PAGE = (Path(__file__).parents[2] / "docs/language.md").read_text(encoding="utf-8")
SNIPPETS = re.findall(r"^```hookup\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
SERVICES = {
    "chilled-water": "water",
    "hot-water": "water",
    "well-water": "water",
    "chilled-glycol": "propylene glycol, 30 % by volume",
}
#: Snippets show a part of a coil's trim: what they leave out of the rest is no fault of theirs.
FRAGMENTS = sorted(runpy.run_path(str(Path(__file__).parents[1] / "rules" / "hookups.py"))["LEFT_OUT"])
SHOP = DictReader({"shop.hookup": "spec shop, like steel-welded\n    weld gap 3/32 in\n"})


def whole(snippet: str) -> str:
    """The snippet with the services it speaks of and does not declare."""
    missing = [name for name in SERVICES if f"on {name}" in snippet and f"service {name}" not in snippet]
    graded = "".join(f"    {rule} is note\n" for rule in FRAGMENTS)
    services = "".join(f"service {name}\n    {SERVICES[name]}\n    spec steel-welded\n" for name in missing)
    return f"rules\n{graded}{services}{snippet}"


def test_the_page_has_snippets_of_every_form() -> None:
    starts = {
        line.split()[0] for snippet in SNIPPETS for line in snippet.splitlines() if line and not line[0].isspace()
    }
    assert starts == {
        "project", "use", "service", "spec", "kind", "lengths", "weights", "assembly", "typical", "unit", "takeoff",
        "rules",
    }  # fmt: skip


@pytest.mark.parametrize("snippet", SNIPPETS, ids=lambda s: s.strip().splitlines()[0][:30])
def test_snippet_parses(snippet: str) -> None:
    tree, findings = parse_text(snippet, "snippet.hookup")
    assert not findings
    assert tree.statements


@pytest.mark.parametrize("snippet", SNIPPETS, ids=lambda s: s.strip().splitlines()[0][:30])
def test_snippet_compiles(snippet: str) -> None:
    found = [f for f in compile_text(whole(snippet), reader=SHOP).findings if f.severity != "note"]
    assert [f.message for f in found if f.rule != "nothing-to-compile"] == []
    hookups = "unit " in snippet or "typical " in snippet
    assert ("nothing-to-compile" in {f.rule for f in found}) != hookups


def test_the_first_file_of_the_page_has_no_findings() -> None:
    compilation = compile_text(SNIPPETS[0])
    assert [f.message for f in compilation.findings if f.severity != "note"] == []
    assert len(compilation.hookups) == 1


def test_the_rules_snippet_accepts_what_its_hookup_lacks() -> None:
    (snippet,) = [s for s in SNIPPETS if s.startswith("rules")]
    compilation = compile_text(whole(snippet))
    assert [f.rule for f in compilation.findings if f.severity != "note"] == []
    assert [f.rule for f in compilation.accepted] == ["vent-missing"]


def test_the_page_names_what_there_is() -> None:
    put_in = {"reducing tee", "welded outlet", "threaded outlet", "45 elbow", "coil", "main"}
    for name in (*shipped_kinds(), *ABILITIES, *SPEC_NAMES, *(a for a in shipped_assemblies())):
        if name not in put_in:
            assert f"`{name}`" in PAGE, name
