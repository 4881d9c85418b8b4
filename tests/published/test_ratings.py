"""What parts bear, against prints and formulas outside the project."""

import pytest
from coilwright.catalogue.dimensions import copper_tube
from coilwright.catalogue.ratings import pressure_rating
from coilwright.model.size import size

#: One size of each range of the joint table.
SIZES = ("1", "2", "4", "8", "12")


@pytest.mark.parametrize(
    ("alloy", "deg_f", "printed"),
    [
        ("95-5", 100, (1090, 850, 705, 660, 500)),
        ("95-5", 150, (625, 485, 405, 375, 285)),
        ("95-5", 200, (505, 395, 325, 305, 230)),
        ("50-50", 100, (200, 175, 150, 135, 100)),
        ("50-50", 200, (100, 90, 75, 70, 50)),
    ],
)
def test_soldered_joints_as_an_installation_guide_prints_them(alloy: str, deg_f: int, printed: tuple[int, ...]) -> None:
    """The guide of a water flow detector, page 7, after ASME B16.22 and B16.18. Our rows were read elsewhere."""
    assert tuple(pressure_rating("solder joint", alloy, deg_f, size(nps)) for nps in SIZES) == printed


#: Copper Tube Handbook, working pressure of type M at 100 F, annealed, S = 6000 psi.
TYPE_M = {"1/2": 494, "3/4": 407, "1": 337, "2": 299, "3": 253, "4": 251, "6": 218}


def by_formula(nps: str, wall: str) -> float:
    """2 S t / (D - 0.8 t) with S = 6000 psi and the nominal wall."""
    tube = copper_tube(size(nps), wall)
    assert tube is not None
    t, outside = float(tube.wall), float(tube.od)
    return 2 * 6000 * t / (outside - 0.8 * t)


@pytest.mark.parametrize("nps", TYPE_M)
def test_the_formula_gives_what_is_printed_of_type_m(nps: str) -> None:
    """The printed figures are of the thinnest wall that ASTM B88 allows: up to 15 % below the nominal one."""
    assert 0.85 < TYPE_M[nps] / by_formula(nps, "M") < 1


@pytest.mark.parametrize("nps", ["1/4", "3/8", "1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "4", "5", "6"])
def test_copper_fittings_bear_what_annealed_type_l_does_by_the_formula(nps: str) -> None:
    bears = pressure_rating("ASME B16.22", "L annealed", 100, size(nps))
    assert bears is not None
    assert 0.85 < bears / by_formula(nps, "L") < 1


def test_iron_fittings_bear_twice_their_steam_class_cold() -> None:
    """A fire protection page: class 125 gray iron 175 psi and class 250 400 psi to 150 F; class 150 malleable 300."""
    cold = [pressure_rating("ASME B16.4", c, 100) for c in ("125", "250")]
    assert [*cold, pressure_rating("ASME B16.3", "150", 100)] == [175, 400, 300]


def test_malleable_class_300_falls_with_size_and_heat() -> None:
    """ASME B16.3: 2000, 1500 and 1000 psi by size to 150 F; larger sizes are not in the standard."""
    found = [pressure_rating("ASME B16.3", "300", 100, size(nps)) for nps in ("1", "1-1/4", "2", "3", "4")]
    assert found == [2000, 1500, 1500, 1000, None]
    assert pressure_rating("ASME B16.3", "300", 100) is None, "rated by size, and none is given"
    hot = [pressure_rating("ASME B16.3", "300", deg_f, size("2")) for deg_f in (150, 200, 250, 400)]
    assert hot == [1500, 1350, 1200, None]
