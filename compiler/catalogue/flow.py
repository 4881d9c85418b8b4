"""Velocity and friction of water in a pipe."""

from __future__ import annotations

import math

#: Absolute roughness of new steel, and of drawn tube, inches. Moody's chart, as every handbook copies it; from memory.
_ROUGHNESS = {"steel": 0.0018, "copper": 0.00006}
#: Kinematic viscosity of water at 60 F, square feet a second. Steam tables, from memory.
_VISCOSITY = 1.217e-5
#: Standard gravity, feet a second squared.
_GRAVITY = 32.174


def velocity(gpm: float, inside_in: float) -> float:
    """Feet a second of a flow in a round bore.

    One US gallon is 231 cubic inches, so that 1 gpm in 1 in is 231 / 60 / 12 / (pi / 4) = 0.4085 ft/s.

    >>> round(velocity(100, 3.068), 2)
    4.34
    """
    return 231 / 60 / 12 / (math.pi / 4) * gpm / inside_in**2


def friction(gpm: float, inside_in: float, material: str) -> float:
    """Feet of head that water at 60 F loses in 100 ft of clean `steel` or `copper` pipe.

    Darcy and Weisbach, with Haaland's explicit friction factor (1983); 64/Re below Re 2300. At other temperatures and
    with glycol it is another figure.

    >>> round(friction(100, 3.068, "steel"), 1)
    2.4
    """
    speed, bore = velocity(gpm, inside_in), inside_in / 12
    reynolds = speed * bore / _VISCOSITY
    if reynolds < 2300:
        factor = 64 / reynolds
    else:
        rough = _ROUGHNESS[material] / inside_in
        factor = (-1.8 * math.log10((rough / 3.7) ** 1.11 + 6.9 / reynolds)) ** -2
    return 100 * factor / bore * speed**2 / (2 * _GRAVITY)
