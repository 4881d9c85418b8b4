"""Which step of an old hookup is which step of a new one."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from .align import Pairs, Token, align, gaps
from .shape import Step

#: The steps of one run: a line, or what branches off one thing in it.
Run = list[Step]


@dataclass(slots=True)
class Matched:
    """`same`: old and new steps in the order of the new ones; `moved`: the old ones of them that stand elsewhere in
    their line, or in another one; `gone` and `come`: the steps without a match.
    """

    same: list[tuple[Step, Step]]
    moved: set[Step]
    gone: list[Step]
    come: list[Step]
    places: dict[Step, str]


def match(old: Sequence[Step], new: Sequence[Step], lines: Mapping[str, str]) -> Matched:
    """Match the steps of all lines, in flow order. `lines` says which new line an old one became.

    Tags first; then what stands at the same place of its line and is of the same kind and size, so that another tag is
    another tag and not a thing gone and one come; then what is of the same kind at the same place, whatever its size;
    then what is alike and stands elsewhere in its line. What branches off two things that are the same is matched in
    the same way.
    """
    return _Matcher(old, new, lines).match()


class _Matcher:
    def __init__(self, old: Sequence[Step], new: Sequence[Step], lines: Mapping[str, str]) -> None:
        self.old, self.new, self.lines = old, new, lines
        self.old_runs, self.new_runs = _runs(old), _runs(new)
        self.twin: dict[Step, Step] = {}  # of an old or a new step
        self.moved: set[Step] = set()

    def match(self) -> Matched:
        tagged = {step.tag: step for step in self.new if step.tag}
        for a in self.old:
            if a.tag in tagged and tagged[a.tag] not in self.twin:
                self._pair(a, tagged[a.tag])
        for before, after in self.lines.items():
            self._run(self.old_runs.get((before, ""), []), self.new_runs.get((after, ""), []))
        for a in self.old:  # a thing stands before what branches off it
            if not a.is_move and a in self.twin:
                b = self.twin[a]
                self._run(self.old_runs.get((a.line, a.id), []), self.new_runs.get((b.line, b.id), []))
        self._hung_elsewhere()
        return Matched(
            [(self.twin[b], b) for b in self.new if b in self.twin],
            self.moved,
            [a for a in self.old if a not in self.twin],
            [b for b in self.new if b not in self.twin],
            {**_places(self.old_runs), **_places(self.new_runs)},
        )

    def _pair(self, a: Step, b: Step) -> None:
        self.twin[a], self.twin[b] = b, a

    def _free(self, steps: Iterable[Step]) -> list[Step]:
        return [step for step in steps if step not in self.twin]

    def _hung_elsewhere(self) -> None:
        """What is in another line, or hangs on another thing, has moved."""
        before = {step.id: step for step in self.old if not step.is_move}
        after = {step.id: step for step in self.new if not step.is_move}
        for a in self.old:
            if a.is_move or a not in self.twin:
                continue
            b = self.twin[a]
            on, now_on = before.get(a.under), after.get(b.under)
            stays = now_on is None if on is None else now_on is not None and self.twin.get(on) is now_on
            if self.lines.get(a.line) != b.line or not stays:
                self.moved.add(a)

    def _run(self, old: Run, new: Run) -> None:
        anchors = self._things([s for s in old if not s.is_move], [s for s in new if not s.is_move])
        before, after = _index(old), _index(new)
        self._moves(old, new, [(before[a], after[b]) for a, b in anchors])

    def _things(self, old: Run, new: Run) -> list[tuple[Step, Step]]:
        """Pair the things of a run; gives those that keep their order."""
        here, there = set(old), set(new)
        tokens = [_token(step, self.twin.get(step) in there) for step in old]
        pairs = align(tokens, [_token(step, self.twin.get(step) in here) for step in new])
        for token in (_kind, _carried):
            found = []
            for before, after in gaps(pairs, len(old), len(new)):
                free = self._untagged(old, before), self._untagged(new, after)
                aligned = align([token(old[i]) for i in free[0]], [token(new[j]) for j in free[1]])
                found += [(free[0][i], free[1][j]) for i, j in aligned]
            pairs = sorted([*pairs, *found])
        for i, j in pairs:
            self._pair(old[i], new[j])
        untagged = [[s for s in self._free(run) if not s.tag] for run in (old, new)]
        for a, b in _in_order(untagged[0], untagged[1], lambda step: step.token):
            self._pair(a, b)
        kept = {old[i] for i, _ in pairs}
        self.moved.update(a for a in old if self.twin.get(a) in there and a not in kept)
        return [(old[i], new[j]) for i, j in pairs]

    def _untagged(self, run: Run, among: range) -> list[int]:
        return [i for i in among if run[i] not in self.twin and not run[i].tag]

    def _moves(self, old: Run, new: Run, anchors: Pairs) -> None:
        """Moves between the same things; a thing that a move changed sides of has moved along the line."""
        between = [
            ([old[i] for i in a if old[i].is_move], [new[j] for j in b if new[j].is_move])
            for a, b in gaps(anchors, len(old), len(new))
        ]
        for before, after in between:
            for i, j in align([(s.text,) for s in before], [(s.text,) for s in after]):
                self._pair(before[i], after[j])
            for a, b in _in_order(self._free(before), self._free(after), lambda step: step.way):
                self._pair(a, b)
        gap = {step: number for number, sides in enumerate(between) for side in sides for step in side}
        before, after = (self._free(step for sides in between for step in sides[side]) for side in (0, 1))
        for a, b in _in_order(before, after, lambda step: step.text):
            self._pair(a, b)
            first, last = sorted((gap[a], gap[b]))
            self.moved.update(old[i] for i, _ in anchors[first:last])
        for before, after in between:
            for a, b in zip(self._free(before), self._free(after), strict=False):
                self._pair(a, b)


def _runs(steps: Iterable[Step]) -> dict[tuple[str, str], Run]:
    made: dict[tuple[str, str], Run] = {}
    for step in steps:
        made.setdefault((step.line, step.under), []).append(step)
    return made


def _index(run: Run) -> dict[Step, int]:
    return {step: index for index, step in enumerate(run)}


def _token(step: Step, stays: bool) -> Token:
    """`stays`: the thing of the same tag is in the same run."""
    return ("tag", step.tag) if stays and step.tag else step.token


def _kind(step: Step) -> Token:
    return (step.facts["kind"],)


def _carried(step: Step) -> Token:
    return step.carries or _kind(step)


def _in_order(old: Sequence[Step], new: Sequence[Step], key: Callable[[Step], Hashable]) -> list[tuple[Step, Step]]:
    """Steps that share a key: the first with the first, the second with the second."""
    waiting: dict[Hashable, list[Step]] = {}
    for b in new:
        waiting.setdefault(key(b), []).append(b)
    return [(a, waiting[key(a)].pop(0)) for a in old if waiting.get(key(a))]


def _places(runs: Mapping[tuple[str, str], Run]) -> dict[Step, str]:
    names = {step.id: step.name for run in runs.values() for step in run if not step.is_move}
    return {
        step: _place(index, run) + (f", on {names[under]}" if under in names else "")
        for (_, under), run in runs.items()
        for index, step in enumerate(run)
    }


def _place(index: int, run: Run) -> str:
    """The nearest thing on either side in its run, and the moves to it: `after BV-101, left, before ST-101`."""
    behind = next((other for other in run[index + 1 :] if not other.is_move), None)
    moves: list[str] = []
    ahead = None
    for other in reversed(run[:index]):
        if not other.is_move:
            ahead = other
            break
        moves.insert(0, " and ".join(other.way[1:-2]) or other.text)
    after = [*([ahead.name] if ahead is not None else []), *moves]
    words = [f"after {', '.join(after)}" if after else "first"]
    words.append(f"before {behind.name}" if behind is not None else "last")
    return ", ".join(words)
