"""Nominal sizes: what names one, what does not, and what may have been meant."""

from __future__ import annotations

import pickle
from fractions import Fraction
from itertools import pairwise

import pytest
from coilwright.model.size import SIZES, Size, find_size, near_sizes, parse_fraction, size
from hypothesis import given
from hypothesis import strategies as st


@pytest.mark.parametrize(
    ("text", "label"),
    [("3", "3"), ("2-1/2", "2-1/2"), ("5/2", "2-1/2"), ("6/8", "3/4"), ("DN80", "3"), ("dn 65", "2-1/2")],
    ids=str,
)
def test_what_names_a_size(text: str, label: str) -> None:
    assert find_size(text) is size(label)


NONE = [
    "0",
    "3/0",
    "0/0",
    "2-1/3",
    "2-3",
    "DN83",
    "DN",
    "DN-80",
    "DN٣",
    "DN²",
    "DN999999999",
    "-3",
    "2.5",
    "x",
    "1-1/2-1",
    "٣",
]


@pytest.mark.parametrize("text", [*NONE, "", "3 ", " 3", "9" * 400, "1/" + "9" * 400, "DN" + "9" * 400])
def test_what_names_none(text: str) -> None:
    assert find_size(text) is None
    with pytest.raises(ValueError, match="no nominal size"):
        size(text)


def test_sizes_rise_in_both_measures() -> None:
    for smaller, larger in pairwise(SIZES):
        assert smaller < larger
        assert larger > smaller
        assert smaller <= larger
        assert not smaller >= larger
        assert smaller.rank + 1 == larger.rank
        assert smaller.inches < larger.inches
        assert smaller.dn < larger.dn


@pytest.mark.parametrize("one", SIZES, ids=str)
def test_a_size_is_found_by_all_its_names_and_is_one_object(one: Size) -> None:
    assert find_size(one.label) is one
    assert find_size(f"DN{one.dn}") is one
    assert pickle.loads(pickle.dumps(one)) is one


@pytest.mark.parametrize(
    ("text", "near"),
    [
        ("2-3/4", ("2-1/2", "3")),
        ("2-1/3", ("2-1/2", "2")),
        ("7", ("6", "8")),
        ("2.5", ("2-1/2",)),
        ("0.1", ("1/8", "1/4")),
        ("DN83", ("DN80", "DN90")),
        ("DN 299", ("DN300", "DN250")),
        ("150", ("DN150",)),
        ("20", ()),  # NPS 20 is a size, only not one of the tables
        ("13", ()),
        ("DN9999", ()),
        ("0", ()),
        ("0.0", ()),
        ("3/0", ()),
        ("DN", ()),
        ("x", ()),
    ],
)
def test_what_may_have_been_meant(text: str, near: tuple[str, ...]) -> None:
    assert near_sizes(text) == near


@given(st.one_of(st.text(max_size=12), st.from_regex(r"(DN ?)?[0-9]{0,6}(-[0-9]{1,3})?(/[0-9]{1,3})?", fullmatch=True)))
def test_no_text_raises_and_what_is_proposed_is_a_size(text: str) -> None:
    near = [find_size(label) for label in near_sizes(text)]
    assert None not in near
    found = find_size(text)
    if found is not None:
        assert near == [found]
        assert text[:2].upper() == "DN" or parse_fraction(text) == found.inches


@given(st.integers(0, 40), st.integers(0, 15), st.sampled_from([2, 4, 8, 16]))
def test_fractions_are_exact(whole: int, over: int, under: int) -> None:
    assert parse_fraction(f"{whole}-{over}/{under}") == whole + Fraction(over, under)
