"""The details behind a component's name: sizes, ends, class, metal, facing, normal position, hand, remarks."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from ..catalogue.facts import quantity, read_size, read_weight, unknown_words, words_of
from ..catalogue.words import END_WORDS, FACINGS, METAL_WORDS
from ..model.finding import Findings
from ..model.hookup import AXIS, NOTHING_ASKED, Ask, Fitted
from ..model.quantity import read_quantity
from ..model.size import Size, size_of
from ..source.tree import Atom, Phrase

STEMS = {"stem level": "level", "stem horizontal": "level"} | {f"stem {direction}": direction for direction in AXIS}
SEATS = {"resilient seated": "resilient", "metal seated": "metal"}
CLOSED = {"normally closed": True, "normally shut": True, "normally open": False}
HANDS = {"left hand": "left", "right hand": "right"}
#: Accepted as they stand and printed in the bill.
REMARKS = (
    "fails closed",
    "fails open",
    "fails in place",
    "lever",
    "lever handle",
    "gear operator",
    "chain wheel",
    "locked",
    "full port",
    "with cap and chain",
    "mixing",
    "diverting",
    "with memory stop",
    "with drain",
    "inverted",
    "flat on top",
    "flat on bottom",
    "eccentric",
    "concentric",
    "spring return",
    "outdoors",
    "occupied area",
)

_TABLES: tuple[tuple[str, dict[str, object]], ...] = (
    ("word", dict(END_WORDS)),
    ("metal", dict(METAL_WORDS)),
    ("facing", dict(FACINGS)),
    ("seat", dict(SEATS)),
    ("stem", dict(STEMS)),
    ("closed", dict(CLOSED)),
    ("hand", dict(HANDS)),
    ("remark", {r: r for r in REMARKS}),
)
KNOWN: dict[str, tuple[str, object]] = {words: (what, value) for what, t in _TABLES for words, value in t.items()}


#: A quantity in inches alone.
_INCHES = re.compile(r"^[^'f]*(\bin\.?|inch(es)?|\"|'')\s*$", re.I)


@dataclass(slots=True)
class Details:
    """What the details of one line say."""

    tag: str = ""
    sizes: list[Size] = field(default_factory=list)
    word: str = ""
    rating: str = ""
    metal: str = ""
    facing: str = ""
    seat: str = ""
    stem: str = ""
    stem_in: Fraction | None = None
    wheel_in: Fraction | None = None
    above_floor_in: Fraction | None = None
    holes_in: Fraction | None = None
    closed: bool | None = None
    hand: str = ""
    remarks: list[str] = field(default_factory=list)
    weight_lb: float | None = None
    broken: bool = False  # a size that is none: already found, so that nobody reports it as missing again

    @property
    def ask(self) -> Ask:
        """What they say of the component's own ends."""
        if not (self.word or self.rating or self.metal or self.facing or self.seat):
            return NOTHING_ASKED
        return Ask(self.word, self.rating, self.metal, self.facing, self.seat)

    @property
    def fitted(self) -> Fitted:
        """What they say of how it is fitted."""
        return Fitted(self.stem, self.stem_in, self.wheel_in, self.above_floor_in, self.holes_in)


def read_details(phrases: Sequence[Phrase], details: Details, findings: Findings) -> None:
    """Add what some phrases say to `details`.

    Finds: a second tag, sizes that are none, words that are no detail of a component, weights that are none.
    """
    for phrase in phrases:
        if phrase.atoms[0].text == "weighs":
            details.weight_lb = read_weight(phrase.atoms[1:], phrase.span, findings) or details.weight_lb
            continue
        if _measures(phrase, details, findings):
            continue
        atoms = _with_sizes(phrase.atoms)
        if any(a.kind == "quantity" for a in atoms):
            details.remarks.append(words_of(atoms))
            continue
        while atoms:
            taken = _take(atoms, details, findings)
            if not taken:
                rest = [a for a in atoms if a.kind == "word"] or atoms
                findings.items.append(
                    unknown_words(
                        "unknown-detail", rest, KNOWN, f"`{words_of(rest)}` says nothing known of a component"
                    )
                )
                break
            del atoms[:taken]


#: Lengths of a component that the rules ask for, by the words behind them.
_LENGTHS = {"above floor": "above_floor_in", "holes": "holes_in", "handwheel": "wheel_in"}


def _measures(phrase: Phrase, details: Details, findings: Findings) -> bool:
    """Whether a phrase is a length that the rules ask for: `9 ft above floor`, `0.045 in holes`, `stem up 14 in`."""
    first, what = phrase.atoms[0], words_of(phrase.atoms[1:])
    stem = STEMS.get(words_of(phrase.atoms[:-1]))
    if stem is not None and len(phrase.atoms) == 3:
        first, key, details.stem = phrase.atoms[-1], "stem_in", stem
    elif first.kind == "quantity" and what in _LENGTHS:
        key = _LENGTHS[what]
    else:
        return False
    length = quantity(first, "length", findings)
    if length is not None and length <= 0 and key != "above_floor_in":
        findings.add("not-positive", f"`{words_of(phrase.atoms)}` cannot be", phrase.span, help="write more than zero")
    elif length is not None:
        setattr(details, key, Fraction(length))
    if length is not None and what == "holes":
        details.remarks.append(words_of(phrase.atoms))
    return True


def _with_sizes(atoms: Sequence[Atom]) -> list[Atom]:
    """The atoms with sizes as files write them made plain: `2-1/2"` and `2 1/2` are both 2-1/2."""
    made: list[Atom] = []
    for atom in atoms:
        if atom.kind == "quantity" and _INCHES.search(atom.text):
            inches = read_quantity(atom.text, "length")
            size = size_of(inches) if isinstance(inches, Fraction) else None
            made.append(Atom("size", size.label, atom.span) if size is not None else atom)
        elif atom.kind == "size" and "/" in atom.text and made and made[-1].kind == "size" and made[-1].text.isdigit():
            made[-1] = Atom("size", f"{made[-1].text}-{atom.text}", made[-1].span.to(atom.span))
        else:
            made.append(atom)
    return made


def _take(atoms: list[Atom], details: Details, findings: Findings) -> int:
    """How many atoms from the front say something; 0 if they say nothing known."""
    first = atoms[0]
    if first.kind == "string":
        details.remarks.append(first.text)
        return 1
    if first.kind == "tag":
        if details.tag and details.tag != first.text:
            message = f"one component cannot be both `{details.tag}` and `{first.text}`"
            findings.add("two-tags", message, first.span, help="take one of the tags out")
        details.tag = details.tag or first.text
        return 1
    if first.kind in ("size", "number"):
        found = read_size(first, findings)
        if found is not None:
            details.sizes.append(found)
        details.broken |= found is None
        return 1
    if first.text in ("to", "x") and len(atoms) > 1 and atoms[1].kind == "size":
        return 1
    if first.text == "class" and len(atoms) > 1:
        details.rating = atoms[1].text
        return 2
    for count in range(min(4, len(atoms)), 0, -1):
        known = KNOWN.get(words_of(atoms[:count]))
        if known is None:
            continue
        what, value = known
        if what == "remark":
            details.remarks.append(str(value))
        else:
            setattr(details, what, value)
        return count
    return 0
