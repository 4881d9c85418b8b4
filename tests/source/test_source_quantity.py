"""Quantities into the tool's own units, and what is said of those that are none."""

from __future__ import annotations

from fractions import Fraction

import pytest
from coilwright.model.quantity import _INSIDE, _UNITS, Dimension, QuantityProblem, format_feet_inches, read_quantity
from hypothesis import given
from hypothesis import strategies as st

F = Fraction


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("3 ft 2-1/2 in", F(77, 2)),
        ("3 ft. 2-1/2 in.", F(77, 2)),
        ("3'-2 1/2\"", F(77, 2)),
        ("3′–2 ½″", F(77, 2)),
        ("3 ft 2½ in", F(77, 2)),
        ("2½ in", F(5, 2)),
        ("½ in", F(1, 2)),
        ("1 1/2 in", F(3, 2)),
        ("0.5 in", F(1, 2)),
        ("10 ft", F(120)),
        ("254 mm", F(10)),
        ("950 mm", F(9500, 254)),
        ("2.54 cm", F(1)),
        ("1 m", F(5000, 127)),
        ("0 ft", F(0)),
    ],
)
def test_lengths_are_exact(text: str, inches: Fraction) -> None:
    assert read_quantity(text, "length") == inches


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        # NIST SP 811 (2008), appendix B: 1 psi = 6894.757 Pa, 1 gal = 3.785412 L, 1 lb = 0.45359237 kg.
        ("8.6 bar", "pressure", 860000 / 6894.757293168),
        ("125 psig", "pressure", 125),
        ("860 kPa", "pressure", 124.7325),
        ("8.6 barg", "pressure", 860000 / 6894.757293168),
        ("860 kPag", "pressure", 124.7325),
        ("45 degF", "temperature", 45),
        ("7 degC", "temperature", 44.6),
        ("-40 °C", "temperature", -40),
        ("-5 degF", "temperature", -5),
        ("11 gal", "volume", 11),
        ("40 L", "volume", 40 / 3.785411784),
        ("1 L/s", "flow", 60 / 3.785411784),
        ("1 m3/h", "flow", 1000 / 60 / 3.785411784),
        ("30 %", "fraction", 0.3),
        ("18 kg", "mass", 18 / 0.45359237),
        ("1 m/s", "velocity", 1 / 0.3048),
        ("5 W per ft", "power per length", 5),
        ("3 in wg", "static pressure", 3),
        ("2 hours", "time", 120),
    ],
)
def test_values(text: str, dimension: Dimension, value: float) -> None:
    assert read_quantity(text, dimension) == pytest.approx(value, rel=1e-6)


def test_slopes_are_exact() -> None:
    assert read_quantity("1/8 in per ft", "slope") == read_quantity("1/8 in/ft", "slope") == F(1, 8)
    assert read_quantity("10 mm per m", "slope") == F(12, 100)


@pytest.mark.parametrize(
    ("text", "dimension", "why"),
    [
        ("125 psi", "length", "`125 psi` is a pressure; a length is wanted"),
        ("3 ft", "pressure", "`3 ft` is a length; a pressure is wanted"),
        ("3 in", "static pressure", "is a length"),
        ("45 degF", "fraction", "`45 degF` is a temperature; a share is wanted"),
        ("3 furlongs", "length", "`furlongs` in `3 furlongs` is no unit known here"),
        ("3 fet", "length", "`feet` is one"),
        ("8.6 baar", "pressure", "`bar` is one"),
        ("860 kPaa", "pressure", "`kPa` is one"),
        ("45 F", "temperature", "`F` in `45 F` is no unit known here"),
        ("-460 degF", "temperature", "below absolute zero"),
        ("-274 degC", "temperature", "below absolute zero"),
        ("3", "length", "has no unit"),
        ("2-1/2", "length", "has no unit"),
        ("-3 ft", "length", "less than nothing"),
        ("-3 ft -2 in", "length", "less than nothing"),
        ("1e999 ft", "length", "beyond all measure"),
        ("1e13 ft", "length", "beyond all measure"),
        ("9" * 90 + " ft", "length", "beyond all measure"),
        ("9" * 5000 + " ft", "length", "no number"),
        ("1/0 ft", "length", "beyond all measure"),
        ("inf ft", "length", "no number"),
        ("nan", "temperature", "no number"),
        ("", "length", "no number"),
        ("3 m**9**9**9", "length", "no unit known"),
        ("٣ ft", "length", "no number"),
    ],
)
def test_what_is_no_such_quantity_says_why(text: str, dimension: Dimension, why: str) -> None:
    problem = read_quantity(text, dimension)
    assert isinstance(problem, QuantityProblem)
    assert why in problem.text
    assert _INSIDE[dimension][1] in problem.help


@pytest.mark.parametrize("unit", _UNITS)
def test_every_unit_measures_something(unit: str) -> None:
    values = [read_quantity(f"1 {unit}", dimension) for dimension in _INSIDE]
    found = [v for v in values if not isinstance(v, QuantityProblem)]
    assert bool(found) == (unit != "w")  # watts alone are asked for nowhere yet


@pytest.mark.parametrize("dimension", _INSIDE)
def test_every_example_is_what_it_stands_for(dimension: Dimension) -> None:
    assert not isinstance(read_quantity(_INSIDE[dimension][1], dimension), QuantityProblem)


@given(st.integers(0, 16 * 12 * 5000))
def test_feet_and_inches_read_back(sixteenths: int) -> None:
    inches = F(sixteenths, 16)
    assert read_quantity(format_feet_inches(inches), "length") == inches


@given(st.fractions(-5000, 5000))
def test_feet_and_inches_are_the_nearest_sixteenth(inches: Fraction) -> None:
    text = format_feet_inches(inches)
    value = read_quantity(text.removeprefix("-"), "length")
    assert isinstance(value, Fraction)
    assert abs(abs(inches) - value) <= F(1, 32)
    assert text.startswith("-") == (inches < 0 and value > 0)


@given(st.text(max_size=40), st.sampled_from(list(_INSIDE)))
def test_no_text_raises(text: str, dimension: Dimension) -> None:
    value = read_quantity(text, dimension)
    assert isinstance(value, (Fraction, float, QuantityProblem))


@given(st.from_regex(r"[-+]?[0-9]{1,20}(\.[0-9]{1,5})?(e-?[0-9]{1,4})? (ft|in|mm|bar|degC)", fullmatch=True))
def test_values_are_finite(text: str) -> None:
    for dimension in ("length", "pressure", "temperature"):
        value = read_quantity(text, dimension)
        assert isinstance(value, QuantityProblem) or abs(value) < 1e15
