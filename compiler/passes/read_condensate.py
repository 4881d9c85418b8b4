"""The lines of a `coil` block that tell of its condensate."""

from __future__ import annotations

from fractions import Fraction

from ..catalogue.facts import Handler, one_quantity, quantity, read_size, unknown_words
from ..model.condensate import Condensate
from ..model.finding import Findings
from ..model.span import Span
from ..source.tree import Atom, Fact


class CondensateReader:
    """Handlers for the lines on condensate, and what they have read."""

    def __init__(self, findings: Findings) -> None:
        self.findings = findings
        self.said: dict[str, object] = {}
        self.places: dict[str, Span] = {}

    def handlers(self) -> dict[str, Handler]:
        """By the leading words of a line."""
        return {
            "draw-through": self._static(draws=True),
            "blow-through": self._static(draws=False),
            "condensate outlet": self._outlet,
            "condensate trap": self._trap,
            "condensate pitch": self._pitch,
        }

    def read(self) -> Condensate | None:
        """What the lines said; None if there were none."""
        return Condensate(places=self.places, **self.said) if self.places else None  # type: ignore[arg-type]

    def _static(self, draws: bool) -> Handler:
        def handle(fact: Fact, rest: tuple[Atom, ...]) -> None:
            self.places["static"] = fact.span
            value = one_quantity(rest, "static pressure", fact.span, self.findings)
            if value is not None:
                self.said |= {"draws": draws, "static_inwg": float(value)}

        return handle

    def _outlet(self, fact: Fact, rest: tuple[Atom, ...]) -> None:
        self.places["outlet"] = fact.span
        self._size("outlet", fact, rest, "condensate outlet 1")

    def _trap(self, fact: Fact, rest: tuple[Atom, ...]) -> None:
        self.places["trap"] = fact.span
        self._size("trap", fact, rest, "condensate trap 1, drop 4 in, seal 2 in")
        for phrase in fact.phrases[1:]:
            word = phrase.atoms[0].text
            if word in ("drop", "seal") and len(phrase.atoms) == 2:
                value = quantity(phrase.atoms[1], "length", self.findings)
                if value is not None:
                    self.said[f"{word}_in"] = Fraction(value)
            else:
                message = f"`{phrase.text}` says nothing of a trap"
                known = ("drop 4 in", "seal 2 in")
                self.findings.items.append(unknown_words("unknown-detail", phrase.atoms, known, message))

    def _pitch(self, fact: Fact, rest: tuple[Atom, ...]) -> None:
        self.places["pitch"] = fact.span
        value = one_quantity(rest, "slope", fact.span, self.findings)
        if value is not None:
            self.said["pitch"] = Fraction(value)

    def _size(self, key: str, fact: Fact, rest: tuple[Atom, ...], example: str) -> None:
        if not rest:
            what = " ".join(example.split()[:2])
            message = f"the size of the {what} is not said"
            self.findings.add("size-missing", message, fact.phrases[0].span.after(), help=f"write `{example}`")
            return
        size = read_size(rest[0], self.findings)
        if size is not None:
            self.said[key] = size
