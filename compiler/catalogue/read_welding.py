"""What a `spec` block says of welds: bevel, passes, rods and wires."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from ..model.finding import Findings
from ..model.size import parse_fraction
from ..model.welding import PASSES, Filler, Welding
from ..source.tree import Atom, Fact, Phrase
from .facts import Handler, leading, one_quantity, quantity, span_of, unknown_words, words_of
from .welding import deposition

#: What a spec says until it says otherwise. B16.25 for the bevel; the rest is common practice, no source.
PLAIN_WELDING = Welding(
    bevel=Fraction(75, 2), root_face=Fraction(1, 16), reinforcement=Fraction(1, 16), filler=Filler("stick")
)
#: Bevels beyond these are no way to prepare pipe, degrees: common practice, no source.
_FLATTEST, _STEEPEST = 5, 60
_CLASSES = (
    (re.compile(r"E[0-9]{4,5}(-|$)"), "stick"),
    (re.compile(r"ER[0-9]{2,3}[A-Z]?"), "solid wire"),
    (re.compile(r"E[0-9]{2}T-(1|9|12)(?![0-9])"), "cored wire"),
    (re.compile(r"E[0-9]{2}T-(8|11)(?![0-9])"), "self-shielded wire"),
)


class WeldingReader:
    """Collects the welding facts of one spec; `made` is what they come to."""

    def __init__(self, base: Welding, findings: Findings) -> None:
        self.made = base
        self._findings = findings

    @property
    def handlers(self) -> dict[str, Handler]:
        """A handler for each line on welds."""
        return {"bevel": self._bevel, "weld with": self._with, "weld passes": self._passes}

    def _bevel(self, fact: Fact, rest: tuple[Atom, ...]) -> None:
        angle = _angle(rest)
        if angle is None:
            self._findings.add(
                "no-such-bevel",
                f"`{words_of(rest)}` is no bevel" if rest else "the angle of the bevel is missing here",
                span_of(rest) if rest else fact.span.after(),
                help=f"write an angle between {_FLATTEST} and {_STEEPEST} degrees, such as `37-1/2 deg`",
            )
        else:
            self.made = replace(self.made, bevel=angle)
        lengths = ("root face", "reinforcement")
        for phrase in fact.phrases[1:]:
            name = leading(phrase.atoms, lengths)
            if not name:
                self._unknown("unknown-detail", phrase.atoms, lengths, "says nothing of how ends are prepared")
                continue
            value = one_quantity(phrase.atoms[name.count(" ") + 1 :], "length", phrase.span, self._findings)
            if value is not None and name == "root face":
                self.made = replace(self.made, root_face=Fraction(value))
            elif value is not None:
                self.made = replace(self.made, reinforcement=Fraction(value))

    def _with(self, fact: Fact, rest: tuple[Atom, ...]) -> None:
        self.made = replace(self.made, filler=self._filler(rest))

    def _passes(self, fact: Fact, rest: tuple[Atom, ...]) -> None:
        said: dict[str, Filler] = {}
        for phrase in (Phrase(rest), *fact.phrases[1:]) if rest else fact.phrases[1:]:
            name = leading(phrase.atoms, PASSES)
            if not name:
                self._unknown("unknown-pass", phrase.atoms, PASSES, "is no pass of a weld")
            elif name in said:
                self._findings.add("said-twice", f"pass `{name}` is said twice", phrase.span, help="take one out")
            else:
                said[name] = self._filler(phrase.atoms[1:])
        self.made = replace(self.made, passes=tuple((name, said[name]) for name in PASSES if name in said))

    def _filler(self, atoms: Sequence[Atom]) -> Filler:
        """`stick E7018 1/8 in`, its words in any order; the process may be left out where the name tells it."""
        process = name = ""
        sizes: dict[str, Fraction] = {}
        rest = list(atoms)
        while rest:
            known = leading(rest, deposition())
            if known:
                process, rest = known, rest[known.count(" ") + 1 :]
                continue
            atom = rest.pop(0)
            of_layer = atom.text == "layer" and bool(rest)
            if of_layer:
                atom = rest.pop(0)
            if atom.kind == "quantity":
                value = quantity(atom, "length", self._findings)
                if value is not None:
                    sizes["layer" if of_layer else "diameter"] = Fraction(value)
            elif atom.kind == "tag" and not of_layer:
                name = atom.text
            else:
                self._unknown("unknown-filler", [atom, *rest], deposition(), "is no way to weld")
                break
        return Filler(process or process_of(name) or self.made.filler.process, name, **sizes)

    def _unknown(self, rule: str, atoms: Sequence[Atom], known: Iterable[str], message: str) -> None:
        self._findings.items.append(unknown_words(rule, atoms, known, f"`{words_of(atoms)}` {message}"))


def process_of(name: str) -> str:
    """The process that a classification of AWS A5.1, A5.18 or A5.20 tells, empty where it tells none. From memory.

    An ER rod is taken to be fed as wire: `tig` has to be said.

    >>> process_of("E6010"), process_of("ER70S-6"), process_of("E71T-1C"), process_of("E71T-11"), process_of("X")
    ('stick', 'solid wire', 'cored wire', 'self-shielded wire', '')
    """
    for pattern, process in _CLASSES:
        if pattern.match(name):
            return process
    return ""


def _angle(atoms: Sequence[Atom]) -> Fraction | None:
    """`37-1/2 deg`: an angle in degrees, None for anything else and beyond what pipe is bevelled to."""
    if len(atoms) != 2 or atoms[1].text not in ("deg", "degree", "degrees"):
        return None
    value = parse_fraction(atoms[0].text)
    if value is None and atoms[0].kind == "number":
        try:
            value = Fraction(atoms[0].text)
        except ValueError:
            return None
    return value if value is not None and _FLATTEST <= value <= _STEEPEST else None
