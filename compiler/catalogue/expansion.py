"""How far the pressure rises in pipe that is shut at both ends, full of water, and warms up."""

from __future__ import annotations

import math
from functools import cache

#: Water at 1 atm in degrees Celsius: density in kg/m3, isothermal compressibility in 1e-6/bar. Each is a polynomial
#: over a linear term. G. S. Kell, J. Chem. Eng. Data 20 (1975) 97-105, equations for 0 to 100 C; from memory.
_DENSITY = (999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12)
_DENSITY_BELOW = 16.879850e-3
_COMPRESSIBILITY = (50.88496, 0.6163813, 1.459187e-3, 20.08438e-6, -58.47727e-9, 410.4110e-12)
_COMPRESSIBILITY_BELOW = 19.67348e-3
#: Each psi of pressure adds this many psi to the bulk modulus of water (Murnaghan's form); common figure, from memory.
_STIFFENING = 6.0
_PSI_PER_BAR = 14.50377
#: The range of the two polynomials, F.
LOWEST_F, HIGHEST_F = 32.0, 212.0
#: (modulus of elasticity in psi, linear expansion per F) of steel and copper pipe; handbook figures, from memory.
_PIPE = {"steel": (29e6, 6.5e-6), "copper": (17e6, 9.4e-6)}
#: Poisson's ratio of steel; copper's is near it.
_POISSON = 0.3


def water_density(f: float) -> float:
    """Density of water at atmospheric pressure, kg/m3; 32 to 212 F. Kell 1975.

    >>> round(water_density(60), 1)
    999.0
    """
    return _ratio(_DENSITY, _DENSITY_BELOW, f)


def water_compressibility(f: float) -> float:
    """Isothermal compressibility of water at atmospheric pressure, per psi; 32 to 212 F. Kell 1975.

    >>> round(1 / water_compressibility(60), -3)
    311000.0
    """
    return _ratio(_COMPRESSIBILITY, _COMPRESSIBILITY_BELOW, f) * 1e-6 / _PSI_PER_BAR


@cache
def pressure_rise(
    cold_f: float, warm_f: float, start_psi: float, outside_in: float, wall_in: float, metal: str
) -> float | None:
    """Psi that water gains in a shut `steel` or `copper` pipe on its way from one temperature to another.

    No water is lost: density times volume stays. The pipe gives way by its own expansion and, as a thin closed tube
    free to grow in length (strains of hoop and axial stress), by D / (t E) x (5/4 - Poisson) a psi. `start_psi` is
    gauge. None outside 32 to 212 F; 0 where the water shrinks (below 39 F). Air left in the pipe lowers it.

    >>> round(pressure_rise(45, 75, 50, 4.5, 0.237, "steel"), -1)
    540.0
    """
    if not LOWEST_F <= cold_f <= warm_f <= HIGHEST_F:
        return None
    modulus, expansion = _PIPE[metal]
    give = (outside_in - wall_in) / (wall_in * modulus) * (1.25 - _POISSON)
    surplus = math.log(water_density(cold_f) / water_density(warm_f)) - 3 * expansion * (warm_f - cold_f)
    surplus += _squeezed(cold_f, start_psi)

    def room(rise: float) -> float:
        return _squeezed(warm_f, start_psi + rise) + give * rise

    if room(0) >= surplus:
        return 0.0
    low, high = 0.0, 1.0
    while room(high) < surplus:
        low, high = high, 2 * high
    while high - low > 0.01:
        middle = (low + high) / 2
        low, high = (middle, high) if room(middle) < surplus else (low, middle)
    return high


def _squeezed(f: float, psi: float) -> float:
    """Natural logarithm of how much denser water is at a gauge pressure than at the atmosphere's."""
    return math.log1p(_STIFFENING * water_compressibility(f) * psi) / _STIFFENING


def _ratio(above: tuple[float, ...], below: float, f: float) -> float:
    c = (f - 32) / 1.8
    return float(sum(factor * c**power for power, factor in enumerate(above)) / (1 + below * c))
