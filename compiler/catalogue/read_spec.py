"""`spec` blocks to piping specifications."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from ..model.declared import Spec, SpecRow
from ..model.ends import FAMILY
from ..model.finding import Findings
from ..source import tree
from ..source.tree import Atom, Fact, Phrase
from .facts import Handler, leading, one_quantity, read_facts, size_range, unknown_words, words_of
from .read_welding import PLAIN_WELDING, WeldingReader

JOININGS = ("welded", "threaded", "soldered", "grooved")
FLANGES = ("slip-on", "weld neck", "threaded", "solder", "grooved adapter")
BOLTS = ("studs", "machine bolts")
#: Specifications that are of nuts alone: ASTM A194 and A563. From memory.
_NUT_GRADES = ("A194", "A563")
#: How a material specification of ASTM or ASME begins: `A53 B`, `ASTM A105`, `SA-105`.
_GRADE = re.compile(r"(?:ASTM |ASME )?S?[AB]-?\d")
FACINGS = {"raised face": "RF", "flat face": "FF"}
BRANCHES = ("tee", "reducing tee", "welded outlet")

#: What a spec says until it says otherwise: common practice, no source.
PLAIN = Spec(
    name="",
    rows=(),
    gasket="compressed fiber",
    gasket_in=Fraction(1, 8),
    gasket_shape="ring",
    bolts="studs",
    bolt_grade="",
    nut_grade="",
    weld_gap=Fraction(1, 8),
    groove_gap=None,
    pups=None,
    nipples=None,
    welding=PLAIN_WELDING,
    solder="",
    sealant="",
    branch_same="tee",
    branch_half="reducing tee",
    branch_small="welded outlet",
    dissimilar_small="union",
    dissimilar_large="flange kit",
    loose_at_coils=True,
    made_in="",
    origin=(),
)


def read_spec(node: tree.Spec, known: Mapping[str, Spec], findings: Findings) -> Spec:
    """A spec from its block, on top of the spec it is `like`. Rows of its own stand before inherited ones."""
    base = _base(node, known, findings)
    rows: list[SpecRow] = []
    said: dict[str, object] = {}

    def gaskets(fact: Fact, rest: tuple[Atom, ...]) -> None:
        for phrase in (Phrase(rest), *fact.phrases[1:]) if rest else fact.phrases[1:]:
            length = next((a for a in phrase.atoms if a.kind == "quantity"), None)
            if length is not None:
                value = one_quantity([length], "length", fact.span, findings)
                if value is not None:
                    said["gasket_in"] = Fraction(value)
            elif phrase.text in ("ring", "full face"):
                said["gasket_shape"] = phrase.text
            else:
                said["gasket"] = phrase.text

    def bolts(fact: Fact, rest: tuple[Atom, ...]) -> None:
        style = next((words for words in BOLTS if words_of(rest).startswith(words)), "")
        if not style:
            atoms = rest or fact.phrases[0].atoms
            message = f"`{words_of(atoms)}` says nothing of flange bolts"
            findings.items.append(unknown_words("unknown-bolts", atoms, BOLTS, message))
        said["bolts"] = style or PLAIN.bolts
        for phrase in fact.phrases[1:]:
            nuts = phrase.text.startswith("nuts ") or any(word in _NUT_GRADES for word in phrase.text.split())
            said["nut_grade" if nuts else "bolt_grade"] = phrase.text.removeprefix("nuts ")

    def length(field: str) -> Handler:
        def keep(fact: Fact, rest: tuple[Atom, ...]) -> None:
            value = one_quantity(rest, "length", fact.span, findings)
            if value is not None and value <= 0 and field in ("pups", "nipples"):
                help = "write a length above zero, or take the line out"
                findings.add("not-positive", f"nothing is `{words_of(rest)}` long", fact.span, help=help)
            elif value is not None:
                said[field] = Fraction(value)

        return keep

    def words(field: str) -> Handler:
        def keep(fact: Fact, rest: tuple[Atom, ...]) -> None:
            if not rest:
                findings.add("name-missing", "what it is called is missing here", fact.span.after(), help="name it")
            said[field] = words_of(rest).replace(" -", "-")  # `95-5` is a number and a number with a minus

        return keep

    def branches(fact: Fact, rest: tuple[Atom, ...]) -> None:
        cases = {"same size": "branch_same", "down to half": "branch_half", "smaller": "branch_small"}
        for phrase in (Phrase(rest), *fact.phrases[1:]):
            case = leading(phrase.atoms, cases)
            what = words_of(phrase.atoms[case.count(" ") + 1 :]) if case else ""
            if what not in BRANCHES:
                findings.items.append(
                    unknown_words(
                        "unknown-branch",
                        phrase.atoms,
                        (f"{c} {b}" for c in cases for b in BRANCHES),
                        f"`{phrase.text}` is no line of a branch table",
                    )
                )
                continue
            said[cases[case]] = what

    def dissimilar(fact: Fact, rest: tuple[Atom, ...]) -> None:
        ways = ("union", "flange kit", "brass")
        for number, phrase in enumerate((Phrase(rest), *fact.phrases[1:]) if rest else fact.phrases[1:]):
            way = leading(phrase.atoms, ways)
            if not way:
                findings.items.append(
                    unknown_words(
                        "unknown-separation", phrase.atoms, ways, f"`{phrase.text}` does not keep metals apart"
                    )
                )
                continue
            if number == 0:
                said["dissimilar_small"] = said["dissimilar_large"] = way
            else:
                said["dissimilar_large"] = way

    def connections(fact: Fact, rest: tuple[Atom, ...]) -> None:
        text = words_of(rest)
        if text not in ("loose", "made up solid"):
            findings.add(
                "unknown-fact",
                f"`{text}` says nothing of coil connections",
                fact.span,
                help="`loose` and `made up solid` are known",
            )
        said["loose_at_coils"] = text != "made up solid"

    def made_in(fact: Fact, rest: tuple[Atom, ...]) -> None:
        where = words_of(rest).removeprefix("the ")
        if where not in ("shop", "field"):
            atoms = rest or fact.phrases[0].atoms
            message = f"`{words_of(atoms)}` is no place where pipe is made up"
            findings.items.append(unknown_words("unknown-fact", atoms, ("the shop", "the field"), message))
            return
        said["made_in"] = where

    welding = WeldingReader(base.welding, findings)
    handlers: dict[str, Handler] = {
        "gaskets": gaskets,
        "bolts": bolts,
        "weld gap": length("weld_gap"),
        "groove gap": length("groove_gap"),
        "pups": length("pups"),
        "nipples": length("nipples"),
        "solder": words("solder"),
        "thread sealant": words("sealant"),
        **welding.handlers,
        "branches": branches,
        "dissimilar metals": dissimilar,
        "coil connections": connections,
        "made in": made_in,
    }
    facts: list[Fact] = []
    sized = False
    for fact in node.block:
        if fact.phrases[0].atoms[0].kind in ("size", "number"):
            sized = True
            row = _row(fact, findings)
            if row is not None:
                rows.append(row)
        else:
            facts.append(fact)
    read_facts(facts, handlers, "a spec", findings)
    said["welding"] = welding.made
    if not sized and not base.rows and not node.details:
        findings.add(
            "spec-empty",
            f"spec `{node.name.text}` says nothing of any size",
            node.name.span,
            help="add a line such as `1/2 to 2 threaded, carbon steel schedule 80, malleable iron class 150`",
        )
    return replace(base, name=node.name.text, rows=(*rows, *base.rows), origin=(node.span,), **said)  # type: ignore[arg-type]


def _base(node: tree.Spec, known: Mapping[str, Spec], findings: Findings) -> Spec:
    for phrase in node.details:
        name = phrase.atoms[1].text if phrase.atoms[0].text == "like" and len(phrase.atoms) == 2 else ""
        if not name:
            findings.add(
                "unknown-detail", f"`{phrase.text}` says nothing of a spec", phrase.span, help="write `like OTHER-SPEC`"
            )
        elif name in known:
            return known[name]
        else:
            findings.items.append(unknown_words("unknown-spec", phrase.atoms[1:], known, f"there is no spec `{name}`"))
    return PLAIN


def _row(fact: Fact, findings: Findings) -> SpecRow | None:
    atoms = fact.phrases[0].atoms
    sizes = size_range(atoms, findings)
    after = atoms[3:] if len(atoms) > 2 and atoms[1].text == "to" else atoms[1:]
    joined = words_of(after)
    if joined not in JOININGS:
        if after:
            findings.items.append(
                unknown_words("unknown-joining", after, JOININGS, f"`{joined}` is no way to join pipe")
            )
        else:
            findings.add(
                "joining-missing",
                "how these sizes are joined is not said",
                fact.phrases[0].span.after(),
                help="known: " + ", ".join(JOININGS),
            )
        return None
    if sizes is None:
        return None
    metal = wall = fittings = fitting_metal = flange = rating = facing = pipe_grade = flange_grade = ""
    for phrase in fact.phrases[1:]:
        text = phrase.text
        if text.startswith("flanges"):
            flange, rating, facing, flange_grade = _flanges(phrase, findings)
        elif any(f" {mark} " in text for mark in ("schedule", "type")):
            mark = "schedule" if " schedule " in text else "type"
            name, _, wall = text.partition(f" {mark} ")
            metal, pipe_grade = _graded(name)
            if not metal:
                findings.items.append(
                    unknown_words("unknown-metal", phrase.atoms, FAMILY, f"`{name}` is no pipe material")
                )
                return None
        else:
            fittings = text
            fitting_metal = next((m for m in sorted(FAMILY, key=len, reverse=True) if m in text), "")
    if not metal:
        findings.add(
            "material-missing",
            "material and schedule of the pipe are not said",
            fact.span.after(),
            help="add a piece such as `carbon steel schedule 40` or `copper type L`",
        )
        return None
    low, high = sizes
    return SpecRow(
        low,
        high,
        joined,
        metal,
        wall.upper(),
        fittings or metal,
        fitting_metal or metal,
        flange,
        rating,
        facing,
        (fact.span,),
        pipe_grade,
        flange_grade,
    )


def _graded(text: str) -> tuple[str, str]:
    """`carbon steel A53 B` as metal and grade; two empty texts if it is no metal."""
    metal = next((m for m in sorted(FAMILY, key=len, reverse=True) if text.startswith(m)), "")
    grade = text[len(metal) :].strip()
    return (metal, grade) if metal and (not grade or _GRADE.match(grade)) else ("", "")


def _flanges(phrase: Phrase, findings: Findings) -> tuple[str, str, str, str]:
    """`flanges class 150 raised face slip-on`, its words in any order behind `flanges`, and last a grade."""
    rating, facing, flange, grade = "150", "RF", "slip-on", ""
    rest = list(phrase.atoms[1:])
    while rest:
        text = words_of(rest)
        face = next((f for f in FACINGS if text.startswith(f)), "")
        style = next((f for f in FLANGES if text.startswith(f)), "")
        if rest[0].text == "class" and len(rest) > 1:
            rating = rest[1].text
            if rating not in ("150", "300"):
                findings.add(
                    "no-such-class",
                    f"class {rating} is not in the flange tables",
                    rest[1].span,
                    help="classes 150 and 300 are",
                )
            rest = rest[2:]
        elif face:
            facing = FACINGS[face]
            rest = rest[2:]
        elif style:
            flange = style
            rest = rest[style.count(" ") + 1 :]
        elif _GRADE.match(text):
            grade = text
            break
        else:
            findings.items.append(
                unknown_words(
                    "unknown-flange", rest, (*FACINGS, *FLANGES, "class"), f"`{text}` says nothing of flanges"
                )
            )
            break
    return flange, rating, facing, grade
