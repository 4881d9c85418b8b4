"""What must hold of every isometric, whatever it shows; and reading one back from its SVG."""

import re
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from itertools import combinations
from xml.etree import ElementTree

from coilwright import Compilation
from coilwright.drawing.isometric import isometrics, left_out
from coilwright.drawing.svg import Drawing
from coilwright.model.hookup import Hookup
from coilwright.report.values import as_text

SVG = "{http://www.w3.org/2000/svg}"


def check_isometrics(compilation: Compilation, hookup: Hookup) -> list[Drawing]:
    """All that holds of each and of all together; the drawings."""
    drawings = isometrics(compilation.job, hookup)
    for drawing in drawings:
        check_sheet(drawing)
    if hookup.measured is None:
        assert drawings == [] and left_out(compilation.job, hookup)
        return drawings
    lines, spools = split(hookup, drawings)
    missing = left_out(compilation.job, hookup)
    assert len(lines) + len(spools) + len(missing) == len({s.line for s in hookup.measured.straights}) + len(
        compilation.job.spools(hookup).spools
    )
    check_dimensions(hookup, lines)
    check_welds(compilation, hookup, lines)
    check_spools(compilation, hookup, spools)
    check_bills(lines)
    return drawings


def check_sheet(drawing: Drawing) -> None:
    root = ElementTree.fromstring(drawing.svg())
    assert root.get("viewBox", "").startswith("0 0 ")
    assert (root.findtext(f"{SVG}title") or "").strip() and (root.findtext(f"{SVG}desc") or "").strip()
    for box in drawing.boxes:
        assert box.x >= 0 and box.y >= 0, box
        assert box.x + box.width <= drawing.width and box.y + box.height <= drawing.height, box
    for pipe in drawing.pipes:
        assert min(pipe.x1, pipe.x2) >= 0 and max(pipe.x1, pipe.x2) <= drawing.width, pipe
        assert min(pipe.y1, pipe.y2) >= 0 and max(pipe.y1, pipe.y2) <= drawing.height, pipe
    labels = [box for box in drawing.boxes if box.kind == "label"]
    for one, other in combinations(labels, 2):
        assert not one.meets(other), (one, other)
    for group in root.iter(f"{SVG}g"):
        if group.get("transform", "").startswith("matrix"):
            assert not list(group.iter(f"{SVG}text")), "a text is turned with its symbol"


def split(hookup: Hookup, drawings: list[Drawing]) -> tuple[dict[str, Drawing], dict[str, Drawing]]:
    """By line and by mark, as the lists name them; of several sheets one drawing of all that is on them."""
    number = hookup.units[0].number if len(hookup.units) == 1 else "*"
    named = {line.replace("*", number): line for line in hookup.lines}
    spools: dict[str, Drawing] = {}
    lines: dict[str, Drawing] = {}
    for drawing in drawings:
        title = re.sub(r", sheet \d+ of \d+$", "", drawing.title)
        if title.startswith("Isometric of spool "):
            into, key = spools, title.removeprefix("Isometric of spool ")
        else:
            into, key = lines, named[title.split(": ", 1)[1]]
        into[key] = replace(into[key], body=into[key].body + drawing.body) if key in into else drawing
    return lines, spools


def texts(drawing: Drawing, of: str) -> list[list[str]]:
    """The texts of every group of a class, group by group."""
    root = ElementTree.fromstring(drawing.svg())
    return [
        [text.text or "" for text in group.iter(f"{SVG}text")]
        for group in root.iter(f"{SVG}g")
        if group.get("class") == of
    ]


def dimensions(drawing: Drawing) -> Counter[str]:
    """Beside the pipe, and those that found no room there."""
    beside = Counter(
        text.removesuffix(" c-c")
        for group in texts(drawing, "dg-dimension")
        for text in group
        if not text.startswith("(")  # stands on the sheet before it already
    )
    led = [text for group in texts(drawing, "dg-label") for text in group if text.endswith(" c-c")]
    return beside + Counter(text.removesuffix(" c-c") for text in led)


def check_dimensions(hookup: Hookup, lines: dict[str, Drawing]) -> None:
    """Every length is that of a straight of the closing table, and no straight of the line itself is without."""
    assert hookup.measured is not None
    for line, drawing in lines.items():
        own = [s for s in hookup.measured.straights if s.line == line]
        closing = Counter(as_text(s.centres, "ft-in") for s in own)
        said = dimensions(drawing)
        assert said <= closing, (line, said - closing)
        need = Counter(
            as_text(s.centres, "ft-in")
            for s in own
            if s.port_a not in ("branch", "bypass") and s.run and not is_nothing(s.centres)
        )
        on_branches = Counter(as_text(s.centres, "ft-in") for s in own if s.taken)
        assert need - on_branches <= said, (line, need - said)


def is_nothing(length: object) -> bool:
    """Whether it is too short to be dimensioned."""
    return isinstance(length, Fraction) and abs(length) < Fraction(1, 32)


def rings(drawing: Drawing) -> set[str]:
    """The item numbers that stand in rings."""
    root = ElementTree.fromstring(drawing.svg())
    made = set()
    for group in root.iter(f"{SVG}g"):
        if group.get("class") == "dg-label" and group.find(f"{SVG}circle") is not None:
            text = group.find(f"{SVG}text")
            assert text is not None
            made.add(text.text or "")
    return made


def weld_numbers(drawing: Drawing) -> set[str]:
    """The weld numbers in the figure."""
    return {text for group in texts(drawing, "dg-label") for text in group if text[:1] == "W" and text[1:].isdigit()}


def rows(drawing: Drawing) -> list[list[str]]:
    """The rows of its tables, each as the texts that stand in it."""
    return texts(drawing, "dg-row")


def check_welds(compilation: Compilation, hookup: Hookup, lines: dict[str, Drawing]) -> None:
    """All lines together show the welds of the list, each in its line, as often in the table."""
    for line, drawing in lines.items():
        listed = {f"W{weld.number}": weld for weld in compilation.job.welds(hookup) if weld.line == line}
        assert weld_numbers(drawing) == set(listed), line
        in_table = {row[0]: row[-1] for row in rows(drawing) if row[0] in listed}
        assert in_table == {name: "field" if weld.field else "shop" for name, weld in listed.items()}


def check_spools(compilation: Compilation, hookup: Hookup, spools: dict[str, Drawing]) -> None:
    """A spool shows the numbers of its sheet: every item in a ring, every weld that its pieces name."""
    (table,) = compilation.tables(["spool-pieces"])
    number = hookup.units[0].number if len(hookup.units) == 1 else "*"
    tag = hookup.units[0].tag if hookup.units else ""
    for spool in compilation.job.spools(hookup).spools:
        mark = spool.mark.replace("*", number)
        drawing = spools.get(mark)
        if drawing is None:
            continue
        listed = [row for row in table.rows if row.cells["spool"] in (spool.mark, mark)]
        listed = [row for row in listed if tag in str(row.cells["units"])] or listed
        assert rings(drawing) == {str(row.cells["item"]) for row in listed}, mark
        welds = {str(weld).split()[0] for row in listed for weld in (row.cells["welds"] or ())}
        assert weld_numbers(drawing) == welds, mark


def check_bills(lines: dict[str, Drawing]) -> None:
    """Every item of a line's bill stands in a ring at least, and at most, as often as it is counted."""
    for line, drawing in lines.items():
        counted: Counter[str] = Counter()
        for group in texts(drawing, "dg-label"):
            if group and group[0] in rings(drawing) and group[0].isdigit():
                counted[group[0]] += 1
        bill: Counter[str] = Counter()
        for row in rows(drawing):
            if row[0].isdigit():
                bill[row[0]] += int(row[-1])
        assert counted == bill, line
