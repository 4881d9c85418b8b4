"""The lists `stock` and `stock-to-buy`, and the lines of a takeoff block that they go by."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from coilwright import Compilation, compile_text
from coilwright.model.table import NOT_IN_TABLES, NOT_MEASURED, Table
from coilwright.takeoff.cut_pieces import cut_pieces

F = Fraction
TEXT = """\
project "Saltmarsh Aquarium: stock"
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec {spec}
typical tank, drawn with airflow left to right
    coil CC-* on chilled-water
        supply low at leaving side, {port}
        return high at entering side, {port}
    supply to CC-*, {size}
        from main CHS
        up 2 ft
        right 10 ft
        up {up}
        right 4 ft
    return from CC-*, {size}
        right 5 ft
        up 3 ft
        {rest}
        to main CHR
{units}
takeoff
{takeoff}
"""
AS_BOUGHT = "    pipe in 21 ft lengths"


def made(
    takeoff: str = AS_BOUGHT, *, up: str = "3 ft", units: int = 7, rest: str = "right 6 ft", size: str = "2",
    spec: str = "steel-welded", port: str = "2 flanged",
) -> Compilation:  # fmt: skip
    hands = ("left to right", "right to left")
    text = "\n".join(f"unit AH-{n} is tank, number {n}, airflow {hands[n % 2]}" for n in range(1, units + 1))
    return compile_text(TEXT.format(takeoff=takeoff, up=up, units=text, rest=rest, size=size, spec=spec, port=port))


def tables(compilation: Compilation) -> tuple[Table, Table]:
    assert [f.message for f in compilation.findings if f.severity == "error"] == []
    cuttings, to_buy = compilation.tables(["stock", "stock-to-buy"])
    return cuttings, to_buy


def counted(texts: object) -> int:
    """The numbers in front of `3 of 7 ft 2 in`, added up."""
    assert isinstance(texts, tuple)
    return sum(int(re.search(r"(\d+) of ", text)[1]) for text in texts)  # type: ignore[index]


def named(texts: object) -> int:
    """How many pieces `AH-*-S-C-01: P1, P3 (4) of 3 in` and its like name."""
    found = [re.findall(r"P\d+(?: \((\d+)\))?", text.partition(": ")[2]) for text in texts]  # type: ignore[attr-defined]
    return sum(int(count or 1) for counts in found for count in counts)


def test_every_known_piece_of_all_units_is_in_it_once() -> None:
    compilation = made()
    cuttings, to_buy = tables(compilation)
    known = [p for p in cut_pieces(compilation.job) if isinstance(p.length, Fraction)]
    (row,) = to_buy.rows
    cells = row.cells
    assert cells["pieces"] == sum(p.count for p in known) > 30
    assert cells["cut"] == sum(p.length * p.count for p in known)
    assert sum(named(r.cells["marks"]) for r in cuttings.rows) == cells["pieces"]
    for r in cuttings.rows:
        assert counted(r.cells["cuts"]) * r.cells["lengths"] == named(r.cells["marks"])
        assert r.origin
    assert cells["bought"] == sum(r.cells["lengths"] * r.cells["of"] for r in cuttings.rows)
    assert cells["bought"] == cells["cut"] + cells["kerf"] + cells["remnants"]
    assert cells["buy"] == (f"{sum(r.cells['lengths'] for r in cuttings.rows)} of 21 ft",)
    assert cells["reads"] == "the least"
    assert cells["bound"] == cells["bought"]


def test_both_hands_of_a_typical_share_a_mark() -> None:
    marks = {p.mark for p in cut_pieces(made().job)}
    assert marks
    assert all(mark.startswith("AH-*-") for mark in marks)
    assert all(p.called.startswith("AH-1-") for p in cut_pieces(made(units=1).job))


def test_cut_lengths_are_end_to_end_to_the_sixteenth() -> None:
    compilation = made()
    for piece in cut_pieces(compilation.job):
        assert isinstance(piece.length, Fraction)
        assert piece.length * 16 == int(piece.length * 16)
    longest = max(p.length for p in cut_pieces(compilation.job) if isinstance(p.length, Fraction))
    # 10 ft centre to centre, less two threaded elbows of 2-1/4 in, and 5/8 in of thread into each
    assert longest == 120 - 2 * F(9, 4) + 2 * F(5, 8)


def test_kerf_said_and_usual() -> None:
    usual, none = (tables(made(text))[1] for text in (AS_BOUGHT, f"{AS_BOUGHT}\n    saw kerf 0 in"))
    assert none.rows[0].cells["kerf"] == 0
    assert usual.rows[0].cells["kerf"] > 0
    assert "1/8 in (common practice, no source" in usual.notes[0]
    assert "as the file says" in none.notes[0]


def test_what_is_on_hand_is_used_first() -> None:
    cuttings, to_buy = tables(made(f"{AS_BOUGHT}\n    on hand 2 at 21 ft, 2, carbon steel"))
    before = tables(made())[1].rows[0].cells["bought"]
    assert [(r.cells["from"], r.cells["lengths"]) for r in cuttings.rows if r.cells["from"] == "on hand"]
    assert to_buy.rows[0].cells["on_hand"] == ("2 of 21 ft",)
    assert to_buy.rows[0].cells["bought"] == before - 2 * 252
    assert any(span.line for span in cuttings.rows[0].origin)


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("on hand 2 at 21 ft, 4", "nothing is cut of its size and material"),
        ("on hand 2 at 21 ft, 2, copper type L", "nothing is cut of its size and material"),
    ],
)
def test_what_fits_nothing_is_said(line: str, why: str) -> None:
    cuttings, to_buy = tables(made(f"{AS_BOUGHT}\n    {line}"))
    assert any(why in note for note in cuttings.notes)
    assert to_buy.rows[0].cells["on_hand"] is None


def test_size_may_be_left_out_only_where_one_is_cut() -> None:
    told = f"{AS_BOUGHT}\n    on hand 1 at 21 ft"
    assert tables(made(told))[1].rows[0].cells["on_hand"] == ("1 of 21 ft",)
    two = compile_text(TEXT.format(
        takeoff=told, up="3 ft", rest="right 6 ft", size="2", spec="steel-welded", port="2 flanged",
        units="unit AH-1 is tank, number 1, airflow left to right",
    ).replace("return from CC-*, 2", "return from CC-*, 3"))  # fmt: skip
    cuttings, to_buy = tables(two)
    assert len(to_buy.rows) == 2
    assert [row.cells["on_hand"] for row in to_buy.rows] == [None, None]
    assert any(
        "it could be for 3 carbon steel schedule 40 or 2 carbon steel schedule 80" in note for note in cuttings.notes
    )


def test_several_lengths() -> None:
    _, to_buy = tables(made("    pipe in 21 ft or 10 ft lengths", units=1))
    cells = to_buy.rows[0].cells
    assert cells["bought"] % 12 == 0
    assert cells["bought"] <= tables(made(units=1))[1].rows[0].cells["bought"]


def test_a_piece_longer_than_any_length_is_named() -> None:
    cuttings, to_buy = tables(made(up="30 ft"))
    named = [r for r in cuttings.rows if "longer than any length" in str(r.cells["from"])]
    assert sum(counted(r.cells["cuts"]) for r in named) == 7
    assert to_buy.rows[0].cells["reads"].endswith("; 7 pieces longer than any length")


def test_only_what_is_on_hand() -> None:
    cuttings, to_buy = tables(made("    on hand 1 at 21 ft"))
    assert to_buy.rows[0].cells["buy"] is None
    assert to_buy.rows[0].cells["bought"] == 0
    assert "pieces for which no length is left" in to_buy.rows[0].cells["reads"]
    assert any("none to buy is said" in str(r.cells["from"]) for r in cuttings.rows)


def test_no_lengths_said() -> None:
    cuttings, to_buy = tables(made("    spare gaskets 10 %"))
    assert cuttings.rows == ()
    assert to_buy.rows[0].cells["reads"] == "in what lengths it comes is not said"
    assert "buy" not in to_buy.rows[0].cells
    assert any("In what lengths pipe comes is not said" in note for note in to_buy.notes)


def test_pieces_that_are_not_measured_are_counted_never_nothing() -> None:
    compilation = made(rest="right")
    cuttings, to_buy = tables(compilation)
    unknown = sum(p.count for p in cut_pieces(compilation.job) if not isinstance(p.length, Fraction))
    assert unknown >= 7
    assert to_buy.rows[0].cells["unknown"] == unknown
    whole = unknown + to_buy.rows[0].cells["pieces"]
    assert to_buy.rows[0].cells["reads"] == f"the least for what is known; {unknown} of {whole} pieces are not in it"
    assert to_buy.rows[0].cells["buy"][0].startswith("at least ")
    assert any(note.startswith(f"{unknown} pieces are not in it") for note in cuttings.notes)


def test_nothing_measured() -> None:
    text = re.sub(r" \d+ ft\n", "\n", TEXT)
    compilation = compile_text(
        text.format(
            takeoff=AS_BOUGHT, up="", rest="right", size="2", spec="steel-welded", port="2 flanged",
            units="unit AH-1 is tank, number 1, airflow left to right",
        )
    )  # fmt: skip
    cuttings, to_buy = tables(compilation)
    assert cuttings.rows == ()
    assert [row.cells["cut"] for row in to_buy.rows] == [NOT_MEASURED]
    _, tube = tables(made(size="1", spec="copper-soldered", port="1 solder"))
    assert [row.cells["cut"] for row in tube.rows] == [NOT_IN_TABLES]


def test_soldered_tube_has_lengths_of_its_own() -> None:
    """Between two valves whose lengths the file gives; centre to end of soldered elbows is in no table."""
    valves = "lengths of ball valve, solder\n    1, 4 in\ntypical"
    text = TEXT.replace("typical", valves, 1).replace(
        "up 2 ft", "ball valve BV-*1\n        up 2 ft\n        ball valve BV-*2"
    )
    compilation = compile_text(
        text.format(
            takeoff="    pipe in 21 ft lengths\n    tube in 20 ft lengths", up="3 ft", rest="right 6 ft", size="1",
            spec="copper-soldered", port="1 solder", units="unit AH-1 is tank, number 1, airflow left to right",
        )
    )  # fmt: skip
    (row,) = tables(compilation)[1].rows
    assert (row.cells["sort"], row.cells["material"]) == ("tube", "copper type L")
    assert row.cells["buy"] == ("at least 1 of 20 ft",)
    assert row.cells["pieces"] == len([p for p in cut_pieces(compilation.job) if isinstance(p.length, Fraction)]) > 0
    # the straights to elbows: 10 ft, 3 ft and 4 ft of the supply, all three of the return
    assert row.cells["unknown"] == 6


@pytest.mark.parametrize(
    ("line", "rule", "words"),
    [
        ("pipe in lengths", "quantity-missing", ""),
        ("pipe in 21 psi lengths", "not-a-length", "21 psi"),
        ("pipe in 0 ft lengths", "not-positive", "0 ft"),
        ("pipe in 21 ft long lengths", "unknown-detail", "long"),
        ("pipe in 21 ft lengths, 500 % waste", "share-impossible", "500 % waste"),
        ("saw kerf", "quantity-missing", ""),
        ("saw kerf 2 psi", "not-a-length", "2 psi"),
        ("on hand at 7 ft", "number-missing", "on hand at 7 ft"),
        ("on hand 0 at 7 ft", "not-positive", "0"),
        ("on hand 2", "quantity-missing", ""),
        ("on hand 2 of 3 ft", "unknown-detail", "of"),
        ("on hand 2 at 3 ft, 17", "no-such-size", "17"),
        ("on hand 2 at 3 ft, stel", "unknown-metal", "stel"),
    ],
)
def test_wrong_lines_are_found_at_the_word(line: str, rule: str, words: str) -> None:
    (finding,) = (f for f in made(f"    {line}").findings if f.severity == "error")
    assert finding.rule == rule
    assert f"    {line}"[finding.span.column - 1 : finding.span.end_column - 1] == words
