"""What is bought in boxes, drums and the like: `gaskets in boxes of 10`, `glycol in drums of 55 gal`."""

from __future__ import annotations

from ..model.declared import PACKED, Pack
from ..model.finding import Findings
from ..source.tree import Atom, Fact
from .facts import one_quantity, words_of


def read_pack(what: str, fact: Fact, rest: tuple[Atom, ...], findings: Findings) -> Pack | None:
    """The pack of `what`, one of `PACKED`; `rest` is what stands behind its `in`.

    Finds: a line that does not say how much is in one, a count that is none, an amount that is not above zero.
    """
    words = [atom.text for atom in rest]
    dimension = PACKED[what]
    example = f"`{what} in " + {"": "boxes of 50`", "volume": "drums of 55 gal`", "mass": "cans of 10 lb`"}[dimension]
    if "of" not in words[1:-1]:
        findings.add("not-understood", f"how much of {what} is bought at once is not said", fact.span, help=example)
        return None
    at = words.index("of", 1)
    inside = rest[at + 1 :]
    amount = one_quantity(inside, dimension, fact.span, findings) if dimension else _count(inside, findings)
    if amount is not None and amount <= 0:
        findings.add("not-positive", f"nothing is bought in {words_of(rest)}", fact.span, help="write more than none")
        return None
    return None if amount is None else Pack(words_of(rest[:at]), words_of(inside), float(amount))


def _count(atoms: tuple[Atom, ...], findings: Findings) -> int | None:
    text = words_of(atoms)
    if text.isascii() and text.isdecimal() and len(text) < 7:
        return int(text)
    findings.add("not-a-number", f"`{text}` is no count", atoms[0].span, help="write a whole number: `boxes of 50`")
    return None
