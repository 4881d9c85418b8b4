"""The shipped kinds, a file's own `kind` blocks and face-to-face lengths."""

from fractions import Fraction

import pytest
from coilwright.catalogue.kinds import KindBook, shipped_kinds
from coilwright.catalogue.read_kinds import GROUPS, read_kind, read_lengths
from coilwright.catalogue.tables import table
from coilwright.model.ends import FAMILY, FORMS
from coilwright.model.finding import Findings
from coilwright.model.kind import ABILITIES, Kind
from coilwright.model.size import SIZES, size
from coilwright.source import tree
from coilwright.source.parser import parse_text

KINDS = sorted(shipped_kinds())
#: Settled from the row of the spec, never from a list of ends.
BY_SPEC = {"elbow", "45 elbow", "reducer", "tee", "reducing tee", "welded outlet", "threaded outlet", "coil", "main"}


def read(text: str, book: KindBook | None = None) -> tuple[Kind | None, Findings, KindBook]:
    """The last kind of a text, what was found, and the book it was read with."""
    parsed, findings = parse_text(text, "t.hookup")
    assert not findings
    found, book, kind = Findings(), book or KindBook(), None
    for node in parsed.statements:
        assert isinstance(node, tree.KindDef)
        kind = read_kind(node, book, found)
        if kind is not None:
            book.add(kind)
    return kind, found, book


def lengths(text: str) -> tuple[dict[tuple[str, str, object], Fraction], Findings]:
    parsed, findings = parse_text(text, "t.hookup")
    assert not findings
    (node,) = parsed.statements
    assert isinstance(node, tree.Lengths)
    found = Findings()
    return dict(read_lengths(node, KindBook(), found)), found


# -- the tables -----------------------------------------------------------------------------------------------------


def test_every_kind_that_the_issue_names_is_there() -> None:
    book = KindBook()
    named = (
        "ball valve, butterfly valve, gate valve, globe valve, check valve, balancing valve, calibrated balancing "
        "valve, automatic flow limiter, two-way control valve, control valve, three-way control valve, "
        "pressure-independent control valve, relief valve, manual air vent, automatic air vent, vacuum breaker, "
        "wye strainer, strainer, basket strainer, union, dielectric union, flexible connector, thermowell, "
        "thermometer, temperature element, pressure gauge, gauge cock, test port, flow meter, pump, suction "
        "diffuser, hose end, hose end with cap and chain, steam trap, expansion loop stub, blind flange, blind, "
        "cap, plug"
    )
    assert [name for name in named.split(", ") if book.find(name) is None] == []


@pytest.mark.parametrize("name", KINDS)
def test_words_of_a_kind_are_known_ones(name: str) -> None:
    kind = shipped_kinds()[name]
    assert kind.abilities <= set(ABILITIES)
    assert kind.ports in ("inline", "end", "tee", "three-way", "coil", "main", "mark")
    assert kind.group in (*GROUPS, "supports")
    assert kind.seat in ("", "resilient")
    assert bool(kind.choices) != (name in BY_SPEC or kind.ports == "mark")
    for choice in kind.choices:
        assert choice.form in FORMS
        assert choice.metal in FAMILY or choice.metal == "line"
        assert choice.low <= choice.high
        assert choice.facing in ("", "RF", "FF")
        if choice.form in ("lug", "wafer"):
            assert choice.rating, "what it is drilled as is not in the spec"


def test_no_name_or_synonym_means_two_kinds() -> None:
    words = [word for kind in shipped_kinds().values() for word in (kind.name, *kind.synonyms)]
    assert sorted(words) == sorted(set(words))


def test_ends_belong_to_kinds() -> None:
    assert {row["kind"] for row in table("kind_ends")} <= set(KINDS)


def test_length_keys_are_in_the_table_of_lengths() -> None:
    known = {row["valve"] for row in table("valve_lengths")}
    used = {kind.length for kind in shipped_kinds().values()} | {
        choice.length for kind in shipped_kinds().values() for choice in kind.choices
    }
    assert used - {""} and used - {""} <= known


@pytest.mark.parametrize("name", [n for n in KINDS if shipped_kinds()[n].group == "valves" and n != "relief valve"])
def test_a_valve_is_made_without_a_gap_from_its_least_to_its_largest_size(name: str) -> None:
    kind = shipped_kinds()[name]
    low, high = min(c.low for c in kind.choices), max(c.high for c in kind.choices)
    odd = {"3-1/2", "5/8"}  # sizes that valves are not made in: a hole there is none
    assert [s.label for s in SIZES if low <= s <= high and s.label not in odd and kind.choice(s) is None] == []


@pytest.mark.parametrize("name", ["gate valve", "check valve", "balancing valve", "control valve", "wye strainer"])
def test_the_trade_changes_from_threaded_bronze_to_flanged_iron_above_2(name: str) -> None:
    kind = shipped_kinds()[name]
    small, large = kind.choice(size("2")), kind.choice(size("2-1/2"))
    assert small is not None and (small.form, small.metal) == ("female thread", "bronze")
    assert large is not None and (large.form, large.metal, large.rating, large.facing) == (
        "flange",
        "iron",
        "125",
        "FF",
    )


def test_a_butterfly_valve_is_lug_unless_it_says_wafer_and_each_has_its_length() -> None:
    kind = shipped_kinds()["butterfly valve"]
    lug, wafer = kind.choice(size("4")), kind.choice(size("4"), "wafer")
    assert lug is not None and (lug.form, lug.length) == ("lug", "butterfly lug")
    assert wafer is not None and (wafer.form, wafer.length) == ("wafer", "butterfly wafer")
    assert kind.seat == "resilient"


def test_what_is_a_shutoff() -> None:
    shutoffs = {kind.name for kind in shipped_kinds().values() if kind.can("isolates")}
    assert shutoffs == {"ball valve", "butterfly valve", "gate valve", "plug valve", "gauge cock"}


def test_a_welded_cap_lets_nothing_out() -> None:
    assert not shipped_kinds()["cap"].can("drains") and not shipped_kinds()["blind flange"].can("vents")


# -- the book -------------------------------------------------------------------------------------------------------


def test_find_by_name_synonym_and_not_at_all() -> None:
    book = KindBook()
    assert book.find("strainer") is book["wye strainer"]
    assert book.find("butterly valve") is None
    assert {"strainer", "wye strainer"} <= set(book.names())
    with pytest.raises(KeyError):
        book["butterly valve"]


# -- kinds of the file's own ----------------------------------------------------------------------------------------


def test_a_kind_like_another() -> None:
    text = """kind duplex strainer, like basket strainer
    also called twin strainer
    ends flanged, 2-1/2 to 12, iron class 125 flat face
    isolates
    vents by itself
    handed
    group specialties
    standard "maker's sheet"
"""
    kind, found, book = read(text)
    assert not found.items and kind is not None
    assert book.find("twin strainer") is kind and book.find("strainer") is book["wye strainer"]
    assert kind.abilities == {"strains", "isolates", "vents by itself"}
    assert (kind.handed, kind.group, kind.standard, kind.ports) == (True, "specialties", "maker's sheet", "inline")
    first = kind.choices[0]
    assert (first.word, first.form, first.low, first.high) == ("flanged", "flange", size("2-1/2"), size("12"))
    assert (first.metal, first.rating, first.facing) == ("iron", "125", "FF")
    assert kind.choice(size("1")) is not None  # what it is like still holds below its own sizes
    assert kind.origin and kind.origin[0].line == 1


def test_a_kind_from_nothing() -> None:
    kind, found, _ = read("kind sight glass\n    ends threaded, 1/2 to 2, bronze\n    ports inline\n    measures\n")
    assert not found.items and kind is not None
    assert kind.choices[0].form == "female thread" and kind.can("measures") and not kind.can("isolates")


def test_an_end_kind_screws_into_its_outlet() -> None:
    kind, found, _ = read("kind drain nozzle\n    ports end\n    ends threaded, 1/2 to 1, brass\n    drains\n")
    assert not found.items and kind is not None
    assert kind.choices[0].form == "male thread"


def test_own_kind_stands_before_a_shipped_one_and_leaves_other_runs_alone() -> None:
    kind, found, book = read(
        "kind ball valve, like ball valve\n    ends flanged, 2 to 8, steel class 300 raised face\n"
    )
    assert not found.items
    assert book.find("ball valve") is kind and KindBook().find("ball valve") is not kind


@pytest.mark.parametrize(
    ("text", "rule", "line", "helps"),
    [
        ("kind new thing, like bal valve\n    isolates\n", "unknown-kind", 1, "ball valve"),
        ("kind new thing, like ball valve\n    isolate\n", "unknown-fact", 2, "isolates"),
        ("kind new thing, like ball valve\n    group valvs\n", "unknown-fact", 2, "valves"),
        ("kind new thing, like ball valve\n    ports four\n", "unknown-fact", 2, "inline"),
        ("kind new thing, like ball valve\n    ends flangd, 2 to 4\n", "unknown-ends", 2, "flanged"),
        ("kind new thing, like ball valve\n    ends flanged, 2 to 4, irn\n", "unknown-detail", 2, "iron"),
        ("kind new thing, like ball valve\n    ends flanged, iron\n", "size-missing", 2, "2-1/2 to 12"),
        ("kind new thing, like ball valve\n    ends flanged, 4 to 2\n", "sizes-reversed", 2, ""),
        ("kind new thing, like ball valve\n    ends flanged, 2 to 13\n", "no-such-size", 2, "1/8"),
        ("kind new thing, lke ball valve\n    isolates\n", "unknown-detail", 1, "like"),
        ("kind new thing\n    isolates\n", "ends-missing", 1, "ends flanged"),
        ("kind new thing\n", "ends-missing", 1, "ends flanged"),
        ("kind new thing, like ball valve\n    also called\n", "name-missing", 2, ""),
        ("kind one, like ball valve\nkind one, like gate valve\n", "declared-twice", 2, ""),
    ],
)
def test_mistakes_in_a_kind(text: str, rule: str, line: int, helps: str) -> None:
    _, found, _ = read(text)
    assert rule in [f.rule for f in found.items]
    finding = next(f for f in found.items if f.rule == rule)
    assert (finding.severity, finding.span.line) == ("error", line)
    assert helps in finding.help


# -- lengths --------------------------------------------------------------------------------------------------------


def test_lengths_of_one_kind_of_ends() -> None:
    made, found = lengths("lengths of calibrated balancing valve, flanged\n    2-1/2, 11-1/2 in\n    DN80, 310 mm\n")
    assert not found.items
    assert made == {
        ("balancing valve", "flange", size("2-1/2")): Fraction(23, 2),
        ("balancing valve", "flange", size("3")): Fraction(310) / Fraction("25.4"),
    }


@pytest.mark.parametrize(("word", "form"), [("screwed", "female thread"), ("sweat", "cup"), ("butt weld", "bevel")])
def test_words_of_the_trade_for_ends_hold_in_a_makers_block_as_on_an_item(word: str, form: str) -> None:
    made, found = lengths(f"lengths of balancing valve, {word}\n    2, 9 in\n")
    assert not found.items and made == {("balancing valve", form, size("2")): Fraction(9)}


def test_lengths_whatever_the_ends() -> None:
    made, found = lengths("lengths of flow meter\n    2, 9 in\n")
    assert not found.items and made == {("flow meter", "", size("2")): Fraction(9)}


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("lengths of balancng valve\n    2, 9 in\n", "unknown-kind"),
        ("lengths of balancing valve, flangd\n    3, 9 in\n", "unknown-ends"),
        ("lengths of balancing valve, flanged\n    3, 9 psi\n", "not-a-length"),
        ("lengths of balancing valve, flanged\n    3, 0 in\n", "not-positive"),
        ("lengths of balancing valve, flanged\n    3\n", "quantity-missing"),
        ("lengths of balancing valve, flanged\n    13, 9 in\n", "no-such-size"),
    ],
)
def test_mistakes_in_lengths(text: str, rule: str) -> None:
    made, found = lengths(text)
    assert [f.rule for f in found.items] == [rule]
    assert found.items[0].severity == "error"
    if rule != "unknown-ends":
        assert not made
