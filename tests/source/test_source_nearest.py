"""The known word nearest to one that is not known."""

from __future__ import annotations

from coilwright.model.nearest import nearest
from hypothesis import given
from hypothesis import strategies as st

KINDS = ["ball valve", "butterfly valve", "gate valve", "globe valve", "check valve"]


def test_slips_of_the_pen() -> None:
    assert nearest("butterly valve", KINDS) == "butterfly valve"
    assert nearest("Ball Valve", KINDS) == "ball valve"
    assert nearest("bal valv", KINDS) == "ball valve"
    assert nearest("chilled-glcyol", ["chilled-glycol", "well-water"]) == "chilled-glycol"
    assert nearest("turbine", KINDS) is None
    assert nearest("", KINDS) is None
    assert nearest("x" * 5000, KINDS) is None


def test_tags_are_near_by_one_letter_only() -> None:
    assert nearest("BV-1O1", ["BV-101", "BV-202"]) == "BV-101"
    assert nearest("XV-201", ["BV-101"]) is None


@given(st.text(alphabet="abcd", min_size=1, max_size=6), st.sets(st.text(alphabet="abcdAB", max_size=6)))
def test_order_of_the_known_does_not_matter(word: str, known: set[str]) -> None:
    found = nearest(word, sorted(known))
    assert found == nearest(word, sorted(known, reverse=True))
    assert found is None or found in known


@given(st.sampled_from(KINDS), st.integers(0, 9), st.sampled_from("aeiou"))
def test_one_wrong_letter_is_forgiven(kind: str, at: int, letter: str) -> None:
    assert nearest(kind[:at] + letter + kind[at + 1 :], KINDS) == kind
