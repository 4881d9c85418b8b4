"""What must hold of every line diagram, whatever hookup it shows."""

from collections.abc import Iterator
from itertools import combinations
from xml.etree import ElementTree

from coilwright.analysis.sections import Sections
from coilwright.drawing.cells import Label, Mark, Pipe, Placed
from coilwright.drawing.diagram import both_hands, lineup_diagrams
from coilwright.drawing.layout import Layout, lay_out
from coilwright.drawing.svg import Box, Drawing
from coilwright.model.hookup import Hookup

SVG = "{http://www.w3.org/2000/svg}"


def all_drawings(hookup: Hookup, findings=()) -> Iterator[Drawing]:
    numbered = [(n, finding) for n, finding in enumerate(findings, 1)]
    yield from both_hands(hookup, findings=numbered)
    yield from lineup_diagrams(hookup, Sections(hookup))


def check_drawing(drawing: Drawing) -> None:
    root = ElementTree.fromstring(drawing.svg())
    assert root.get("role") == "img"
    assert (root.findtext(f"{SVG}title") or "").strip() and (root.findtext(f"{SVG}desc") or "").strip()
    for box in drawing.boxes:
        assert box.x >= 0 and box.y >= 0, box
        assert box.x + box.width <= drawing.width and box.y + box.height <= drawing.height, box
    coils = {box.of for box in drawing.boxes if box.kind == "symbol" and box.width > 60}
    for one, other in combinations(drawing.boxes, 2):
        if one.of == other.of and one.of in coils:
            continue  # what is written in a coil; `check_coils` looks at that
        assert not one.meets(other), (one, other)
    for group in root.iter(f"{SVG}g"):
        if group.get("transform", "").startswith("matrix"):
            assert not list(group.iter(f"{SVG}text")), "a text is turned with its symbol"


def check_coils(drawing: Drawing) -> None:
    """What is written in a coil stays in it, side by side."""
    frames = {box.of: box for box in drawing.boxes if box.kind == "symbol" and box.width > 60}
    for of, frame in frames.items():
        inside = [box for box in drawing.boxes if box.of == of and box.kind != "symbol"]
        assert inside, "a coil without a name"
        for box in inside:
            assert box.x >= frame.x and box.x + box.width <= frame.x + frame.width
            assert box.y >= frame.y and box.y + box.height <= frame.y + frame.height
        for one, other in combinations(inside, 2):
            assert not one.meets(other), (one, other)


def check_layout(layout: Layout) -> None:
    """No pipe runs through a label or a number, nor through a symbol that does not stand on it."""
    pipes = [part for part in layout.parts if isinstance(part, Pipe) and not part.arrow]
    for part in layout.parts:
        if isinstance(part, Label):
            box = Box(part.x, part.y, part.width, part.height, "label", part.of)
        elif isinstance(part, Mark):
            box = Box(part.x - 6.5, part.y - 6.5, 13, 13, "mark", part.of)
        elif isinstance(part, Placed):
            left, right, up, down = part.turn.reach(part.symbol)
            box = Box(part.x - left, part.y - up, left + right, up + down, "symbol", part.symbol.name)
        else:
            continue
        for pipe in pipes:
            if box.meets(_as_box(pipe)):
                assert isinstance(part, Placed) and _lies_on(part.x, part.y, pipe), (part, pipe)


def check_uprights(layout: Layout) -> None:
    """An upright pipe meets symbols at its two ends only."""
    for x, high, low in layout.uprights:
        for part in layout.parts:
            if isinstance(part, Placed) and high + 0.1 < part.y < low - 0.1:
                left, right, _, _ = part.turn.reach(part.symbol)
                assert not part.x - left < x < part.x + right, (part, x)


def _as_box(pipe: Pipe) -> Box:
    x, y = min(pipe.x1, pipe.x2), min(pipe.y1, pipe.y2)
    return Box(x, y, abs(pipe.x1 - pipe.x2) or 0.03, abs(pipe.y1 - pipe.y2) or 0.03, "symbol", "")


def _lies_on(x: float, y: float, pipe: Pipe) -> bool:
    box = _as_box(pipe)
    return box.x - 0.1 <= x <= box.x + box.width + 0.1 and box.y - 0.1 <= y <= box.y + box.height + 0.1


def check_hands(hookup: Hookup) -> None:
    """As built, every symbol stands where as drawn it does, counted from the other side."""
    if not hookup.mirrored:
        return
    drawn, built = both_hands(hookup)
    assert (drawn.width, drawn.height) == (built.width, built.height)
    mirrored = sorted(
        (round(drawn.width - box.x - box.width, 2), round(box.y, 2), round(box.width, 2), round(box.height, 2), box.of)
        for box in drawn.boxes
        if box.kind == "symbol"
    )
    assert mirrored == sorted(
        (round(box.x, 2), round(box.y, 2), round(box.width, 2), round(box.height, 2), box.of)
        for box in built.boxes
        if box.kind == "symbol"
    )
    assert len(mirrored) > 1


def check_hookup(hookup: Hookup, findings=()) -> None:
    for drawing in all_drawings(hookup, findings):
        check_drawing(drawing)
        check_coils(drawing)
    layout = lay_out(hookup)
    check_layout(layout)
    check_uprights(layout)
    check_hands(hookup)
