"""Numbers as a list prints them that still know what they were, so that another unit is worked out and rounded once."""

from __future__ import annotations

from collections.abc import Iterable


class Rounded(float):
    """A number rounded for print. `exact`: what it was before.

    >>> volume = Rounded(22.9206, 1)
    >>> volume, volume.exact
    (22.9, 22.9206)
    """

    __slots__ = ("exact",)
    exact: float

    def __new__(cls, exact: float, digits: int) -> Rounded:
        """Round an exact number."""
        return cls.shown(round(exact, digits), exact)

    @classmethod
    def shown(cls, value: float, exact: float) -> Rounded:
        """A number that is printed as `value`, as where it has to be the sum of others as they are printed."""
        made = super().__new__(cls, value)
        made.exact = exact
        return made

    def __reduce__(self) -> tuple[object, ...]:
        """For copies and other processes."""
        return Rounded.shown, (float(self), self.exact)


class PerUnit(str):
    """`AHU-1: 0.5; FC-1 and 3 more: 2.25`, with the numbers in it as they were before they were rounded."""

    __slots__ = ("numbers",)
    numbers: tuple[float, ...]

    def __new__(cls, text: str, numbers: Iterable[float]) -> PerUnit:
        """The text with its numbers in their order."""
        made = super().__new__(cls, text)
        made.numbers = tuple(numbers)
        return made

    def __reduce__(self) -> tuple[object, ...]:
        """For copies and other processes."""
        return PerUnit, (str(self), self.numbers)
