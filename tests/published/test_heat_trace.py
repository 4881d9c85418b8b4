"""Heat that insulated pipe loses against M. Frankel, Facility Piping Systems Handbook, table 5.3."""

import pytest
from coilwright.catalogue.dimensions import outside
from coilwright.catalogue.heat_trace import cable, conductivities, heat_loss
from coilwright.catalogue.tables import decimal
from coilwright.model.size import size

SIZES = ("1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "4", "6", "8", "10", "12")
#: W/ft through 1/2 in of glass fiber, as printed, by the difference of temperature in F.
PRINTED = {
    10: (0.5, 0.6, 0.7, 0.8, 0.9, 1.1, 1.3, 1.5, 1.8, 2.6, 3.3, 4.1, 4.8),
    50: (2.5, 2.9, 3.5, 4.1, 4.8, 5.5, 6.5, 7.7, 9.6, 13.5, 17.2, 21.1, 24.8),
}
#: The book lets insulation conduct more at higher means, takes its real thicknesses and prints one decimal.
STRAY, ROUNDED, ON_AVERAGE = 0.06, 0.05, 0.02


@pytest.mark.parametrize("difference", PRINTED)
@pytest.mark.parametrize("number", range(len(SIZES)), ids=SIZES)
def test_heat_loss_as_the_handbook_prints_it(difference: int, number: int) -> None:
    od = outside(size(SIZES[number]), "carbon steel")
    assert od is not None
    ours = heat_loss(od, decimal("1/2"), conductivities()["glass fiber"], difference)
    printed = PRINTED[difference][number]
    assert abs(ours - printed) <= STRAY * printed + ROUNDED


def test_heat_loss_is_right_on_average() -> None:
    shares = []
    for nps, printed in zip(SIZES, PRINTED[50], strict=True):
        od = outside(size(nps), "carbon steel")
        assert od is not None
        shares.append(heat_loss(od, decimal("1/2"), conductivities()["glass fiber"], 50) / printed)
    assert sum(shares) / len(shares) == pytest.approx(1, abs=ON_AVERAGE)


@pytest.mark.parametrize(
    ("name", "factor"),
    [
        ("glass fiber", 1.0),
        ("calcium silicate", 1.5),
        ("cellular glass", 1.6),
        ("polyurethane", 0.66),
        ("flexible elastomer", 1.16),
        ("mineral fiber", 1.2),
        ("perlite", 1.5),
    ],
)
def test_the_handbook_s_factors_are_its_conductivities(name: str, factor: float) -> None:
    known = conductivities()
    assert known[name] / known["glass fiber"] == pytest.approx(factor, rel=0.01)


def test_the_example_of_a_book_takes_the_next_cable() -> None:
    """NPS 4 in 1/2 in of glass fiber, 50 F colder outside: 9.6 W/ft; with PIP ELCGL01's margin 12 W/ft, in two runs."""
    od = outside(size("4"), "carbon steel")
    assert od is not None
    loss = 1.25 * heat_loss(od, decimal("1/2"), 0.25, 50)
    assert loss == pytest.approx(12.0, abs=0.1)
    assert cable(loss) == (2, 8)
