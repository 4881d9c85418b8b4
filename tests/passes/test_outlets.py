"""What stands beside an outlet on the pipe: the pipe's other end is made ready for it, on either side alike."""

import pytest

from .hookups import chain, compiled


@pytest.mark.parametrize(
    ("spec", "port", "valve", "joint"),
    [
        ("steel-grooved", "3 grooved", "butterfly valve BV-1, grooved", "grooved"),
        ("steel-welded", "3 flanged", "ball valve BV-1, threaded", "threaded"),
    ],
)
def test_an_outlet_joins_the_same_before_and_behind_a_valve(spec: str, port: str, valve: str, joint: str) -> None:
    made = compiled(f"drain\n{valve}\ntest port", port=port, size="3", spec=spec)
    along = chain(made)
    at = next(number for number, said in enumerate(along) if "BV-1" in said or said.startswith(valve.split(" BV")[0]))
    assert along[at - 1] == along[at + 1] == f"= {joint}"
    assert along[at - 2] == along[at + 2]
    assert "= not made up" not in along
