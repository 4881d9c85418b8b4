"""Random lines against each other: nothing differs from itself, and the other way round is the other way round."""

from __future__ import annotations

import random

import pytest
from coilwright import compile_text
from coilwright.compare.units import differences
from coilwright.model.hookup import Hookup
from coilwright.model.table import Table

HEAD = """\
service chilled-water
    water
    design 125 psi, 40 degF to 100 degF
    spec steel-threaded

unit AH-1, number 1, airflow left to right
    coil CC on chilled-water
        supply low at leaving side, 1 male thread
        return high at entering side, 1 male thread
"""
KINDS = ("ball valve", "gate valve", "strainer", "balancing valve")
PLAIN = ("drain 3/4", "vent 1/2", "thermometer 1/2", "test port", "left", "left 1 ft", "up 2 ft", "up", "toward 6 in")
OPPOSITE = {"added": "removed", "removed": "added"}


def step(number: int, random_: random.Random) -> str:
    if random_.random() < 0.5:
        return random_.choice(PLAIN)
    tag = f" V-{number}" if random_.random() < 0.7 else ""
    size = random_.choice((", 3/4", ", 1", ""))
    return f"{random_.choice(KINDS)}{tag}{size}"


def edited(steps: list[str], number: int, random_: random.Random) -> list[str]:
    """Some steps taken out, put in, moved, given another tag or another size."""
    made = list(steps)
    for times in range(random_.randint(1, 4)):
        at = random_.randrange(len(made)) if made else 0
        deed = random_.choice(("out", "in", "move", "tag", "size"))
        if deed == "in" or not made:
            made.insert(at, step(number + times, random_))
        elif deed == "out":
            del made[at]
        elif deed == "move":
            made.insert(random_.randrange(len(made)), made.pop(at))
        elif deed == "tag":
            words = [f"V-{number + times}" if word.startswith("V-") else word for word in made[at].split(" ")]
            made[at] = " ".join(words)
        else:
            made[at] = made[at].replace("3/4", "1/2") if "3/4" in made[at] else made[at].replace(", 1", ", 3/4")
    return made


def hookups(steps: list[str]) -> list[Hookup] | None:
    half = len(steps) // 2
    lines = "".join(
        f"    {head}\n" + "".join(f"        {text}\n" for text in texts)
        for head, texts in (
            ("supply to CC, 1", ["from main CWS", *steps[:half]]),
            ("return from CC, 1", [*steps[half:], "to main CWR"]),
        )
    )
    made = compile_text(HEAD + lines)
    return None if made.broken else list(made.hookups)


def told(table: Table, turned: bool = False) -> list[tuple[str, ...]]:
    """Rows without what things are called by now and where they stand now."""
    rows = []
    for row in table.rows:
        sort = str(row.cells["change"])
        lead = "size_" if sort == "resized" else ""
        before, after = (str(row.cells[lead + when]) for when in ("before", "after"))
        if turned:
            sort, before, after = OPPOSITE.get(sort, sort), after, before
        rows.append((sort, str(row.cells["about"]), before, after))
    return sorted(rows)


@pytest.mark.parametrize("seed", range(40))
def test_random_pair(seed: int) -> None:
    random_ = random.Random(seed)
    old = new = None
    before: list[str] = []
    after: list[str] = []
    for _ in range(60):  # many a random line cannot be built: one that turns back, a tag used twice
        before = [step(number, random_) for number in range(random_.randint(3, 9))]
        after = edited(before, 50, random_)
        old, new = hookups(before), hookups(after)
        if old is not None and new is not None:
            break
    assert old is not None and new is not None
    assert differences(old, old).rows == ()
    again = hookups(after)
    assert again is not None
    assert differences(new, again).rows == ()
    there, back = differences(old, new), differences(new, old)
    assert told(there) == told(back, turned=True), (before, after)


def test_something_is_compared() -> None:
    """The random pairs are not all alike."""
    random_ = random.Random(0)
    found = set()
    for _ in range(60):
        before = [step(number, random_) for number in range(5)]
        old, new = hookups(before), hookups(edited(before, 50, random_))
        if old is not None and new is not None:
            found.update(row.cells["change"] for row in differences(old, new).rows)
    assert {"added", "removed", "resized", "moved", "retagged", "changed"} <= found
