"""The parser on whole files, on broken ones, and on texts that are no hookups at all."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from typing import Any

import pytest
from coilwright.model.finding import Finding
from coilwright.source.parser import LONGEST_LINE, MOST_FINDINGS, parse_text
from coilwright.source.plain import one_newline
from coilwright.source.tree import Atom, Comment, Node, Tree
from hypothesis import given, settings
from hypothesis import strategies as st
from source_sample import SAMPLE

ROWS = SAMPLE.split("\n")
SAID = [n for n, row in enumerate(ROWS) if row.split("#")[0].strip()]


def walk(value: Any) -> Iterator[Any]:
    """Everything in a tree, in the order of the file."""
    if isinstance(value, tuple) and not hasattr(value, "_fields"):
        for one in value:
            yield from walk(one)
    elif isinstance(value, Tree):
        yield from walk(value.statements)
        yield from walk(value.after)
    elif isinstance(value, Node):
        yield from walk(value.before)
        yield value
        for name in value.__dataclass_fields__:
            if name not in ("before", "trailing", "span", "block"):
                yield from walk(getattr(value, name))
        yield from walk(value.trailing)
        yield from walk(getattr(value, "block", ()))
    elif hasattr(value, "__dataclass_fields__") and not isinstance(value, (Atom, Comment)):
        for name in value.__dataclass_fields__:
            yield from walk(getattr(value, name))
    else:
        yield value


def check_places(text: str, tree: Tree, findings: list[Finding]) -> None:
    """Every span lies inside the text, on one line."""
    rows = one_newline(text).split("\n")
    spans = [x.span for x in walk(tree) if hasattr(x, "span")] + [f.span for f in findings]
    for span in spans:
        assert span.line == span.end_line
        assert 1 <= span.column <= span.end_column <= len(rows[span.line - 1]) + 1 or rows[span.line - 1] == ""


def comments(tree: Tree) -> list[str]:
    return [x.text for x in walk(tree) if isinstance(x, Comment)]


def test_whole_sample_parses() -> None:
    tree, findings = parse_text(SAMPLE, "gallery.hookup")
    assert findings == []
    lines = [x.span.line for x in walk(tree) if isinstance(x, Node)]
    assert [n for n, row in enumerate(ROWS, 1) if n - 1 in SAID] == sorted(set(lines))


def test_comments_and_blank_lines_are_kept_in_order() -> None:
    tree, _ = parse_text(SAMPLE, "gallery.hookup")
    assert comments(tree) == [m[0] for m in re.finditer(r"#.*", SAMPLE)]
    above = [remark for x in walk(tree) if isinstance(x, Node) for remark in x.before] + list(tree.after)
    assert above.count(None) == sum(1 for row in SAMPLE.splitlines() if not row)


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_and_byte_order_mark_change_nothing(ending: str, mark: str) -> None:
    plain, _ = parse_text(SAMPLE, "a")
    other, findings = parse_text(mark + SAMPLE.replace("\n", ending), "a")
    assert findings == []
    assert other.statements == plain.statements
    without_end, _ = parse_text(SAMPLE.rstrip("\n"), "a")
    assert without_end.statements == plain.statements


def test_tabs_stand_for_four_blanks() -> None:
    plain, _ = parse_text(SAMPLE, "a")
    tabbed, findings = parse_text(re.sub(r"(?m)^((?:    )+)", lambda m: "\t" * (len(m[1]) // 4), SAMPLE), "a")
    assert findings == []
    assert [type(x) for x in walk(tabbed)] == [type(x) for x in walk(plain)]


def test_places_are_those_that_the_writer_sees() -> None:
    text = "spec a\n\t“odd”, 2½ × 3, 3′–2 ½″,\u00a0BV–101  # ½\n"
    tree, findings = parse_text(text, "a")
    assert findings == []
    row = text.split("\n")[1]
    shown = [row[a.span.column - 1 : a.span.end_column - 1] for a in walk(tree) if isinstance(a, Atom)][1:]
    assert shown == ["“odd”", "2½", "×", "3", "3′–2 ½″", "BV–101"]


def test_a_finding_shows_the_words_as_written() -> None:
    _, (finding,) = parse_text("project Annex\n", "a")
    assert "`Annex`" in finding.message
    assert (finding.span.column, finding.span.end_column) == (9, 14)


ATOMS = st.one_of(
    st.from_regex(r"[a-z]{1,8}(-[a-z0-9]{1,4})?", fullmatch=True).map(lambda t: ("word", t, t)),
    st.from_regex(r"[A-Z]{2,4}-\*?[0-9]{1,3}", fullmatch=True).map(lambda t: ("tag", t, t)),
    st.sampled_from([("size", "2½", "2-1/2"), ("size", "3/4", "3/4"), ("size", "DN80", "DN80"), ("size", "0", "0")]),
    st.sampled_from(["3 ft 2-1/2 in", "950 mm", "-5 degF", "30 %", "3′-2 ½″"]).map(lambda t: ("quantity", t, t)),
    st.sampled_from(["0.5", "-3"]).map(lambda t: ("number", t, t)),
    st.from_regex(r'"[A-Za-z ,#½]{0,9}"', fullmatch=True).map(lambda t: ("string", t, t[1:-1])),
)


@given(
    st.lists(st.lists(ATOMS, min_size=1, max_size=3), min_size=1, max_size=4), st.sampled_from([" ", "\t", "\u00a0"])
)
def test_what_is_written_is_read_where_it_stands(phrases: list[list[tuple[str, str, str]]], blank: str) -> None:
    # A comma behind each atom: `3` and a word that is a unit would else make a quantity.
    written = [atom for phrase in phrases for atom in phrase]
    row = blank * 4 + f",{blank}".join(text for _, text, _ in written)
    tree, findings = parse_text(f"spec a\n{row}\n", "a")
    assert findings == []
    atoms = [a for a in walk(tree) if isinstance(a, Atom)][1:]
    assert [(a.kind, a.text) for a in atoms] == [(kind, text) for kind, _, text in written]
    assert [row[a.span.column - 1 : a.span.end_column - 1] for a in atoms] == [text for _, text, _ in written]


# -- broken files -----------------------------------------------------------------------------------------------------


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(SAID), st.integers(0, 8), st.sampled_from(["", ",", "XX-1", '"x"', "3 psi", "to", "@", "%"]))
def test_one_broken_line_is_one_finding_and_costs_no_other_line(number: int, at: int, put_in: str) -> None:
    code = ROWS[number].split("#")[0].rstrip()
    indent = code[: len(code) - len(code.lstrip())]
    words = code.split()
    # Breaking the first word may turn a line into one of another kind; that is another matter.
    at = 1 + at % len(words)
    rows = list(ROWS)
    rows[number] = indent + " ".join([*words[:at], *([put_in] if put_in else [])])
    tree, findings = parse_text("\n".join(rows), "a")
    assert [f.span.line for f in findings] in ([], [number + 1])
    kept = {x.span.line for x in walk(tree) if isinstance(x, Node)}
    block = {n + 1 for n in SAID if n > number and _stands_under(n, number)}
    assert {n + 1 for n in SAID} - kept <= {number + 1} | block


def _stands_under(row: int, header: int) -> bool:
    deep = [len(ROWS[n]) - len(ROWS[n].lstrip()) for n in SAID if header <= n <= row]
    return all(width > deep[0] for width in deep[1:])


def test_mistakes_in_different_blocks_are_all_reported() -> None:
    text = SAMPLE
    for good, bad in [
        ('project "Saltmarsh Aquarium: gallery air handlers"', "project Saltmarsh"),
        ("coil PRE on well-water", "coil pre on well-water"),
        ("up 2 ft 4 in", "up 2 ft 4 in high"),
        ("from main CGS", "from main"),
        ('lineup "glycol on both coils"', 'lineup "glycol on both coils'),
        ("resize BV-*01 to 3", "resize BV-*01 to BV-2"),
        ("\ntakeoff\n", "\ntakeof\n"),
    ]:
        assert text.count(good) == 1
        text = text.replace(good, bad)
    tree, findings = parse_text(text, "a")
    assert [f.rule for f in findings].count("unclosed-quote") == 1
    assert len(findings) == 7
    assert comments(tree) == comments(parse_text(SAMPLE, "a")[0])


GARBLE = st.lists(
    st.tuples(
        st.integers(0, len(SAMPLE) - 1),
        st.integers(0, 12),
        st.sampled_from(
            ["", "\n", "    ", "\t", ",", '"', "#", "@", "*", "½", "\r", "\0", " to ", "XX", "9" * 30, "\u2028"]
        ),
    ),
    max_size=12,
)


@settings(max_examples=80, deadline=None)
@given(GARBLE)
def test_garbled_files_give_findings_and_never_raise(changes: list[tuple[int, int, str]]) -> None:
    text = SAMPLE
    for at, length, put_in in changes:
        text = text[:at] + put_in + text[at + length :]
    tree, findings = parse_text(text, "a")
    check_places(text, tree, findings)
    whole_lines = [row.strip() for row in one_newline(text).split("\n") if row.lstrip(" \t").startswith("#")]
    kept = [c.text.strip() for c in walk(tree) if isinstance(c, Comment) and c.own_line]
    assert kept == whole_lines


@settings(max_examples=80, deadline=None)
@given(st.one_of(st.text(max_size=300), st.text(alphabet=' \n\t"#,*-/.0123½ABfinporst', max_size=400)))
def test_any_text_gives_a_tree_and_findings(text: str) -> None:
    tree, findings = parse_text(text, "a")
    check_places(text, tree, findings)
    assert all(f.severity == "error" and re.fullmatch(r"[a-z]+(-[a-z]+)+", f.rule) for f in findings)
    assert all(f.message.isprintable() and len(f.message) < 250 for f in findings)


@settings(max_examples=40, deadline=None)
@given(st.permutations(range(len(ROWS))))
def test_lines_in_any_order_never_raise(order: list[int]) -> None:
    text = "\n".join(ROWS[n] for n in order)
    tree, findings = parse_text(text, "a")
    check_places(text, tree, findings)


# -- sizes ------------------------------------------------------------------------------------------------------------


def test_an_empty_file_is_an_empty_tree() -> None:
    for text in ("", "\n", "   ", "\ufeff", "# only this"):
        tree, findings = parse_text(text, "a")
        assert (tree.statements, findings) == ((), [])


def test_a_line_of_a_megabyte_is_a_finding() -> None:
    tree, findings = parse_text("spec a\n    " + "x " * 500_000 + "\nspec b\n", "a")
    assert [(f.rule, f.span.line) for f in findings] == [("line-too-long", 2)]
    assert len(tree.statements) == 2
    comment = "#" + "x" * (LONGEST_LINE * 3)
    tree, findings = parse_text(comment, "a")
    assert (comments(tree), findings) == ([comment], [])


def test_ten_thousand_indents_are_a_finding() -> None:
    text = "".join(" " * (n % 1900) + f"tee T-{n}\n" for n in range(10_000))
    _, findings = parse_text(text, "a")
    assert len(findings) <= MOST_FINDINGS + 1
    nested = "assembly a\n" + "".join(" " * n + "tee 2\n" for n in range(1, 1900))
    _, findings = parse_text(nested, "a")
    assert [f.rule for f in findings] == ["nested-too-deep"]


def test_a_file_of_nonsense_is_cut_short() -> None:
    _, findings = parse_text("; ".join("abc") * 3 + "\n" + "!!!\n" * 5000, "a")
    assert len(findings) == MOST_FINDINGS + 1
    assert findings[-1].rule == "too-many-mistakes"


@pytest.mark.parametrize(
    "row", ["*" * 1999, "1 " * 999, "9" * 1999, "1" + " " * 1990 + "x", "a-" * 999, "A-" * 999, '"' * 1999, "*0" * 999]
)
def test_no_line_takes_long(row: str) -> None:
    start = time.process_time()
    parse_text("spec a\n" + f"    {row}\n" * 20, "a")
    assert time.process_time() - start < 5


def test_time_grows_with_the_lines() -> None:
    def seconds(times: int) -> float:
        text = "".join(SAMPLE.replace("gallery-pair", f"pair-{n}") for n in range(times))
        start = time.process_time()
        _, findings = parse_text(text, "a")
        assert findings == []
        return time.process_time() - start

    seconds(1)
    few = min(seconds(4) for _ in range(3))
    assert seconds(40) < few * 10 * 2.5
