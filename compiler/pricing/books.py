"""All books of a run as one: looked up by exact keys, the most exact row first. Two that differ give no answer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from .book import Book, Entry, Factor, Problem, wrong_currency

#: Places of a key that a book may leave open: size and spec of (item, size, spec, unit); size, detail and where of
#: (operation, size, detail, where, unit).
_OPEN_PRICES, _OPEN_HOURS = (1, 2), (1, 2, 3)
_NAMES = {_OPEN_PRICES: ("item", "size", "spec", "unit"), _OPEN_HOURS: ("operation", "size", "detail", "where", "unit")}


@dataclass(frozen=True, slots=True)
class NotFound:
    """Why a key has no entry."""

    why: str


class Index:
    """Entries by key."""

    def __init__(self, open_places: tuple[int, ...]) -> None:
        self._open = open_places
        self._entries: dict[tuple[str, ...], Entry] = {}
        self._two: dict[tuple[str, ...], str] = {}
        self._near: dict[str, list[tuple[str, ...]]] | None = None
        self._found: dict[tuple[str, ...], Entry | NotFound] = {}

    def add(self, key: tuple[str, ...], entry: Entry) -> tuple[str, bool]:
        """Put an entry in. What there is to say if its key was there before, and whether that is grave."""
        before = self._entries.get(key)
        if before is None:
            self._entries[key] = entry
            return "", False
        if before.each == entry.each and key not in self._two:
            return f"says again what {before.place} says", False
        self._two[key] = f"{self._two.get(key, before.place)} and {entry.place}"
        return f"differs from {before.place}, which has the same key; neither is used", True

    def __len__(self) -> int:
        return len(self._entries)

    def find(self, key: tuple[str, ...]) -> Entry | NotFound:
        """The entry of a key: the row that says it all, else the one that leaves least of it open."""
        if key not in self._found:
            self._found[key] = self._find(key)
        return self._found[key]

    def _find(self, key: tuple[str, ...]) -> Entry | NotFound:
        said = [place for place in self._open if key[place]]
        for left_open in range(len(said) + 1):
            fits = []
            for places in combinations(said, left_open):
                one = tuple("" if at in places else part for at, part in enumerate(key))
                if one in self._two:
                    return NotFound(f"the books say two things: {self._two[one]}")
                if one in self._entries:
                    fits.append(self._entries[one])
            if len({entry.each for entry in fits}) > 1:
                return NotFound(f"two rows fit equally well: {' and '.join(entry.place for entry in fits)}")
            if fits:
                return fits[0]
        return NotFound(self._why(key))

    def _why(self, key: tuple[str, ...]) -> str:
        """What the books have of that name, where they have it at all."""
        names = _NAMES[self._open]
        if self._near is None:
            self._near = {}
            for one in self._entries:
                self._near.setdefault(one[0], []).append(one)
        others = self._near.get(key[0])
        if not others:
            return f"the books do not have the {names[0]}"
        for place in (len(key) - 1, *self._open):
            alike = [one for one in others if one[place] in (key[place], "")]
            if not alike:
                had = sorted({one[place] for one in others})
                more = f" and {len(had) - 5} more" if len(had) > 5 else ""
                return f"the books have it by {names[place]} {', '.join(had[:5])}{more} only"
            others = alike
        return f"the books do not have it with all of {', '.join(names[1:])}"


@dataclass(slots=True)
class Books:
    """All books. `rates` by trade, empty: for every trade without its own; `chosen`: the factors in use, by name."""

    names: tuple[str, ...]
    prices: Index
    hours: Index
    rates: Mapping[str, Entry]
    factors: Mapping[str, Sequence[Factor]]
    currency: str
    notes: tuple[str, ...]
    problems: tuple[Problem, ...]

    def rate(self, trade: str) -> Entry | None:
        """What a crew hour of a trade costs."""
        return self.rates.get(trade, self.rates.get(""))


def together(books: Sequence[Book]) -> Books:
    """The books as one. Rows that differ under one key are told and not used."""
    prices, hours = Index(_OPEN_PRICES), Index(_OPEN_HOURS)
    rates: dict[str, Entry] = {}
    factors: dict[str, list[Factor]] = {}
    problems = [problem for book in books for problem in book.problems]
    money = next((book.currency for book in books if book.currency), "")
    if money and (wrong := wrong_currency(money)):
        problems.append(Problem(_first(books, money), "", 0, "currency", f"{wrong}; money is printed without one"))
    for book in books:
        if book.currency and book.currency != money:
            what = f"is in {book.currency}, another book in {money}: its prices and rates are not used"
            problems.append(Problem(book.name, "", 0, "currency", what))
        else:
            problems.extend(_put(book, prices, book.prices))
            problems.extend(_rates(book, rates))
        problems.extend(_put(book, hours, book.hours))
        for factor in book.factors:
            factors.setdefault(factor.name, []).append(factor)
    notes = [f"{book.name}: {remark}" for book in books for remark in book.remarks]
    shown = "" if not money or wrong_currency(money) else money
    return Books(
        tuple(book.name for book in books), prices, hours, rates, factors, shown, tuple(notes), tuple(problems)
    )


def _first(books: Sequence[Book], money: str) -> str:
    return next(book.name for book in books if book.currency == money)


def _put(book: Book, index: Index, rows: Iterable[tuple[tuple[str, ...], Entry]]) -> Iterable[Problem]:
    for key, entry in rows:
        said, grave = index.add(key, entry)
        if said:
            yield _at(book, entry, said, grave)


def _rates(book: Book, rates: dict[str, Entry]) -> Iterable[Problem]:
    for trade, rate in book.rates:
        before = rates.setdefault(trade, rate)
        if before is not rate:
            same = before.value == rate.value
            what = f"says again what {before.place} says" if same else f"differs from {before.place}, which is used"
            yield _at(book, rate, what, not same)


def _at(book: Book, entry: Entry, what: str, grave: bool) -> Problem:
    sheet, _, row = entry.place.removeprefix(book.name).strip().rpartition(":")
    return Problem(book.name, sheet, int(row), "", what, grave)
