"""What a file says of the condensate of a coil."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from .size import Size
from .span import Span


@dataclass(frozen=True, slots=True)
class Condensate:
    """The pan of a coil, its trap and the line behind it. None where the file does not say.

    `draws`: the fan draws the air through the coil, so that the pan stands below the pressure of the room; else it
    blows. `places` holds the lines of the file by their first words.
    """

    draws: bool | None = None
    static_inwg: float | None = None  # at the pan, without its sign, with dirty filters
    outlet: Size | None = None
    trap: Size | None = None
    drop_in: Fraction | None = None  # from the outlet of the pan down to that of the trap
    seal_in: Fraction | None = None  # from the outlet of the trap down to its bottom
    pitch: Fraction | None = None  # of the line behind it, inches a foot
    places: dict[str, Span] = field(default_factory=dict)
