"""Where nobody said how far two outlets are apart, no dimension stands: never one of nothing."""

from pathlib import Path

import pytest
from coilwright import Compilation, compile_file, compile_text
from coilwright.drawing.isometric import isometrics
from iso_checks import dimensions, texts

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.hookup"))

#: The first pipe has a length, that between the coil's outlets has none; the return is not measured at all.
OUTLETS = """\
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
unit AH-1, airflow left to right
    coil CC on chilled-water
        supply low at leaving side, 3 flanged
        return high at entering side, 3 flanged
    supply to CC, 3
        from main CHS
        down 4 ft
        left 3 ft
        butterfly valve BV-1, lug
        left
        vent 1/2
        drain 3/4
        test port
    return from CC, 3
        vent 1/2
        test port
        balancing valve FB-1
        butterfly valve BV-2, lug
        vent 1/2
        right
        up
        to main CHR
"""


def said(compilation: Compilation) -> list[str]:
    found = []
    for hookup in compilation.hookups:
        for drawing in isometrics(compilation.job, hookup):
            found += dimensions(drawing).elements()
            found += [text for group in texts(drawing, "dg-dimension") for text in group]
    return found


def is_of_nothing(text: str) -> bool:
    return text.strip("()").removesuffix(" c-c") in ("0 in", "0 ft", "0 ft 0 in", "under 1/32 in")


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_no_dimension_of_nothing_in_the_examples(path: Path) -> None:
    assert not [text for text in said(compile_file(path)) if is_of_nothing(text)]


def test_no_dimension_between_outlets_that_nobody_placed() -> None:
    compilation = compile_text(OUTLETS)
    assert [f for f in compilation.findings if f.severity == "error"] == []
    closing = next(table for table in compilation.tables(["closing"]))
    assert [row for row in closing.rows if row.cells["how"] == "free on the pipe"], "nothing to look at"
    found = said(compilation)
    assert "4 ft" in found
    assert not [text for text in found if is_of_nothing(text)]
