"""Solder by the joint against geometry and another printing of the handbook's table."""

from math import pi

import pytest
from coilwright.catalogue.dimensions import copper_tube
from coilwright.catalogue.soldering import FLUX_SHARE, solder
from coilwright.catalogue.tables import table
from coilwright.model.size import find_size, size

ROWS = [row for row in table("solder") if find_size(row["nominal"]) is not None]
#: Tin with silver or a little copper: 7.36 g/cm3.
LB_PER_IN3 = 0.266


@pytest.mark.parametrize("row", ROWS, ids=lambda row: str(row["nominal"]))
def test_a_joint_is_a_ring_ten_mils_thick(row: dict[str, str]) -> None:
    nominal = size(row["nominal"])
    tube = copper_tube(nominal, "L")
    needed = solder(nominal, "95-5")
    assert needed is not None
    od = float(tube.od) if tube is not None else float(nominal.inches) + 0.125
    assert sum(needed) == pytest.approx(pi * od * float(row["cup_in"]) * 0.010 * LB_PER_IN3, rel=0.005)
    assert needed.net == needed.waste


@pytest.mark.parametrize(("nominal", "pounds"), [("1/2", 0.261), ("3/4", 0.548), ("1-1/4", 1.115), ("1-1/2", 1.480)])
def test_an_older_printing_of_the_table(nominal: str, pounds: float) -> None:
    needed = solder(size(nominal), "50-50")
    assert needed is not None and 100 * sum(needed) == pytest.approx(pounds)


@pytest.mark.parametrize(("nominal", "inches"), [("1/2", 0.4), ("3/4", 0.84), ("1", 1.311), ("2", 3.645), ("4", 11.41)])
def test_average_consumption_of_wire(nominal: str, inches: float) -> None:
    """Inches of 1/8 in wire (0.01227 in3 an inch) at 0.005 in, which the older printing calls the average."""
    needed = solder(size(nominal), "95-5")
    assert needed is not None and needed.net == pytest.approx(inches * 0.01227 * LB_PER_IN3, rel=0.005)


def test_two_ounces_of_flux_a_pound() -> None:
    assert 16 * FLUX_SHARE == 2


def test_brazing_rod_is_not_in_the_table() -> None:
    assert solder(size("1"), "BCuP-5") is None
