"""Books: what is read, what is told, what is never guessed."""

import io
import time
from decimal import Decimal

import openpyxl
import pytest
from coilwright.pricing.book import Book, read_book
from coilwright.pricing.books import NotFound, together
from hypothesis import given, settings
from hypothesis import strategies as st

HEAD = "item,size,unit,price\n"


def told(book: Book) -> list[tuple[int, str, bool]]:
    return [(problem.row, problem.column, problem.grave) for problem in book.problems]


def prices(book: Book) -> dict[tuple[str, ...], Decimal]:
    return {key: entry.value for key, entry in book.prices}


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize(("delimiter", "number"), [(",", "12.5"), (";", "12,5"), ("\t", "12,5")])
def test_encodings_delimiters_and_decimals_say_the_same(encoding: str, delimiter: str, number: str) -> None:
    rows = [["item", "size", "unit", "price"], ["Ventil für Café", "2 1/2", "each", number]]
    book = read_book("b.csv", "\r\n".join(delimiter.join(row) for row in rows).encode(encoding))
    assert prices(book) == {("ventil für café", "2-1/2", "", "pieces"): Decimal("12.5")}
    assert not any(problem.grave for problem in book.problems)
    assert len(book.problems) == (encoding == "cp1252")


def test_all_problems_of_a_book_in_one_go_with_their_rows() -> None:
    text = (
        HEAD + 'tee,2,ea,1.00\ntee,3,ea,call us\n,3,ea,2\ntee,4,,2\ntee,4,ea,\ntee,6,ea,-3\n"a"b,1,ea,1\ntee,8,ea,9.5\n'
    )
    book = read_book("b.csv", text.encode())
    assert told(book) == [
        (8, "", True),
        (3, "price", True),
        (4, "item", True),
        (5, "unit", True),
        (6, "price", True),
        (7, "price", True),
    ]
    assert sorted(prices(book).values()) == [Decimal("1.00"), Decimal("9.5")]


def test_missing_columns_are_named() -> None:
    book = read_book("b.csv", b"item,size,price\ntee,2,1\n")
    assert book.empty
    assert "has no unit" in book.problems[0].what


def test_a_number_that_reads_two_ways_is_not_guessed() -> None:
    text = "item;unit;price\ntee;ea;1,250\n"
    assert read_book("b.csv", text.encode()).empty
    assert list(prices(read_book("b.csv", ("# decimal comma\n" + text).encode())).values()) == [Decimal("1.250")]
    shown = text + "elbow;ea;2,5\n"  # another number of the book shows its sign
    assert Decimal("1.250") in prices(read_book("b.csv", shown.encode())).values()


def test_two_prices_under_one_key_give_none() -> None:
    book = read_book("b.csv", (HEAD + 'Tee,2,ea,1\ntee,"2""",pieces,2\nelbow,2,ea,3\nelbow,2,ea,3.00\n').encode())
    books = together([book])
    assert [(p.row, p.grave) for p in books.problems] == [(3, True), (5, False)]
    found = books.prices.find(("tee", "2", "", "pieces"))
    assert isinstance(found, NotFound)
    assert "two things" in found.why
    assert not isinstance(books.prices.find(("elbow", "2", "any spec", "pieces")), NotFound)


def test_what_is_not_in_the_books_is_told_by_what_they_have() -> None:
    books = together([read_book("b.csv", (HEAD + "tee,2,ea,1\n").encode())])
    whys = [
        books.prices.find(key)
        for key in (("tee", "2", "", "ft"), ("tee", "3", "", "pieces"), ("tees", "2", "", "pieces"))
    ]
    assert whys == [
        NotFound("the books have it by unit pieces only"),
        NotFound("the books have it by size 2 only"),
        NotFound("the books do not have the item"),
    ]


def test_formulas_of_a_workbook_are_not_run_and_dates_are_told() -> None:
    import datetime

    made = openpyxl.Workbook()
    sheet = made.active
    assert sheet is not None
    for row in (
        ["item", "size", "unit", "price"],
        ["tee", 2, "ea", "=1+1"],
        ["tee", datetime.date(2026, 3, 4), "ea", 5],
        ["tee", 2.5, "ea", 7.25],
    ):
        sheet.append(row)
    stream = io.BytesIO()
    made.save(stream)
    book = read_book("b.xlsx", stream.getvalue())
    assert prices(book) == {("tee", "2-1/2", "", "pieces"): Decimal("7.25")}
    assert told(book) == [(2, "price", True), (3, "size", True)]
    assert "without a stored value" in book.problems[0].what


def test_units_of_measure_and_by_the_hundred_are_exact() -> None:
    books = together([read_book("b.csv", (HEAD + "pipe,2,100 ft,250\ntube,2,m,3.05\n").encode())])
    each = [books.prices.find((name, "2", "", "ft")) for name in ("pipe", "tube")]
    assert [str(entry.each) for entry in each if not isinstance(entry, NotFound)] == ["5/2", "23241/25000"]


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=300), st.sampled_from([b"", HEAD.encode(), b"PK\x03\x04", b"\xff\xfe", b"item;unit;price\n"]))
def test_any_bytes_are_told_and_never_crash(data: bytes, start: bytes) -> None:
    book = read_book("b", start + data)
    assert not book.empty or any(problem.grave for problem in book.problems)
    together([book])


@given(st.lists(st.text(max_size=12), min_size=4, max_size=4))
def test_every_row_is_read_or_told(cells: list[str]) -> None:
    import csv

    stream = io.StringIO()
    csv.writer(stream, lineterminator="\n").writerows([["item", "size", "unit", "price"], cells])
    try:
        data = stream.getvalue().encode()
    except UnicodeEncodeError:
        return
    book = read_book("b.csv", data)
    silent = not any(cell.strip() for cell in cells) or cells[0].lstrip().startswith("#") or not any(cells)
    assert silent or book.prices or any(problem.grave for problem in book.problems)


def test_two_hundred_thousand_rows() -> None:
    text = HEAD + "".join(f"item {n},2,ea,{n % 900}.25\n" for n in range(200_000)) + "item 7,2,ea,x\n"
    start = time.process_time()
    books = together([read_book("b.csv", text.encode())])
    assert time.process_time() - start < 30
    assert len(books.prices) == 200_000
    assert [problem.row for problem in books.problems] == [200_002]
