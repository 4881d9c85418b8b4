"""A purchase held against a bill."""

from __future__ import annotations

import pytest
from coilwright.compare.bought import against
from coilwright.compare.read_bought import read_purchase
from coilwright.model.table import Column, Row, Table, Value

COLUMNS = tuple(Column(key, key) for key in ("group", "size", "description", "unit", "total", "extra"))


def bill_row(
    group: str, size: str, description: str, total: float, extra: float | None = None, unit: str = "pieces"
) -> Row:
    cells: dict[str, Value] = {
        "group": group, "size": size, "description": description, "unit": unit, "total": total, "extra": extra,
    }  # fmt: skip
    return Row(cells, ())


BILL = Table(
    "bill",
    "Bill",
    COLUMNS,
    (
        bill_row("pipe", "2-1/2", "pipe, carbon steel schedule 40", 40, 2, "ft"),
        bill_row("valves", "2-1/2", "ball valve, threaded, bronze", 6),
        bill_row("valves", "3/4", "ball valve, threaded, bronze", 10),
        bill_row("gaskets", "4", "gasket class 150", 10, 1),
        bill_row("fittings", "1", "90 elbow", 4),
    ),
)


def held(text: str | bytes) -> dict[str, list[tuple[Value, ...]]]:
    purchase = read_purchase(text if isinstance(text, bytes) else text.encode(), "bought.csv")
    assert not purchase.trouble
    keys = {
        "to-order": ("size", "description", "order"),
        "to-return": ("size", "description", "return"),
        "received": ("size", "description", "keep"),
        "bought-not-read": ("line", "why"),
    }
    return {
        table.name: [tuple(row.cells.get(key) for key in keys[table.name]) for row in table.rows]
        for table in against(BILL, purchase)
    }


HEAD = "group,size,description,quantity,unit\n"


def test_more_and_less_and_none() -> None:
    found = held(
        HEAD
        + 'pipe,2-1/2,"pipe, carbon steel schedule 40",42,ft\n'
        + 'valves,3/4,"ball valve, threaded, bronze",12,pieces\n'
        + "gaskets,4,gasket class 150,10,pieces\n"
        + "fittings,2,90 elbow,3,pieces\n"
    )
    assert found == {
        "to-order": [
            ("2-1/2", "ball valve, threaded, bronze", 6),
            ("4", "gasket class 150", 1),
            ("1", "90 elbow", 4),
        ],
        "to-return": [("3/4", "ball valve, threaded, bronze", 2), ("2", "90 elbow", 3)],
        "received": [
            ("2-1/2", "pipe, carbon steel schedule 40", 42),
            ("3/4", "ball valve, threaded, bronze", 10),
            ("4", "gasket class 150", 10),
        ],
    }


def test_nothing_is_lost() -> None:
    """Bought is what is kept and what goes back; needed is what is kept and what is still to be ordered."""
    purchase = read_purchase((HEAD + "fittings,1,90 elbow,7,pieces\ngaskets,4,gasket class 150,4,\n").encode(), "b.csv")
    order, back, received = against(BILL, purchase)
    kept = {str(row.cells["description"]): row.cells for row in received.rows}
    assert sum(one.quantity for one in purchase.rows) == sum(
        float(cells["keep"])
        for cells in kept.values()  # type: ignore[arg-type]
    ) + sum(float(row.cells["return"]) for row in back.rows)  # type: ignore[arg-type]
    for row in order.rows:
        assert float(row.cells["needed"]) == float(row.cells["order"]) + float(row.cells["bought"])  # type: ignore[arg-type]


def test_rows_of_one_thing_add_up_and_sizes_may_be_written_otherwise() -> None:
    found = held(
        HEAD + 'Valves,2 1/2 in,"Ball valve,  threaded, bronze",2,pcs\nvalves,DN 65,"ball valve, threaded, bronze",3,\n'
    )
    assert found["received"] == [("2-1/2", "ball valve, threaded, bronze", 5)]
    assert ("2-1/2", "ball valve, threaded, bronze", 1) in found["to-order"]


def test_lengths_in_metres() -> None:
    found = held(HEAD + 'pipe,2-1/2,"pipe, carbon steel schedule 40",12.192,m\n')
    assert found["received"] == [("2-1/2", "pipe, carbon steel schedule 40", 40)]
    assert found["to-order"][0] == ("2-1/2", "pipe, carbon steel schedule 40", 2)


def test_another_sort_of_unit_is_another_thing() -> None:
    found = held(HEAD + 'pipe,2-1/2,"pipe, carbon steel schedule 40",2,lengths\n')
    assert found["to-return"] == [("2-1/2", "pipe, carbon steel schedule 40", 2)]
    assert found["to-order"][0] == ("2-1/2", "pipe, carbon steel schedule 40", 42)


def test_fewer_columns_do_where_they_are_enough() -> None:
    found = held("Qty;Description\n4;90 elbow\n1,5;gasket class 150\n2;ball valve, threaded, bronze\n")
    assert found["received"] == [("4", "gasket class 150", 1.5), ("1", "90 elbow", 4)]
    ((line, why),) = found["bought-not-read"]
    assert line == 4 and "2 rows of the bill are called so" in str(why)


def test_rows_that_cannot_be_used_are_told() -> None:
    found = held(
        HEAD + "fittings,1,90 elbow,=1+1,\nfittings,1,90 elbow,,\n\nfittings,1,,3,\nfittings,1,90 elbow,-1,\nshort\n"
    )
    assert [line for line, _ in found["bought-not-read"]] == [2, 3, 5, 6, 7]
    assert found["bought-not-read"][0][1] == "`=1+1` is no number"
    assert found["received"] == []


@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_encodings(coding: str) -> None:
    found = held((HEAD + "fittings,1,90 elbow,4,\ngaskets,4,gasket class 150 für Säure,1,\n").encode(coding))
    assert found["received"] == [("1", "90 elbow", 4)]
    assert found["to-return"] == [("4", "gasket class 150 für Säure", 1)]


@pytest.mark.parametrize(
    ("data", "trouble"),
    [
        (b"", "is empty"),
        (b"\n\n", "is empty"),
        (b"size,amount\n1,2\n", "has no column description and none quantity; its columns are `size`, `amount`"),
        (b"description,quantity\n\0\n", "is no text in UTF-8, UTF-16 or Windows-1252"),
        (b"PK\x03\x04\0\0", "is no text in UTF-8, UTF-16 or Windows-1252"),
    ],
)
def test_what_is_no_purchase(data: bytes, trouble: str) -> None:
    assert read_purchase(data, "bought.csv").trouble == trouble


def test_two_hundred_thousand_rows() -> None:
    row = "fittings,1,90 elbow,1,\n"
    assert len(read_purchase((HEAD + row * 200_000).encode(), "b.csv").rows) == 200_000
    assert read_purchase((HEAD + row * 200_001).encode(), "b.csv").trouble == "has more than 200,000 rows"
