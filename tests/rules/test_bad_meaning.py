"""Files that read well and mean nothing: a clear finding at the right words, and never a traceback."""

import random
from collections.abc import Sequence
from pathlib import Path

import pytest
from coilwright import compile_text
from coilwright.model.finding import Finding
from hookups import hookup
from hypothesis import given, settings
from hypothesis import strategies as st

GOOD = hookup(
    "ball valve BV-*1; strainer ST-*1; tee T-*1, 3/4; drain 3/4; up 2 ft",
    "vent 1/2; balancing valve FB-*1; down 1 ft; ball valve BV-*2",
    coil="holds 2 gal",
    more='bypass from T-*1 to main CWR, 3/4; >ball valve BV-*3; lineup "normal"; >open BV-*1, BV-*2; >closed BV-*3',
)


def of(text: str, rule: str) -> list[Finding]:
    return [f for f in compile_text(text, name="bad.hookup").findings if f.rule == rule]


def changed(old: str, new: str, text: str = GOOD) -> str:
    assert text.count(old) >= 1, old
    return text.replace(old, new, 1)


#: What is changed in the good file, into what, the finding it must give, and the words it must stand at.
MEANINGLESS: dict[str, tuple[str, str, str, str]] = {
    "a tag used twice": ("strainer ST-*1", "strainer BV-*1", "tag-used-twice", "strainer BV-*1"),
    "a coil with the tag of a valve": ("strainer ST-*1", "strainer CC", "tag-used-twice", "strainer CC"),
    "a unit of an unknown typical": ("is fan-coil", "is fan-coal", "unknown-typical", "fan-coal"),
    "a line that joins itself": (
        "bypass from T-*1 to main CWR",
        "bypass from T-*1 to T-*1",
        "line-joins-itself",
        "bypass from T-*1 to T-*1, 3/4",
    ),
    "two mains on one coil port": (
        "bypass from T-*1 to main CWR",
        "spare from main HWS to CC supply",
        "port-used-twice",
        "CC supply",
    ),
    "two mains at one end of a line": (
        "from main CWS",
        "from main CWS\n        from main HWS",
        "two-ends",
        "from main HWS",
    ),
    "two lines on one tee": (
        "    lineup",
        "    spare from main HWS to T-*1, 3/4\n        ball valve BV-*4\n    lineup",
        "port-used-twice",
        "T-*1",
    ),
    "size 0": ("supply to CC, 3/4", "supply to CC, 0", "no-such-size", "0"),
    "size 3/0": ("drain 3/4", "drain 3/0", "no-such-size", "3/0"),
    "size 7/16": ("tee T-*1, 3/4", "tee T-*1, 7/16", "no-such-size", "7/16"),
    "DN66": ("drain 3/4", "drain DN66", "no-such-size", "DN66"),
    "a length below zero": ("up 2 ft", "up -2 ft", "not-a-length", "-2 ft"),
    "a length of nothing": ("up 2 ft", "up 0 in", "not-positive", "0 in"),
    "a volume of nothing": ("holds 2 gal", "holds 0 gal", "not-positive", "0 gal"),
    "a pressure below zero": ("125 psi", "-125 psi", "not-positive", "-125 psi"),
    "glycol of 140 %": ("    water\n", "    propylene glycol, 140 % by volume\n", "share-impossible", "140 %"),
    "glycol of 0 %": ("    water\n", "    propylene glycol, 0 % by volume\n", "share-impossible", "0 %"),
    "a unit of length nobody knows": ("up 2 ft", "up 2 furlongs", "not-a-length", "2 furlongs"),
    "a pressure for a length": ("up 2 ft", "up 2 psi", "not-a-length", "2 psi"),
    "a length for a pressure": ("125 psi", "125 ft", "not-a-pressure", "125 ft"),
    "a length beyond all measure": ("up 2 ft", "up 1e999 ft", "not-a-length", "1e999 ft"),
    "a number without a unit": ("up 2 ft", "up 2", "not-a-length", "2"),
    "an unknown service": ("coil CC on chilled-water", "coil CC on chiled-water", "unknown-service", "chiled-water"),
    "an unknown spec": ("spec steel-threaded", "spec steel-treaded", "unknown-spec", "spec steel-treaded"),
    "a spec like an unknown one": (
        "\ntypical",
        "\nspec shop, like steel-treaded\n    weld gap 1/8 in\n\ntypical",
        "unknown-spec",
        "steel-treaded",
    ),
    "a lineup that closes an unknown valve": ("closed BV-*3", "closed BV-*9", "unknown-tag", "BV-*9"),
    "a lineup that opens an unknown valve": ("open BV-*1", "open XV-*1", "unknown-tag", "XV-*1"),
    "a lineup that expects of an unknown coil": (
        "closed BV-*3",
        "expect HC on chilled-water",
        "unknown-tag",
        "HC on chilled-water",
    ),
    "a lineup that expects an unknown service": (
        "closed BV-*3",
        "expect CC on hot-water",
        "unknown-service",
        "hot-water",
    ),
    "a line from an unknown tee": ("bypass from T-*1", "bypass from T-*7", "unknown-tag", "T-*7"),
    "a supply to an unknown coil": ("supply to CC", "supply to HC", "unknown-tag", "HC"),
    "a line from a thing without a side": ("bypass from T-*1", "bypass from ST-*1", "no-such-port", "ST-*1"),
    "a line between two mains of which nobody knows": (
        "bypass from T-*1 to main CWR",
        "bypass from main X to main Y",
        "service-missing",
        "bypass from main X to main Y, 3/4",
    ),
    "an unknown kind": ("strainer ST-*1", "strayner ST-*1", "unknown-kind", "strayner"),
    "a typical that names itself as a component": ("strainer ST-*1", "fan-coil FC-*9", "unknown-kind", "fan-coil"),
    "a kind in a size nobody makes": (
        "ball valve BV-*1",
        "butterfly valve BV-*1",
        "not-made-so",
        "butterfly valve BV-*1",
    ),
    "two supplies to one coil": (
        "    return from",
        "    supply to CC, 3/4\n        from main CWS\n    return from",
        "declared-twice",
        "supply to CC, 3/4",
    ),
    "two coils of one tag": (
        "    supply to",
        "    coil CC on chilled-water\n        supply low, 1 solder\n        return high, 1 solder\n    supply to",
        "declared-twice",
        "CC",
    ),
    "two supply connections on one coil": (
        "holds 2 gal",
        "supply low, 1 male thread",
        "declared-twice",
        "supply low, 1 male thread",
    ),
    "two drain taps on one coil": (
        "holds 2 gal",
        "drain tap 1/2\n        drain tap 3/4",
        "declared-twice",
        "drain tap 3/4",
    ),
    "a coil without a service": ("coil CC on chilled-water", "coil CC", "service-missing", ""),
    "headers of an unknown metal": ("holds 2 gal", "headers mithril", "unknown-metal", "mithril"),
    "a tap of no size": ("holds 2 gal", "drain tap", "size-missing", ""),
    "pipe that turns back on itself": ("up 2 ft", "up 2 ft\n        down 1 ft", "move-turns-back", "down 1 ft"),
    "a unit declared twice": (
        "unit FC-1 is fan-coil",
        "unit FC-1 is fan-coil, number 2\nunit FC-1 is fan-coil",
        "declared-twice",
        "FC-1",
    ),
    "two units of one number": (
        "unit FC-1 is fan-coil",
        "unit FC-2 is fan-coil, number 1\nunit FC-1 is fan-coil",
        "number-used-twice",
        "unit FC-1 is fan-coil, airflow left to right",
    ),
    "air that blows upward": (
        "airflow left to right\n    coil",
        "airflow upward\n    coil",
        "unknown-airflow",
        "upward",
    ),
}
CHANGES = {
    "omit": ("omit XV-9", "XV-9"),
    "resize": ("resize XV-9 to 1", "XV-9"),
    "replace": ("replace XV-9 with ball valve", "XV-9"),
    "add": ("add test port after XV-9", "XV-9"),
}


def words_at(text: str, finding: Finding) -> str:
    span = finding.span
    return text.split("\n")[span.line - 1][span.column - 1 : span.end_column - 1]


@pytest.mark.parametrize("case", MEANINGLESS)
def test_one_clear_finding_at_the_right_words(case: str) -> None:
    old, new, rule, words = MEANINGLESS[case]
    text = changed(old, new)
    found = of(text, rule)
    assert len(found) == 1, [f"{f.rule} {f.message}" for f in compile_text(text).findings]
    assert words_at(text, found[0]) == words
    assert found[0].severity == "error"
    assert found[0].help


@pytest.mark.parametrize("case", MEANINGLESS)
def test_no_other_errors_follow_from_it(case: str) -> None:
    old, new, rule, _ = MEANINGLESS[case]
    errors = {f.rule for f in compile_text(changed(old, new)).findings if f.severity == "error"}
    # A tag that is gone is missed wherever else the file names it: that is one mistake told from both its ends.
    assert errors - {rule} <= {"unknown-tag"}


@pytest.mark.parametrize("verb", CHANGES)
def test_changes_to_tags_that_are_not_there(verb: str) -> None:
    line, words = CHANGES[verb]
    text = GOOD.rstrip("\n") + f"\n    {line}\n"
    found = of(text, "unknown-tag")
    assert len(found) == 1
    assert words_at(text, found[0]) == words
    assert f"to {verb}" in found[0].message or verb == "add"


def test_the_good_file_is_good() -> None:
    assert not compile_text(GOOD).broken


def test_an_assembly_that_includes_itself() -> None:
    text = changed("\ntypical", "\nassembly blow-off, 3/4\n    ball valve\n    blow-off\n\ntypical")
    text = changed("drain 3/4", "blow-off", text)
    found = of(text, "includes-itself")
    assert [words_at(text, f) for f in found] == ["blow-off"]


def test_assemblies_that_include_each_other() -> None:
    text = changed(
        "\ntypical", "\nassembly this-one, 3/4\n    that-one\n\nassembly that-one, 3/4\n    this-one\n\ntypical"
    )
    text = changed("drain 3/4", "this-one", text)
    assert len(of(text, "includes-itself")) == 1


def test_a_coil_without_connections() -> None:
    text = "\n".join(
        row for row in GOOD.split("\n") if " at leaving side" not in row and " at entering side" not in row
    )
    found = of(text, "connection-missing")
    assert [words_at(text, f) for f in found] == ["CC", "CC"]


def test_a_coil_in_a_typical_named_like_it() -> None:
    """A typical's name is a word and a coil's a tag, so one cannot be the other; the line says what is wanted."""
    text = changed("coil CC on", "coil fan-coil on")
    found = [f for f in compile_text(text).findings if f.span.line == 7]
    assert found and found[0].severity == "error"


# -- anything at all ------------------------------------------------------------------------------------------------

GALLERY = sorted((Path(__file__).parent / "cases").glob("*.hookup"))
SAMPLES = [GOOD, *(path.read_text(encoding="utf-8") for path in GALLERY)]


def garbled(text: str, moves: Sequence[tuple[str, int, int]]) -> str:
    """Lines and words deleted, doubled and swapped."""
    rows = text.split("\n")
    for what, a, b in moves:
        if not rows:
            return ""
        row, other = a % len(rows), b % len(rows)
        match what:
            case "delete line":
                del rows[row]
            case "double line":
                rows.insert(other, rows[row])
            case "swap lines":
                rows[row], rows[other] = rows[other], rows[row]
            case _:
                rows[row] = _garbled_row(rows[row], rows[other], what, b)
    return "\n".join(rows)


def _garbled_row(row: str, other: str, what: str, seed: int) -> str:
    words, others = row.split(" "), other.split(" ")
    pick = random.Random(seed)
    at = pick.randrange(len(words))
    match what:
        case "delete word":
            del words[at]
        case "double word":
            words.insert(at, words[at])
        case "swap words":
            to = pick.randrange(len(words))
            words[at], words[to] = words[to], words[at]
        case _:
            words[at] = pick.choice(others)
    return " ".join(words)


WHAT = ("delete line", "double line", "swap lines", "delete word", "double word", "swap words", "foreign word")
NUMBERS = st.integers(0, 10_000)


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(SAMPLES), st.lists(st.tuples(st.sampled_from(WHAT), NUMBERS, NUMBERS), min_size=1, max_size=5))
def test_garbled_files_never_raise(text: str, moves: list[tuple[str, int, int]]) -> None:
    result = compile_text(garbled(text, moves), name="garbled.hookup")
    for finding in result.findings:
        assert finding.message and finding.rule
        assert finding.span.line >= 1
    if not result.broken:
        result.tables()
        result.checker()
