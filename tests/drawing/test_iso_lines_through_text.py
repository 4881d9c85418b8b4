"""Leaders and lines of dimensions keep clear of text, dimension texts among it, as far as there is room.

Labels are put greedily, so a few are crossed where pieces crowd; a fiftieth of the lines is what we allow.
"""

from pathlib import Path

import pytest
from coilwright import compile_file
from coilwright.drawing.isometric import isometrics
from coilwright.drawing.svg import Box, Stroke

EXAMPLES = Path(__file__).parents[2] / "examples"


def runs_through(line: Stroke, box: Box) -> bool:
    """Whether a line runs through the letters of a box, whose edges are 1.5 px of blank."""
    first, last = 0.0, 1.0
    dx, dy = line.x2 - line.x1, line.y2 - line.y1
    for step, room in (
        (-dx, line.x1 - box.x - 1.5),
        (dx, box.x + box.width - 1.5 - line.x1),
        (-dy, line.y1 - box.y - 1.5),
        (dy, box.y + box.height - 1.5 - line.y1),
    ):
        if not step:
            if room < 0:
                return False
        elif step < 0:
            first = max(first, room / step)
        else:
            last = min(last, room / step)
    return first < last


def test_the_check_tells_lines_apart():
    box = Box(10, 10, 20, 10, "label", "")
    assert runs_through(Stroke(0, 15, 40, 15), box) and runs_through(Stroke(0, 0, 30, 30), box)
    assert not runs_through(Stroke(0, 9, 40, 9), box) and not runs_through(Stroke(0, 15, 10, 15), box)


@pytest.mark.parametrize("name", ["aquarium-pair", "stacked-coils", "quarantine-measured"])
def test_few_lines_run_through_text(name):
    made = compile_file(EXAMPLES / f"{name}.hookup")
    through, many = [], 0
    for hookup in made.hookups:
        for drawing in isometrics(made.job, hookup):
            texts = [box for box in drawing.boxes if box.kind == "label"]
            many += len(drawing.thin)
            for line, own in drawing.thin:
                through += [
                    (drawing.title, box)
                    for box in texts
                    if (own is None or abs(box.x - own.x) + abs(box.y - own.y) > 0.02) and runs_through(line, box)
                ]
            for line, _ in drawing.thin:  # what is said below a figure begins below its lowest line
                legend = [box.y for box in texts if box.of == "legend"]
                assert not legend or max(line.y1, line.y2) < min(legend), drawing.title
            for pipe in drawing.pipes:
                assert not [box for box in texts if runs_through(pipe, box)], drawing.title
    assert many > 200 and len(through) <= many / 50, through
