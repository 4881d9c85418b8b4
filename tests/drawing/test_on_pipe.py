"""Hangers, floors and walls of the file are on the pipes of line diagrams, each once, between the right things."""

from collections import Counter
from pathlib import Path
from xml.etree import ElementTree

import pytest
from coilwright import compile_file
from coilwright.drawing.cells import OnPipe, Placed
from coilwright.drawing.diagram import both_hands
from coilwright.drawing.layout import lay_out

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.hookup")), ids=lambda path: path.stem)
def test_each_once(path):
    for hookup in compile_file(path).hookups:
        said = Counter(
            "through" if move.through else "hanger"
            for component in hookup.components()
            if component.pipe is not None
            for move in component.pipe.moves
            if move.mark or move.through
        )
        for drawing in both_hands(hookup):
            root = ElementTree.fromstring(drawing.svg())
            titles = [element.text or "" for element in root.iter("{http://www.w3.org/2000/svg}title")]
            shown = Counter(
                "through" if t.startswith("through ") else "hanger"
                for t in titles
                if t and (t.startswith("through ") or t == "hanger")
            )
            assert shown == said, drawing.title


def test_a_hanger_stands_between_what_the_file_says():
    hookup = compile_file(EXAMPLES / "quarantine-measured.hookup").hookups[0]
    parts = lay_out(hookup).parts
    places = {p.component.tag: (p.x, p.y) for p in parts if isinstance(p, Placed) and p.component and p.component.tag}
    (x1, y), (x2, _) = places["FB-*01"], places["BV-*02"]
    assert [p for p in parts if isinstance(p, OnPipe) and p.y == y and min(x1, x2) < p.x < max(x1, x2)]
