"""What a sum leaves out, in few words for paper: so many of each kind, and why."""

from __future__ import annotations

import re
from collections.abc import Mapping

from ..model.table import Unknown

#: How many kinds are said; what is left is counted together.
_SAID = 3
_REASON = re.compile(rf" \(({'|'.join(re.escape(one.value) for one in Unknown)})\)\Z")
#: A size at the end of a name: `2-1/2`, `4 x 3`.
_SIZE = re.compile(r"( \d[\d/-]*( x \d[\d/-]*)*)+\Z")
#: What is known by its last word: a ball valve is a valve; a hose end or a test port keeps its whole name.
_KINDS = frozenset(
    (
        *("valve", "flange", "elbow", "tee", "outlet", "reducer", "union", "adapter", "nipple", "coupling"),
        *("strainer", "gauge", "connector"),
    )
)
_OF_ONE = {"fluid in ": "fluid in", "insulation of ": "insulation of"}
_TAIL = re.compile(r" (to|of|for|on) .*\Z")


def in_few_words(missing: Mapping[str, int]) -> str | None:
    """The names of things that are missing, each with how many, by kind and reason; None where nothing is.

    >>> in_few_words({"ball valve 3/4 (not in the tables)": 2, "gate valve 4 (not in the tables)": 1})
    '3 valves not in the tables'
    >>> in_few_words({"fluid in tee 4 (not in the tables)": 1, "pipe 4 (not measured)": 1})
    'fluid in 1 tee not in the tables; 1 pipe not measured'
    """
    by_reason: dict[str, dict[str, int]] = {}
    whole: list[str] = []
    for name, count in missing.items():
        if ":" in name:  # a sentence, that says its own reason
            whole.append(name)
            continue
        found = _REASON.search(name)
        kinds = by_reason.setdefault(f" {found[1]}" if found else "", {})
        kind = _kind(name[: found.start()] if found else name)
        kinds[kind] = kinds.get(kind, 0) + count
    return "; ".join([*(_said(kinds) + reason for reason, kinds in by_reason.items()), *whole]) or None


def _kind(name: str) -> str:
    """`ball valve 3/4` is a `valve`; what is said of a part of it stays in front: `fluid in|valve`."""
    for start, said in _OF_ONE.items():
        if name.startswith(start):
            return f"{said}|{_kind(name.removeprefix(start))}"
    bare = _TAIL.sub("", _SIZE.sub("", name))
    last = bare.partition(",")[0].rsplit(" ", 1)[-1]  # a nipple, one end threaded, is a nipple
    return last if last in _KINDS else bare


def _said(kinds: Mapping[str, int]) -> str:
    """The kinds that most are of; one more is said rather than counted as another."""
    order = sorted(kinds, key=lambda kind: -kinds[kind])
    shown = order if len(order) <= _SAID + 1 else order[:_SAID]
    words = [_counted(kind, kinds[kind]) for kind in shown]
    rest = sum(kinds[kind] for kind in order[len(shown) :])
    return ", ".join([*words, *([f"{rest} others"] if rest else [])])


def _counted(kind: str, count: int) -> str:
    before, _, thing = kind.rpartition("|")
    noun, comma, more = thing.partition(",")
    many = thing if count == 1 or noun.endswith("s") else f"{noun}s{comma}{more}"
    return f"{before} {count} {many}".lstrip()
