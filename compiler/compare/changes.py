"""What differs between two hookups, by meaning."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from ..model.span import Origin
from .facts import Facts
from .matching import Matched, match
from .shape import Shape, Step

Sort = Literal["added", "removed", "resized", "moved", "retagged", "changed"]
#: Facts by name, with the lines of the file.
Kept: TypeAlias = Mapping[str, tuple[Facts, Origin]]


@dataclass(frozen=True, slots=True)
class Change:
    """One difference. `thing` is a tag or what a thing is, `about` the fact that differs, `place` where it stands.

    `before` and `after` are empty where the file says nothing. `origin`: the lines of the new file, then of the old.
    """

    sort: Sort
    line: str
    thing: str
    about: str
    before: str
    after: str
    place: str
    origin: Origin


def changes(old: Shape, new: Shape) -> list[Change]:
    """All that differs, from the unit as a whole down to the things in its lines."""
    coils = _same_or_alike(old, new, old.coils, new.coils, _coil_key)
    lines = _same_or_alike(old, new, old.lines, new.lines, _line_key)
    before = [step for run in old.steps.values() for step in run]
    found = match(before, [step for run in new.steps.values() for step in run], lines)
    renamed = Renamed({**coils, **{a.tag: b.tag for a, b in found.same if a.tag and b.tag}})
    return [
        *_facts("", "unit", old.facts, new.facts, new.origin + old.origin),
        *_declared(renamed, old.declared, new.declared),
        *_named("coil", renamed, old.coils, new.coils, coils),
        *_named("line", renamed, old.lines, new.lines, lines),
        *_steps(found, lines),
    ]


class Renamed:
    """Old tags to new ones: what only names a thing by its other tag is no other difference."""

    def __init__(self, tags: Mapping[str, str]) -> None:
        self._tags = {a: b for a, b in tags.items() if a != b}

    def __call__(self, text: str) -> str:
        """A text, its words that are old tags replaced by the new ones."""
        if not self._tags:
            return text
        words = ((word.rstrip(",;"), word[len(word.rstrip(",;")) :]) for word in text.split(" "))
        return " ".join(self._tags.get(word, word) + end for word, end in words)


def _facts(line: str, thing: str, old: Facts, new: Facts, origin: Origin, place: str = "") -> Iterator[Change]:
    for name in [*old, *(name for name in new if name not in old)]:
        before, after = old.get(name, ""), new.get(name, "")
        if before != after:
            sort: Sort = "resized" if name in ("size", "side") else "changed"
            about = "size of the side" if name == "side" else name
            yield Change(sort, line, thing, about, before, after, place, origin)


def _declared(renamed: Renamed, old: Kept, new: Kept) -> Iterator[Change]:
    """Services and specs that only one of them uses are told where lines and coils come to use them."""
    for name in [*old, *(name for name in new if name not in old)]:
        if name in old and name in new:
            yield from _facts("", name, _as_now(renamed, old[name][0], new[name][0]), new[name][0], new[name][1])
        elif name.startswith("lineup ") or name == "lengths":
            facts, origin = (new if name in new else old)[name]
            before, after = ("", _text(facts)) if name in new else (_text(facts), "")
            yield Change("added" if name in new else "removed", "", name, "", before, after, "", origin)


def _as_now(renamed: Renamed, old: Facts, new: Facts) -> Facts:
    """The old facts, those that only name other tags as they are now."""
    return {name: new[name] if renamed(text) == new.get(name) else text for name, text in old.items()}


# -- coils and lines --------------------------------------------------------------------------------------------------


def _same_or_alike(
    old: Shape, new: Shape, before: Kept, after: Kept, key: Callable[[Shape, str], Hashable]
) -> dict[str, str]:
    """Old names to new ones: those of the same name, then those of another name that are alike, in their order."""
    made = {name: name for name in before if name in after}
    waiting: dict[Hashable, list[str]] = {}
    for name in after:
        if name not in before:
            waiting.setdefault(key(new, name), []).append(name)
    for name in before:
        alike = waiting.get(key(old, name), []) if name not in after else []
        if alike:
            made[name] = alike.pop(0)
    return made


def _coil_key(shape: Shape, name: str) -> Hashable:
    return tuple(sorted(shape.coils[name][0].items()))


def _line_key(shape: Shape, name: str) -> Hashable:
    """What a line has of its own besides its name, its tags and where it runs from and to."""
    facts = shape.lines[name][0]
    steps = tuple(step.way or step.token for step in shape.steps[name])
    return (name.split()[0], facts.get("size"), facts.get("service"), steps)


def _named(word: str, renamed: Renamed, old: Kept, new: Kept, pairs: Mapping[str, str]) -> Iterator[Change]:
    there = set(pairs.values())

    def line(name: str) -> str:
        return name if word == "line" else ""

    for name, (facts, origin) in old.items():
        if name not in pairs:
            yield Change("removed", line(name), word, "", _text({word: name, **facts}), "", "", origin)
            continue
        other = pairs[name]
        now, origin_now = new[other]
        if other != name and (word == "coil" or renamed(name) != other):
            yield Change("retagged", "", word, "", name, other, "", origin_now + origin)
        thing = word if word == "line" else other
        yield from _facts(line(other), thing, _as_now(renamed, facts, now), now, origin_now + origin)
    for name, (facts, origin) in new.items():
        if name not in there:
            yield Change("added", line(name), word, "", "", _text({word: name, **facts}), "", origin)


def _text(facts: Facts) -> str:
    return "; ".join(f"{key} {text}" for key, text in facts.items())


# -- things and moves -------------------------------------------------------------------------------------------------


def _steps(found: Matched, lines: Mapping[str, str]) -> Iterator[Change]:
    """Things and moves; what branches off a thing that came or went is told with it."""
    for a, b in found.same:
        place, origin = found.places[b], b.origin + a.origin
        if a.is_move:
            if a.text != b.text:
                yield Change("changed", b.line, "move", "", a.text, b.text, place, origin)
            continue
        if a.tag != b.tag:
            yield Change("retagged", b.line, b.text, "", a.tag or "no tag", b.tag or "no tag", place, origin)
        if a in found.moved:
            was, now = found.places[a], place
            if lines.get(a.line) != b.line:
                was, now = f"{a.line}: {was}", f"{b.line}: {now}"
            yield Change("moved", b.line, b.name, "", was, now, "", origin)
        yield from _facts(b.line, b.name, a.facts, b.facts, origin, "" if b.tag else place)
    yield from _alone("removed", found.gone, found.places)
    yield from _alone("added", found.come, found.places)


def _alone(sort: Sort, steps: Sequence[Step], places: Mapping[Step, str]) -> Iterator[Change]:
    ids = {step.id for step in steps if not step.is_move}
    for step in steps:
        if step.under in ids:
            continue
        parts = [step, *(other for other in steps if _is_on(other, step, steps))]
        text = step.text if step.is_move else ", ".join(map(_described, (p for p in parts if not p.is_move)))
        before, after = (text, "") if sort == "removed" else ("", text)
        thing = "move" if step.is_move else step.name
        yield Change(sort, step.line, thing, "", before, after, places[step], step.origin)


def _is_on(step: Step, other: Step, steps: Sequence[Step]) -> bool:
    """Whether a step stands on a branch off another, at whatever remove."""
    parents = {one.id: one.under for one in steps if not one.is_move}
    under = step.under
    while under and under != other.id:
        under = parents.get(under, "")
    return bool(under)


def _described(step: Step) -> str:
    tag = f"{step.tag}: " if step.tag else ""
    return f"{tag}{step.text} {step.facts['size']}" + (f" x {step.facts['side']}" if "side" in step.facts else "")
