"""The `takeoff` block: stock lengths, waste and spares."""

from __future__ import annotations

from fractions import Fraction

from ..model.declared import TakeoffSettings
from ..model.finding import Findings
from ..source import tree
from ..source.tree import Atom, Fact
from .facts import Handler, one_quantity, quantity, read_facts, span_of, words_of
from .read_spools import read_spools

#: What spares can be asked for.
SPARES = ("gaskets", "bolts", "fittings")


def read_takeoff(node: tree.Takeoff, settings: TakeoffSettings, findings: Findings) -> None:
    """Add a block's settings to `settings`.

    Finds: shares that are no per cent between 0 and 100, lengths that are none, spares of an unknown thing.
    """

    def share(atoms: tuple[Atom, ...], fact: Fact) -> float | None:
        value = one_quantity(atoms, "fraction", fact.span, findings)
        if value is not None and not 0 <= value <= 1:
            message = f"`{words_of(atoms)}` is no share between 0 % and 100 %"
            findings.add("share-impossible", message, span_of(atoms), help="write a share such as `5 %`")
            return None
        return None if value is None else float(value)

    def pipe(fact: Fact, rest: tuple[Atom, ...]) -> None:
        for phrase in (tree.Phrase(rest), *fact.phrases[1:]):
            atom = next((a for a in phrase.atoms if a.kind == "quantity"), None)
            if atom is None:
                findings.add(
                    "quantity-missing",
                    "a stock length or a share of waste is missing here",
                    fact.span.after(),
                    help="write `pipe in 21 ft lengths, 5 % waste`",
                )
            elif "waste" in phrase.text:
                settings.pipe_waste = share((atom,), fact) or 0.0
                settings.origin["pipe waste"] = (fact.span,)
            else:
                length = quantity(atom, "length", findings)
                if length is not None and length > 0:
                    settings.stock_in = Fraction(length)
                    settings.origin["stock"] = (fact.span,)
                elif length is not None:
                    findings.add(
                        "not-positive",
                        f"pipe does not come in lengths of `{atom.text}`",
                        atom.span,
                        help="write a length above zero, such as `21 ft`",
                    )

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
            settings.origin[f"spare {what}"] = (fact.span,)

    def spools(fact: Fact, rest: tuple[Atom, ...]) -> None:
        settings.spools = read_spools((tree.Phrase(rest), *fact.phrases[1:]), fact, findings)
        settings.origin["spools"] = (fact.span,)

    handlers: dict[str, Handler] = {"pipe in": pipe, "pipe": pipe, "spare": spare, "spools": spools}
    read_facts(node.block, handlers, "a takeoff", findings)
