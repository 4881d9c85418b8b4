"""`kind`, `lengths` and `weights` blocks: components of the user's own, what makers print of length and weight."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Literal

from ..model.finding import Findings, Note
from ..model.kind import ABILITIES, EndChoice, Kind
from ..model.size import Size
from ..source import tree
from ..source.tree import Atom, Fact, Phrase
from .facts import Handler, quantity, read_facts, read_size, size_range, unknown_words, words_of
from .kinds import KindBook
from .pieces import piece_kinds
from .said import reducing, sided
from .words import END_FORMS, END_WORDS, FACINGS, METAL_WORDS

GROUPS = ("valves", "specialties", "instruments", "equipment", "ends", "fittings")
PORTS = ("inline", "end", "three-way")


def read_kind(node: tree.KindDef, book: KindBook, findings: Findings) -> Kind | None:
    """A kind from its block, on top of the kind it is `like`.

    Its own ends stand before those of the kind it is like; its abilities come on top. A synonym is not inherited.
    Finds: an unknown base, unknown facts, ends nobody knows, a kind without ends, a kind declared twice.
    """
    before = book.own(node.name.text)
    if before is not None:
        findings.add(
            "declared-twice",
            f"kind `{before.name}` is declared twice",
            node.name.span,
            notes=(Note("first declared here", before.origin[0]),),
            help="rename one of them, or take it out",
        )
        return None
    base = _base(node, book, findings)
    if base is None:
        return None
    synonyms: list[str] = []
    abilities: set[str] = set(base.abilities)
    choices: list[EndChoice] = []
    said: dict[str, object] = {}

    def choose(key: str, known: Sequence[str]) -> Handler:
        def handle(fact: Fact, rest: tuple[Atom, ...]) -> None:
            word = words_of(rest)
            if word in known:
                said[key] = word
            else:
                atoms = rest or fact.phrases[0].atoms
                findings.items.append(unknown_words("unknown-fact", atoms, known, f"`{word}` is no {key} of a kind"))

        return handle

    def also(fact: Fact, rest: tuple[Atom, ...]) -> None:
        if rest:
            synonyms.append(words_of(rest))
        else:
            findings.add(
                "name-missing", "the other name is missing", fact.span.after(), help="write `also called NAME`"
            )

    def ends(fact: Fact, rest: tuple[Atom, ...]) -> None:
        choice = _ends(fact, rest, findings)
        if choice is not None:
            choices.append(choice)

    def standard(fact: Fact, rest: tuple[Atom, ...]) -> None:
        said["standard"] = words_of(rest)

    def handed(fact: Fact, rest: tuple[Atom, ...]) -> None:
        said["handed"] = True

    def resilient(fact: Fact, rest: tuple[Atom, ...]) -> None:
        said["seat"] = "resilient"

    def ability(name: str) -> Handler:
        return lambda fact, rest: abilities.add(name)

    handlers: dict[str, Handler] = {name: ability(name) for name in ABILITIES}
    handlers |= {
        "also called": also,
        "ends": ends,
        "standard": standard,
        "handed": handed,
        "resilient seat": resilient,
        "group": choose("group", GROUPS),
        "ports": choose("ports", PORTS),
    }
    read_facts(node.block, handlers, "a kind", findings)
    if said.get("ports", base.ports) == "end":
        choices = [replace(c, form="male thread") if c.word == "threaded" else c for c in choices]
    kind = replace(
        base,
        name=node.name.text,
        synonyms=tuple(synonyms),
        abilities=frozenset(abilities),
        choices=(*choices, *base.choices),
        origin=(node.span,),
        **said,  # type: ignore[arg-type]
    )
    if not kind.choices:
        help = "add a line such as `ends flanged, 2-1/2 to 12, iron class 125 flat face`"
        findings.add("ends-missing", f"kind `{kind.name}` does not say what ends it has", node.name.span, help=help)
    return kind


def _base(node: tree.KindDef, book: KindBook, findings: Findings) -> Kind | None:
    """The kind that the header says this one is like, else an empty one; None where it names no known kind."""
    base: Kind | None = Kind(node.name.text, (), "specialties", "inline", frozenset(), ())
    for phrase in node.details:
        name = words_of(phrase.atoms[1:])
        if phrase.atoms[0].text != "like" or not name:
            message = f"`{phrase.text}` says nothing of a kind"
            findings.add("unknown-detail", message, phrase.span, help="write `like OTHER KIND`")
            continue
        base = book.find(name)
        if base is None:
            message = f"`{name}` is no known kind of component"
            findings.items.append(unknown_words("unknown-kind", phrase.atoms[1:], book.names(), message))
    return base


def _ends(fact: Fact, rest: tuple[Atom, ...], findings: Findings) -> EndChoice | None:
    """`ends flanged, 2-1/2 to 12, iron class 125 flat face`."""
    word = END_WORDS.get(words_of(rest))
    if word is None:
        atoms = rest or fact.phrases[0].atoms
        message = f"`{words_of(rest)}` is no kind of end"
        findings.items.append(unknown_words("unknown-ends", atoms, END_WORDS, message))
        return None
    sizes: tuple[Size, Size] | None = None
    metal, rating, facing = "line", "", ""
    for phrase in fact.phrases[1:]:
        if phrase.atoms[0].kind == "size":
            sizes = size_range(phrase.atoms, findings)
            continue
        metal, rating, facing = _made(phrase, findings, (metal, rating, facing))
    if sizes is None:
        help = "add a piece such as `2-1/2 to 12`"
        findings.add("size-missing", "the sizes of these ends are not said", fact.span.after(), help=help)
        return None
    return EndChoice(word, END_FORMS[word], *sizes, metal, rating, facing)


def _made(phrase: Phrase, findings: Findings, so_far: tuple[str, str, str]) -> tuple[str, str, str]:
    """Metal, class and facing, in any order."""
    metal, rating, facing = so_far
    atoms = list(phrase.atoms)
    while atoms:
        if atoms[0].text == "class" and len(atoms) > 1:
            rating = atoms[1].text
            del atoms[:2]
            continue
        for count in (2, 1):
            words = words_of(atoms[:count])
            if words in METAL_WORDS or words in FACINGS:
                metal = METAL_WORDS.get(words, metal)
                facing = FACINGS.get(words, facing)
                del atoms[:count]
                break
        else:
            known = (*METAL_WORDS, *FACINGS, "class")
            message = f"`{words_of(atoms)}` says nothing of how ends are made"
            findings.items.append(unknown_words("unknown-detail", atoms, known, message))
            break
    return metal, rating, facing


def read_lengths(node: tree.Lengths, book: KindBook, findings: Findings) -> dict[tuple[str, str, Size], Fraction]:
    """Face-to-face lengths in inches by (kind, form of ends or empty, size); see `said.reducing` for two sizes.

    Finds: an unknown kind, lines that are not a size, or two, and a length; of a reducing tee and of a three-way valve,
    two: the second is that of its branch.
    """
    found = _by_size(node, "length", "4, 11-1/2 in", "is `{}` long", book, findings)
    return {key: Fraction(value) for key, value in found.items()}


def read_weights(node: tree.Weights, book: KindBook, findings: Findings) -> dict[tuple[str, str, Size], float]:
    """Makers' weights in lb by (kind, form of ends or empty, size).

    Finds: an unknown kind, lines that are not a size and a weight.
    """
    found = _by_size(node, "mass", "4, 92 lb", "weighs `{}`", book, findings)
    return {key: float(value) for key, value in found.items()}


def _by_size(
    node: tree.Lengths | tree.Weights,
    dimension: Literal["length", "mass"],
    good: str,
    nothing: str,
    book: KindBook,
    findings: Findings,
) -> dict[tuple[str, str, Size], Fraction | float]:
    """What the lines of a maker's block say, by (kind, form of ends or empty, size); values are above zero."""
    kind = book.find(node.name.text) or piece_kinds().get(node.name.text)
    if kind is None:
        message = f"`{node.name.text}` is no known kind of component"
        findings.items.append(unknown_words("unknown-kind", node.name.atoms, book.names(), message))
        return {}
    form = ""
    for phrase in node.details:
        if phrase.text in END_WORDS:
            form = END_FORMS[END_WORDS[phrase.text]]
        else:
            message = f"`{phrase.text}` is no kind of end"
            findings.items.append(unknown_words("unknown-ends", phrase.atoms, END_WORDS, message))
    word = "length" if dimension == "length" else "weight"
    made: dict[tuple[str, str, Size], Fraction | float] = {}
    for fact in node.block:
        atoms = [atom for phrase in fact.phrases for atom in phrase.atoms]
        named = _sizes(atoms)
        sizes = [read_size(atom, findings) for atom in named]
        rest = atoms[2 * len(named) - 1 :]
        sides = kind.ports == "three-way" or (kind.name == "reducing tee" and len(named) > 1)
        most = 2 if sides and dimension == "length" else 1
        if not 1 <= len(rest) <= most or (len(sizes) == 3 and sizes[0] is not sizes[1]):
            findings.add("quantity-missing", f"a size and a {word} belong here", fact.span, help=f"write `{good}`")
            continue
        values = [quantity(atom, dimension, findings) for atom in rest]
        if None in sizes or None in values:
            continue
        for atom, value in zip(rest, values, strict=True):
            if value is not None and value <= 0:
                message = f"nothing {nothing.format(atom.text)}"
                findings.add("not-positive", message, atom.span, help=f"write a {word} above zero")
                break
        else:
            first, second = sizes[0], sizes[-1]
            assert first is not None and second is not None
            if "reducer" in kind.name:
                first, second = max(first, second), min(first, second)
            for port, value in zip(("", "branch"), values, strict=False):
                assert value is not None
                name = reducing(kind.name, second, port) if len(sizes) > 1 else kind.name
                made[sided(name, port) if kind.ports == "three-way" else name, form, first] = value
    return made


def _sizes(atoms: Sequence[Atom]) -> list[Atom]:
    """The sizes at the start of a line: `4`, `4 x 3`, `4 x 4 x 3` (run, run and branch of a tee)."""
    made = [atoms[0]]
    while len(atoms) > 2 * len(made) and atoms[2 * len(made) - 1].text == "x":
        made.append(atoms[2 * len(made)])
    return made
