"""The `takeoff` block: stock lengths, waste, spares, packs."""

from __future__ import annotations

from fractions import Fraction

from ..model.declared import PACKED, TakeoffSettings
from ..model.finding import Findings, Note
from ..source import tree
from ..source.tree import Atom, Fact
from .facts import Handler, one_quantity, read_facts, span_of, words_of
from .read_packs import read_pack
from .read_spools import read_spools
from .read_stock import on_hand, saw_kerf, stock_lengths

#: What spares can be asked for.
SPARES = ("gaskets", "bolts", "fittings", "glycol")


def read_takeoff(node: tree.Takeoff, settings: TakeoffSettings, findings: Findings) -> None:
    """Add a block's settings to `settings`.

    Finds: shares that are no per cent between 0 and 100, spares of an unknown thing, a setting that the
    same file said before, and what the readers of stock, packs and spools find.
    """

    def share(atoms: tuple[Atom, ...], fact: Fact) -> float | None:
        value = one_quantity(atoms, "fraction", fact.span, findings)
        if value is not None and not 0 <= value <= 1:
            message = f"`{words_of(atoms)}` is no share between 0 % and 100 %"
            findings.add("share-impossible", message, span_of(atoms), help="write a share such as `5 %`")
            return None
        return None if value is None else float(value)

    def placed(name: str, fact: Fact) -> None:
        """Keep where a setting is said; one that its file said before is found."""
        before = settings.origin.get(name)
        if before is not None and before[0].file == fact.span.file:
            notes = (Note("first said here", before[0]),)
            findings.add("said-twice", f"`{name}` is said twice", fact.span, notes=notes, help="take one out")
        settings.origin[name] = (fact.span,)

    def lengths_of(what: str) -> Handler:
        def read(fact: Fact, rest: tuple[Atom, ...]) -> None:
            lengths: list[Fraction] = []
            for phrase in (tree.Phrase(rest), *fact.phrases[1:]):
                if "waste" in phrase.text.split():
                    value = share(phrase.atoms, fact)
                    if value is not None:
                        settings.waste[what] = value
                        placed(f"waste of {what}", fact)
                else:
                    lengths.extend(stock_lengths(phrase, fact, findings))
            if lengths:
                settings.stock[what] = tuple(dict.fromkeys(lengths))
                placed(f"stock of {what}", fact)

        return read

    def kerf(fact: Fact, rest: tuple[Atom, ...]) -> None:
        settings.kerf = saw_kerf(fact, rest, findings)
        placed("kerf", fact)

    def yard(fact: Fact, rest: tuple[Atom, ...]) -> None:
        lengths = on_hand(fact, rest, findings)
        if lengths is not None:
            settings.on_hand.append(lengths)

    def spare(fact: Fact, rest: tuple[Atom, ...]) -> None:
        what = rest[0].text if rest else ""
        if what not in SPARES:
            findings.add(
                "unknown-fact", f"spares of `{what}` are not counted", fact.span, help="known: " + ", ".join(SPARES)
            )
            return
        value = share(rest[1:], fact)
        if value is not None:
            settings.spares[what] = value
            placed(f"spare {what}", fact)

    def spools(fact: Fact, rest: tuple[Atom, ...]) -> None:
        settings.spools = read_spools((tree.Phrase(rest), *fact.phrases[1:]), fact, findings)
        placed("spools", fact)

    def field_fit(fact: Fact, rest: tuple[Atom, ...]) -> None:
        value = one_quantity(rest, "length", fact.span, findings)
        if value is not None:
            settings.over = Fraction(value)
            placed("field fit", fact)

    def packed(what: str) -> Handler:
        def read(fact: Fact, rest: tuple[Atom, ...]) -> None:
            pack = read_pack(what, fact, rest, findings)
            if pack is not None:
                settings.packs[what] = pack
                placed(f"packs of {what}", fact)

        return read

    handlers: dict[str, Handler] = {
        "field fit over": field_fit,
        "spare": spare,
        "spools": spools,
        "saw kerf": kerf,
        "on hand": yard,
    }
    for what in ("pipe", "tube"):
        handlers[what] = handlers[f"{what} in"] = lengths_of(what)
    handlers |= {f"{what} in": packed(what) for what in PACKED}
    read_facts(node.block, handlers, "a takeoff", findings)
