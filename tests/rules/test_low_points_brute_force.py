"""Low and high points against a slow re-computation that knows nothing of the compiler's graph.

A small hookup is drawn at random as a list of words, printed as text, and also laid out here as a chain of points with
heights in unit steps. Water at every point of a piece is then let run downhill (never up), point by point, and air
uphill: a piece wants a drain where water stays, and a vent where air stays.
"""

from itertools import pairwise

from hookups import hookup, rules_found
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

LEVEL = ("left", "toward")
#: What may stand on a leg. `drain` and `vent` are openings; a valve ends the piece.
ITEMS = ("drain", "vent", "strainer")


@st.composite
def legs(draw: st.DrawFn) -> tuple[str, ...]:
    """A leg whose vertical moves are parted by level ones, so that none turns straight back on itself."""
    words: list[str] = []
    heading = ""
    for word in draw(st.lists(st.sampled_from(("up", "down", *LEVEL, *ITEMS, "valve")), max_size=9)):
        if word in ("up", "down"):
            if heading in ("up", "down") and heading != word:
                words.append("left")
                heading = "left"
            if heading == word:
                continue
            heading = word
        elif word in LEVEL:
            if heading in ("", "up", "down") or heading == word:
                heading = word
            else:
                continue
        elif heading in ("up", "down"):  # items stand on level pipe here: what close pieces in a riser do is no step
            words.append("left")
            heading = "left"
        words.append(word)
    return tuple(words)


def printed(words: tuple[str, ...], first: int) -> str:
    """The words as lines of a hookup; tags are numbered from `first`."""
    lines = []
    for number, word in enumerate(words, first):
        named = {"drain": "drain 3/4", "vent": "vent 1/2", "strainer": f"strainer ST-{number}"}
        lines.append(f"ball valve BV-{number}" if word == "valve" else named.get(word, word))
    return "; ".join(lines)


def wanted(supply: tuple[str, ...], back: tuple[str, ...], low_first: bool) -> list[str]:
    """The faults that a fitter would count: `drain-missing` for every trap, `vent-missing` for every air pocket."""
    # One chain of points from main to main; between two points a step of -1, 0 or 1, or a wall (a shut valve).
    heights, walls, opens = [0], set(), [set()]
    coil_at = 0

    def step(rise: int) -> None:
        heights.append(heights[-1] + rise)
        opens.append(set())

    for words in (supply, ("coil",), back):
        for word in words:
            if word == "coil":
                coil_at = len(heights) - 1
                step(1 if low_first else -1)
            elif word == "valve":
                step(0)
                walls.add(len(heights) - 2)  # between the last two points
            else:
                step({"up": 1, "down": -1}.get(word, 0))
                if word in ("drain", "vent"):
                    opens[-1].add(word)
    assert coil_at >= 0
    faults: list[str] = []
    bounds = [-1, *sorted(walls), len(heights) - 1]
    pieces = [range(a + 1, b + 1) for a, b in pairwise(bounds)]
    for piece in pieces[1:-1]:  # the first and the last are open to a main
        for sign, opening, fault in ((1, "drain", "drain-missing"), (-1, "vent", "vent-missing")):
            faults += [fault] * len(_stays(piece, [sign * h for h in heights], opens, opening))
    return sorted(faults)


def _stays(piece: range, heights: list[int], opens: list[set[str]], opening: str) -> set[frozenset[int]]:
    """The level stretches at the bottom of a piece, each without an opening. Pieces are chains: neighbours are +-1."""
    found: set[frozenset[int]] = set()
    for start in piece:
        reach, todo = {start}, [start]
        while todo:  # everything that water at `start` can come to without ever rising
            at = todo.pop()
            for beside in (at - 1, at + 1):
                if beside in piece and beside not in reach and heights[beside] <= heights[at]:
                    reach.add(beside)
                    todo.append(beside)
        # Where it ends: points from which nothing lower can be reached.
        for at in reach:
            flat = _flat(at, piece, heights)
            ends = {b for f in flat for b in (f - 1, f + 1) if b in piece and b not in flat}
            if all(heights[b] > heights[at] for b in ends) and not any(opening in opens[f] for f in flat):
                found.add(frozenset(flat))
    return found


def _flat(at: int, piece: range, heights: list[int]) -> set[int]:
    flat, todo = {at}, [at]
    while todo:
        now = todo.pop()
        for beside in (now - 1, now + 1):
            if beside in piece and beside not in flat and heights[beside] == heights[at]:
                flat.add(beside)
                todo.append(beside)
    return flat


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(supply=legs(), back=legs(), low_first=st.booleans())
def test_low_and_high_points_agree_with_a_plain_search(
    supply: tuple[str, ...], back: tuple[str, ...], low_first: bool
) -> None:
    levels = ("low", "high") if low_first else ("high", "low")
    text = hookup(printed(supply, 1), printed(back, 100), levels=levels)
    found = [name for name in rules_found(text) if name in ("drain-missing", "vent-missing")]
    assert found == wanted(supply, back, low_first), text


def test_the_search_itself_on_a_case_worked_by_hand() -> None:
    # Main, valve, up, level, down, level | coil (up) | vent, valve, main: traps at the valve and at the foot of
    # the coil; the loop's top holds air, the coil's top is vented.
    supply = ("valve", "up", "left", "down", "left")
    assert wanted(supply, ("vent", "valve"), True) == ["drain-missing", "drain-missing", "vent-missing"]
    assert wanted(("valve", "drain"), ("vent", "valve"), True) == []
    assert wanted((), ("valve",), True) == []
