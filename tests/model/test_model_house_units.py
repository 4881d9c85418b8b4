"""The conversions that are not asked of pint are pint's."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction

import pint
import pytest
from coilwright.model.quantity import HOUSE


@pytest.mark.parametrize(("name", "inside"), list(HOUSE))
def test_house_units_are_those_of_pint(name: str, inside: str) -> None:
    own = {"pct": "percent"}.get(name, name)
    scale = pint.UnitRegistry(non_int_type=Fraction).Quantity(Fraction(1), own).to(inside or "dimensionless").magnitude
    assert Fraction(scale).limit_denominator(10**9) == HOUSE[name, inside]


def test_a_file_in_house_units_does_not_load_pint() -> None:
    code = (
        "import sys; from coilwright import compile_text;"
        "compile_text('service a\\n    water\\n    design 125 psi, 42 degF to 90 degF\\n    insulate 1-1/2 in\\n');"
        "assert 'pint' not in sys.modules;"
        "compile_text('service a\\n    water\\n    design 8 bar\\n'); assert 'pint' in sys.modules"
    )
    assert subprocess.run([sys.executable, "-c", code]).returncode == 0
