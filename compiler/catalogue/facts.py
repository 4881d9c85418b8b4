"""Reading the fact lines of a block: their leading words and quantities, with findings where they fail."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction

from ..model.finding import Finding, Findings, Note
from ..model.nearest import nearest
from ..model.quantity import Dimension, QuantityProblem, read_quantity
from ..model.size import Size, find_size, near_sizes
from ..model.span import Span
from ..source.tree import Atom, Fact

#: A handler gets the fact, and the atoms of its first phrase behind the leading words.
Handler = Callable[[Fact, tuple[Atom, ...]], None]


def words_of(atoms: Iterable[Atom]) -> str:
    """The plain text of some atoms, single-spaced."""
    return " ".join([a.text for a in atoms])


def span_of(atoms: Sequence[Atom]) -> Span:
    """The stretch that some atoms cover; at least one is needed."""
    return atoms[0].span.to(atoms[-1].span)


def leading(atoms: Sequence[Atom], known: Iterable[str]) -> str:
    """The longest of `known` that the atoms begin with, or an empty text."""
    text, best = words_of(atoms), ""
    for words in known:
        if len(words) > len(best) and text.startswith(words) and words_of(atoms[: words.count(" ") + 1]) == words:
            best = words
    return best


def read_facts(
    block: Iterable[Fact],
    handlers: Mapping[str, Handler],
    where: str,
    findings: Findings,
    short: Iterable[str] = (),
) -> None:
    """Hand each fact to the handler of its leading words; a fact nobody knows is a finding with the nearest name.

    `short` are the facts that end with their first piece: what stands behind a comma there says nothing.
    """
    said: dict[str, Span] = {}
    for fact in block:
        atoms = fact.phrases[0].atoms
        name = leading(atoms, handlers)
        if name:
            handlers[name](fact, atoms[name.count(" ") + 1 :])
            if name in short and name in said and name not in ("drain tap", "vent tap"):
                notes = (Note("first said here", said[name]),)
                findings.add("said-twice", f"`{name}` is said twice", fact.span, notes=notes, help="take one out")
            said.setdefault(name, fact.span)
            if name in short and len(fact.phrases) > 1:
                extra = fact.phrases[1]
                message = f"`{extra.text}` says nothing behind `{name}`"
                findings.add("unknown-detail", message, extra.span, help="take it out")
            continue
        findings.items.append(
            unknown_words("unknown-fact", atoms, handlers, f"`{words_of(atoms)}` says nothing known of {where}")
        )


def unknown_words(rule: str, atoms: Sequence[Atom], known: Iterable[str], message: str) -> Finding:
    """An error for words that are not known, proposing the nearest that are."""
    known = sorted(known)
    text = words_of([a for a in atoms if a.kind == "word"]) or words_of(atoms)
    close = nearest(text, known) or (nearest(atoms[0].text, known) if atoms else None)
    alike = _alike(text, known)
    if close:
        help = f"`{close}` is known"
    elif alike:
        help = f"known: {', '.join(f'`{words}`' for words in alike[:5])}"
    else:
        help = f"known here: {', '.join(known[:8])}{' …' if len(known) > 8 else ''}"
    return Finding(rule, "error", message, span_of(atoms), help=help)


def _alike(text: str, known: Sequence[str]) -> list[str]:
    """What is known with a word in it that is one of the text's words, or near it: the nearer word first."""
    tokens = sorted({token for words in known for token in words.split()})
    for word in text.split():
        token = word if word in tokens else nearest(word, tokens)
        if token is not None and len(token) > 2:
            return [words for words in known if token in words.split()]
    return []


def quantity(atom: Atom, dimension: Dimension, findings: Findings) -> Fraction | float | None:
    """The quantity of an atom in the tool's own units, or None and a finding."""
    value = read_quantity(atom.text, dimension)
    if isinstance(value, QuantityProblem):
        findings.add("not-a-" + dimension.replace(" ", "-"), value.text, atom.span, help=value.help)
        return None
    return value


def one_quantity(
    atoms: Sequence[Atom], dimension: Dimension, behind: Span, findings: Findings
) -> Fraction | float | None:
    """The single quantity that a fact asks for; `behind` is where it belongs if it is missing."""
    for number, atom in enumerate(atoms):
        if atom.kind == "quantity":
            return quantity(atom, dimension, findings)
        if atom.kind in ("number", "size"):  # with the word behind it, a quantity in a unit that nobody knows
            unit = atoms[number + 1 : number + 2]
            whole = [atom, *(a for a in unit if a.kind == "word")]
            return quantity(Atom("quantity", words_of(whole), span_of(whole)), dimension, findings)
    message = f"a {dimension} is missing here"
    findings.add("quantity-missing", message, behind.after(), help="write it behind, with its unit")
    return None


def read_weight(atoms: Sequence[Atom], behind: Span, findings: Findings) -> float | None:
    """A weight in lb, above zero, or None and a finding."""
    value = one_quantity(atoms, "mass", behind, findings)
    if value is not None and value <= 0:
        findings.add("not-positive", "nothing weighs that little", behind, help="write a weight above zero: `62 lb`")
        return None
    return None if value is None else float(value)


def read_size(atom: Atom, findings: Findings) -> Size | None:
    """The nominal size of an atom, or None and a finding."""
    found = find_size(atom.text) if atom.kind in ("size", "number") else None
    if found is None:
        near = near_sizes(atom.text)
        findings.add(
            "no-such-size",
            f"`{atom.text}` is no nominal pipe size",
            atom.span,
            help=f"near it: {', '.join(near)}"
            if near
            else "sizes run 1/8, 1/4, 3/8, 1/2, 3/4, 1 … 12, or DN6 to DN300",
        )
    return found


def size_range(atoms: Sequence[Atom], findings: Findings) -> tuple[Size, Size] | None:
    """`1/2 to 2` or a single size at the start of some atoms."""
    low = read_size(atoms[0], findings)
    high = low
    if len(atoms) >= 3 and atoms[1].text == "to":
        high = read_size(atoms[2], findings)
    if low is None or high is None:
        return None
    if high < low:
        findings.add(
            "sizes-reversed",
            f"the range runs from {low} down to {high}",
            span_of(atoms[:3]),
            help=f"write `{high} to {low}`",
        )
        return None
    return low, high
