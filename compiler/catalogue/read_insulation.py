"""The lines of a `service` block that tell of insulation and heat trace."""

from __future__ import annotations

from fractions import Fraction

from ..model.declared import Tracing
from ..model.finding import Findings
from ..model.nearest import nearest
from ..source.tree import Atom, Fact, Phrase
from .facts import one_quantity, quantity, span_of, unknown_words, words_of
from .heat_trace import conductivities

#: Conductivities as they are written, and what makes each Btu in/(h ft2 F). NIST SP 811 appendix B.
_UNITS = {"btu in per h ft2 degf": 1.0, "w per m k": 1 / 0.1442279}
_EXAMPLE = "insulation k 0.25 Btu in per h ft2 degF"
_KNOWN = ("hold 40 degF", "3 ft at valves", "2 ft at flanges", "1 ft at supports")


def read_conductivity(fact: Fact, atoms: tuple[Atom, ...], findings: Findings) -> float | None:
    """`insulation k 0.25 Btu in per h ft2 degF`, or `0.036 W per m K`: in the first of the two units."""
    number, _, unit = words_of(atoms).replace("deg F", "degF").partition(" ")
    factor = _UNITS.get(unit.lower())
    try:
        value = float(number)
    except ValueError:
        value = 0.0
    if factor is None or not 0 < value * factor < 100:
        message = f"`{words_of(atoms)}` is no conductivity"
        findings.add("not-a-conductivity", message, fact.span, help=f"write `{_EXAMPLE}` or `0.036 W per m K`")
        return None
    return value * factor


def read_material(fact: Fact, atoms: tuple[Atom, ...], findings: Findings) -> float | None:
    """`insulation of glass fiber`: the conductivity of the table."""
    name, known = words_of(atoms), conductivities()
    if name in known:
        return known[name]
    close = nearest(name, known) if name else None
    help = f"`{close}` is known" if close else f"known: {', '.join(known)}; of another, write `{_EXAMPLE}`"
    where = span_of(atoms) if atoms else fact.span.after()
    findings.add("no-such-insulation", f"the conductivity of `{name}` is not in the tables", where, help=help)
    return None


def read_tracing(fact: Fact, atoms: tuple[Atom, ...], findings: Findings) -> Tracing:
    """`heat traced, hold 40 degF, 3 ft at valves, 2 ft at flanges, 1 ft at supports`; all behind the comma may fail."""
    held: float | None = None
    extra: dict[str, Fraction] = {}
    for phrase in [*([Phrase(atoms)] if atoms else []), *fact.phrases[1:]]:
        words = phrase.atoms
        if words[0].text == "hold":
            value = one_quantity(words[1:], "temperature", fact.span, findings)
            held = None if value is None else float(value)
        elif words[0].kind == "quantity" and words_of(words[1:]) in ("at valves", "at flanges", "at supports"):
            length = quantity(words[0], "length", findings)
            if length is not None:
                extra[words[2].text] = Fraction(length)
        else:
            message = f"`{phrase.text}` says nothing of heat trace"
            findings.items.append(unknown_words("unknown-detail", words, _KNOWN, message))
    return Tracing(held, extra.get("valves"), extra.get("flanges"), extra.get("supports"))
