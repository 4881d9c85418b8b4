"""When there is colour."""

import io

import pytest
from coilwright.report.colour import ansi_paint, no_paint, paint_for


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("stream", "environ", "coloured"),
    [
        (Terminal(), {}, True),
        (Terminal(), {"TERM": "dumb"}, False),
        (Terminal(), {"NO_COLOR": "1"}, False),
        (Terminal(), {"NO_COLOR": ""}, True),
        (io.StringIO(), {}, False),
        (io.StringIO(), {"FORCE_COLOR": "1"}, True),
        (io.StringIO(), {"FORCE_COLOR": "0"}, False),
        (Terminal(), {"FORCE_COLOR": "1", "NO_COLOR": "1"}, False),
    ],
)
def test_colour(stream: io.StringIO, environ: dict[str, str], coloured: bool) -> None:
    assert paint_for(stream, environ) is (ansi_paint if coloured else no_paint)
