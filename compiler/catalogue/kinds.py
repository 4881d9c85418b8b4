"""The component kinds: those of the shipped tables, and those that a file declares."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache

from ..model.kind import EndChoice, Kind
from ..model.size import size
from .tables import table


@cache
def shipped_kinds() -> dict[str, Kind]:
    """Every kind of `kinds.csv` with its ends of `kind_ends.csv`, by name."""
    ends: dict[str, list[EndChoice]] = {}
    for row in table("kind_ends"):
        ends.setdefault(row["kind"], []).append(
            EndChoice(
                row["word"],
                row["form"],
                size(row["from"]),
                size(row["to"]),
                row["metal"],
                row["class"],
                row["facing"],
                row["length"],
            )
        )
    return {
        row["name"]: Kind(
            name=row["name"],
            synonyms=tuple(word for word in row["synonyms"].split("|") if word),
            group=row["group"],
            ports=row["ports"],
            abilities=frozenset(word for word in row["abilities"].split("|") if word),
            choices=tuple(ends.get(row["name"], ())),
            handed=row["handed"] == "yes",
            seat=row["seat"],
            length=row["length"],
            standard=row["standard"],
        )
        for row in table("kinds")
    }


@cache
def _shipped_names() -> dict[str, str]:
    return {word: kind.name for kind in shipped_kinds().values() for word in (kind.name, *kind.synonyms)}


class KindBook(Mapping[str, Kind]):
    """The kinds that a run knows: its files' own stand before the shipped ones."""

    def __init__(self) -> None:
        self._own: dict[str, Kind] = {}
        self._words: dict[str, str] = {}

    def add(self, kind: Kind) -> None:
        """Add a kind of the file's own."""
        self._own[kind.name] = kind
        for word in (kind.name, *kind.synonyms):
            self._words[word] = kind.name

    def find(self, words: str) -> Kind | None:
        """The kind called so, by name or synonym."""
        name = self._words.get(words) or _shipped_names().get(words)
        return None if name is None else self[name]

    def own(self, name: str) -> Kind | None:
        """The kind of the file's own with that name."""
        return self._own.get(name)

    def names(self) -> tuple[str, ...]:
        """All names and synonyms, for proposing the nearest."""
        return (*self._words, *_shipped_names())

    def __getitem__(self, name: str) -> Kind:
        return self._own.get(name) or shipped_kinds()[name]

    def __iter__(self) -> Iterator[str]:
        return iter(dict.fromkeys((*self._own, *shipped_kinds())))

    def __len__(self) -> int:
        return sum(1 for _ in self)
