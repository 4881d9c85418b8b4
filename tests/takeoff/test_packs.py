"""What is bought by the pack, and the findings of lines that say it badly."""

from pathlib import Path

import pytest
from coilwright import Compilation, compile_text
from coilwright.model.declared import PACKED, Pack
from coilwright.model.table import Table

EXAMPLE = (Path(__file__).parents[2] / "examples" / "aquarium-pair.hookup").read_text(encoding="utf-8")


def made(*lines: str) -> Compilation:
    kept = EXAMPLE.split("\ntakeoff")[0]
    return compile_text(kept + "\ntakeoff\n" + "".join(f"    {line}\n" for line in lines), name="test.hookup")


#: How rows begin, and how many are in a box of them.
SIZES = {"gasket ": 7, "stud,": 50, "heavy hex nut,": 100}


def table(compilation: Compilation, name: str) -> Table:
    (found,) = compilation.tables([name])
    return found


def test_boxes_hold_net_and_spare() -> None:
    compilation = made("spare gaskets 10 %", "gaskets in boxes of 7", "studs in boxes of 50", "nuts in boxes of 100")
    for name, total in (("bill", "total"), ("bolting", "total")):
        seen = set()
        for row in table(compilation, name).rows:
            text, net, extra = str(row.cells["description"]), row.cells[total], row.cells["extra"] or 0
            assert isinstance(net, int | float) and isinstance(extra, int | float)
            size = next((n for start, n in SIZES.items() if text.startswith(start)), None)
            if size is None:
                assert row.cells.get("packs") is None
                continue
            assert row.cells["packs"] == -(-(net + extra) // size) and row.cells["packed"] == f"boxes of {size}"
            seen.add(size)
        assert seen >= {7, 50, 100}


def test_a_narrower_word_stands_before_a_wider_one() -> None:
    rows = table(made("bolts in bags of 25", "studs in boxes of 50"), "bolting").rows
    studs = {row.cells["packed"] for row in rows if str(row.cells["description"]).startswith("stud,")}
    others = {row.cells["packed"] for row in rows if "cap screw" in str(row.cells["description"])}
    assert studs == {"boxes of 50"} and others <= {"bags of 25"}


def test_the_net_count_stays_and_no_column_stands_empty() -> None:
    plain, packed = (table(made(*lines), "bill") for lines in ((), ("gaskets in boxes of 10",)))
    assert [row.cells["total"] for row in plain.rows] == [row.cells["total"] for row in packed.rows]
    assert "packs" not in {column.key for column in plain.columns}
    assert "packs" in {column.key for column in packed.columns}
    glycol = table(made("glycol in drums of 55 gal"), "bill")
    assert "packs" not in {column.key for column in glycol.columns}


@pytest.mark.parametrize(
    ("line", "rule"),
    [
        ("gaskets in boxes", "not-understood"),
        ("gaskets in boxes of", "not-understood"),
        ("gaskets in of 10", "not-understood"),
        ("gaskets in", "not-understood"),
        ("gaskets in boxes of ten", "not-a-number"),
        ("gaskets in boxes of 2-1/2", "not-a-number"),
        ("gaskets in boxes of 0", "not-positive"),
        ("gaskets in boxes of 99999999", "not-a-number"),
        ("glycol in drums of 0 gal", "not-positive"),
        ("glycol in drums of 55", "not-a-volume"),
        ("glycol in drums of 55 lb", "not-a-volume"),
        ("glycol in drums of full", "quantity-missing"),
        ("solder in rolls of 1 gal", "not-a-mass"),
        ("valves in boxes of 5", "unknown-fact"),
    ],
)
def test_what_cannot_be_read_is_found(line: str, rule: str) -> None:
    found = [finding for finding in made(line).findings if finding.severity == "error"]
    assert [finding.rule for finding in found] == [rule]
    assert found[0].help


@pytest.mark.parametrize("what", PACKED)
def test_everything_that_can_be_packed_is_read(what: str) -> None:
    inside = {"": "50", "volume": "20 L", "mass": "5 kg"}[PACKED[what]]
    compilation = made(f"{what} in tins of {inside}")
    assert not [finding for finding in compilation.findings if finding.severity == "error"]
    pack = compilation.job.settings.packs[what]
    amount = {"": 50, "volume": 20 / 3.785411784, "mass": 5 / 0.45359237}[PACKED[what]]
    assert str(pack) == f"tins of {inside}" and pack.amount == pytest.approx(amount)


def test_no_pack_too_many() -> None:
    assert Pack("boxes", "50", 50).needed(100) == 2
    assert Pack("boxes", "50", 50).needed(101) == 3
    assert Pack("rolls", "1 lb", 1).needed(0.1 * 3 * 10) == 3  # 3.0000000000000004
    assert Pack("rolls", "1 lb", 1).needed(0) == 0
