"""Drawings of a metric pack speak metric, as its lists do; names of things keep the inches they are bought by."""

import re
from fractions import Fraction
from pathlib import Path
from xml.etree import ElementTree

from coilwright import compile_file
from coilwright.model.quantity import format_millimetres
from coilwright.pack.pictures import pictures

EXAMPLE = Path(__file__).parents[2] / "examples" / "quarantine-measured.hookup"
_INCHES = re.compile(r"\d (ft|in)\b")
_SVG = "{http://www.w3.org/2000/svg}"


def texts(drawing):
    return [text.text or "" for text in ElementTree.fromstring(drawing.svg()).iter(f"{_SVG}text")]


def test_no_feet_and_inches_in_a_metric_drawing():
    made = compile_file(EXAMPLE)
    hookup = made.hookups[0]
    drawn = pictures(made.job, hookup, [], metric=True)
    for drawing in (*drawn.lines, *drawn.lineups, *(one.figure for one in drawn.isometrics)):
        assert not [text for text in texts(drawing) if _INCHES.search(text)], drawing.title
    assert any(text.startswith("EL +") and text.endswith(" mm") for text in texts(drawn.isometrics[0].figure))
    assert any(text == "DN 80" for text in texts(drawn.lines[0]))
    for iso in drawn.isometrics:
        for table in iso.tables:
            sized = table.heads.index("Size")
            assert all(row.cells[sized].startswith("DN ") for row in table.rows), table.title
            if table.title.startswith("Cuts"):
                assert all(row.cells[2].split(" mm")[0].isdigit() for row in table.rows)


def test_dimensions_are_those_of_the_closing_list():
    made = compile_file(EXAMPLE)
    hookup = made.hookups[0]
    lengths = {format_millimetres(s.centres) for s in hookup.measured.straights if isinstance(s.centres, Fraction)}
    drawn = pictures(made.job, hookup, [], metric=True)
    lines = [one for one in drawn.isometrics if not one.is_spool]
    said = re.findall(r'class="dg-dimension".*?<text[^>]*>([^<]*)</text>', "".join(line.figure.svg() for line in lines))
    assert len(said) > 10 and set(said) <= lengths


def test_inch_pound_stays_as_it_was():
    made = compile_file(EXAMPLE)
    drawn = pictures(made.job, made.hookups[0], [])
    assert any(text.endswith(" ft 4 in") for text in texts(drawn.isometrics[0].figure))
    assert not [text for text in texts(drawn.isometrics[0].figure) if text.endswith(" mm")]
