"""A purchase held against a bill."""

from __future__ import annotations

from fractions import Fraction

import pytest
from coilwright.compare.bought import against
from coilwright.compare.buying import Plan, Shop, plans_of
from coilwright.compare.read_bought import read_purchase
from coilwright.model.declared import Pack, TakeoffSettings
from coilwright.model.table import Column, Row, Table, Value
from coilwright.report.units import in_metric

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


def test_another_sort_of_unit_is_told() -> None:
    found = held(HEAD + 'pipe,2-1/2,"pipe, carbon steel schedule 40",2,lengths\n')
    assert found["to-return"] == []
    ((line, why),) = found["bought-not-read"]
    assert line == 2 and "counted in ft" in str(why) and "`21 ft lengths`" in str(why)
    assert found["to-order"][0] == ("2-1/2", "pipe, carbon steel schedule 40", 42)


TUBE, PIPE, STUD = "tube, copper type L", "pipe, carbon steel schedule 40", "stud, 5/8-11 UNC x 3-1/2 in"
SHOP = Shop(
    TakeoffSettings(
        stock={"pipe": (Fraction(252),), "tube": (Fraction(240),)},
        packs={"studs": Pack("boxes", "50", 50.0), "gaskets": Pack("boxes", "10", 10.0)},
    ),
    {("3", PIPE): Plan(42.0), ("3/4", TUBE): Plan(80.0), ("4", PIPE): Plan(63.0), ("2", PIPE): Plan(0.0, 21.0)},
)
SITE = Table(
    "bill",
    "Bill",
    COLUMNS,
    (
        bill_row("pipe", "2", PIPE, 30, 1.5, "ft"),
        bill_row("pipe", "3", PIPE, 27.98, 1.4, "ft"),
        bill_row("pipe", "4", PIPE, 33, 1.65, "ft"),
        bill_row("pipe", "3/4", TUBE, 65, 6.5, "ft"),
        bill_row("pipe", "3/4", f"{TUBE}, centre to centre", 380, 38, "ft"),
        bill_row("bolting", "5/8", STUD, 56, 3),
        bill_row("gaskets", "4", "gasket class 150", 10, 1),
    ),
)


def on_site(text: str) -> dict[str, list[dict[str, Value]]]:
    lists = against(SITE, read_purchase((HEAD + text).encode(), "bought.csv"), SHOP)
    return {table.name: [dict(row.cells) for row in table.rows] for table in lists}


def cells_of(rows: list[dict[str, Value]], description: str, size: str, *keys: str) -> list[Value]:
    (row,) = (one for one in rows if (one["description"], one["size"]) == (description, size))
    return [row.get(key) for key in keys]


@pytest.mark.parametrize(
    "bought",
    [
        f'pipe,3/4,"{TUBE}",500,ft',
        f'pipe,3/4,"{TUBE}",300,ft\npipe,3/4,"{TUBE}, centre to centre",200,ft',
        f'pipe,3/4,"{TUBE}",25,lengths',
        f'pipe,3/4,"{TUBE}",25,20 ft',
        f'pipe,3/4,"{TUBE}",25,20 ft lengths',
        f'pipe,3/4,"{TUBE}",10,lengths of 50 ft',
    ],
)
def test_pipe_is_one_need_as_cut_and_centre_to_centre(bought: str) -> None:
    """65 + 6.5 ft cut and 380 + 38 ft centre to centre: 489.5 ft, which 25 lengths of 20 ft hold with 10.5 ft over."""
    found = on_site(bought + "\n")
    assert cells_of(found["received"], TUBE, "3/4", "bought", "keep", "over", "in") == [
        500, 500, 10.5, "lengths of 20 ft",
    ]  # fmt: skip
    assert found["to-return"] == [] and "bought-not-read" not in found
    assert not [row for row in found["to-order"] if str(row["description"]).startswith(TUBE)]


def test_whole_lengths_and_boxes_do_not_go_back() -> None:
    """29.38 ft of pipe are two lengths of 21 ft, 59 studs two boxes of 50, 11 gaskets two boxes of 10."""
    found = on_site(f'pipe,3,"{PIPE}",42,ft\nbolting,5/8,"{STUD}",100,pieces\ngaskets,4,gasket class 150,2,boxes\n')
    assert found["to-return"] == []
    assert cells_of(found["received"], PIPE, "3", "keep", "over") == [42, 12.62]
    assert cells_of(found["received"], STUD, "5/8", "keep", "over", "in") == [100, 41, "boxes of 50"]
    assert cells_of(found["received"], "gasket class 150", "4", "bought", "over") == [20, 9]


@pytest.mark.parametrize("unit", ["boxes", "box", "boxes of 50", "Boxes of 50 pieces", "50 pieces", "50"])
def test_boxes_are_counted_out(unit: str) -> None:
    found = on_site(f'bolting,5/8,"{STUD}",3,{unit}\n')
    assert cells_of(found["to-return"], STUD, "5/8", "bought", "needed", "keep", "return") == [150, 59, 100, 50]
    one = on_site(f'bolting,5/8,"{STUD}",1,{unit}\n')
    assert cells_of(one["to-order"], STUD, "5/8", "order", "packs", "packed") == [9, 1, "boxes of 50"]


def test_boxes_that_nobody_declared_are_told() -> None:
    found = held(HEAD + "gaskets,4,gasket class 150,1,boxes\n")
    ((_, why),) = found["bought-not-read"]
    assert "`boxes of 50`" in str(why) and found["to-return"] == []


def test_what_the_cutting_plan_takes_is_kept_and_what_is_on_hand_is_not_ordered() -> None:
    """Three pieces of 11 ft take three lengths of 21 ft, though 34.65 ft are two; 21 ft of NPS 2 lie in the yard."""
    found = on_site(f'pipe,4,"{PIPE}",3,lengths\n')
    assert found["to-return"] == []
    assert cells_of(found["received"], PIPE, "4", "keep", "over") == [63, 28.35]
    assert cells_of(found["to-order"], PIPE, "2", "needed", "on_hand", "order", "packs") == [31.5, 21, 10.5, 1]
    more = on_site(f'pipe,4,"{PIPE}",4,lengths\n')
    assert cells_of(more["to-return"], PIPE, "4", "keep", "return") == [63, 21]


def test_the_plan_is_read_from_the_list_of_stock() -> None:
    keys = ("sort", "size", "material", "lengths", "of", "from")
    rows = (
        ("pipe", "3", "carbon steel schedule 40", 2, Fraction(252), "to buy"),
        ("pipe", "3", "carbon steel schedule 40", 1, Fraction(126), "to buy"),
        ("pipe", "3", "carbon steel schedule 40", 1, Fraction(120), "on hand"),
        ("pipe", "3", "carbon steel schedule 40", None, None, "longer than any length"),
    )
    made = tuple(Row(dict(zip(keys, row, strict=True)), ()) for row in rows)
    stock = Table("stock", "Stock", tuple(Column(key, key) for key in keys), made)
    assert plans_of(stock) == {("3", PIPE): Plan(52.5, 10.0)}


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


def test_in_metric_counts_of_boxes_and_the_purchase_as_it_stands_do_not_change() -> None:
    order, *_, not_read = map(
        in_metric, against(SITE, read_purchase((HEAD + f'bolting,5/8,"{STUD}","1,200",\n').encode(), "b.csv"), SHOP)
    )
    pipe = next(row.cells for row in order.rows if row.cells["size"] == "DN 80")
    assert (pipe["order"], pipe["unit"], pipe["packs"]) == (pytest.approx(29.38 * 0.3048, abs=5e-4), "m", 2)
    assert not_read.rows[0].cells["as_is"] == f"bolting, 5/8, {STUD}, 1,200"


def test_what_other_lists_buy_counts_where_the_purchase_names_it() -> None:
    """7 gal of glycol and 0.4 to spare: a drum of 55 keeps 47.6 over. 2.88 lb of solder are two cans of 2 lb."""
    beside = Table(
        "beside",
        "Beside",
        COLUMNS,
        (
            bill_row("glycol", "", "propylene glycol", 7, 0.4, "gal"),
            bill_row("consumables", "", "solder, 95-5", 2.88, None, "lb"),
            bill_row("insulation", "3", "insulation, pipe, 1 in", 20, None, "ft"),
            bill_row("insulation", "3", "insulation, pipe, 1 in", 10, None, "ft"),
            bill_row("consumables", "", "flux, 95-5", 0.36, None, "lb"),
        ),
    )
    shop = Shop(TakeoffSettings(packs={"solder": Pack("cans", "2 lb", 2.0)}))
    text = (
        HEAD + ',,propylene glycol,1,drums\n,,"solder, 95-5",1,kg\n'
        'insulation,3,"insulation, pipe, 1 in",12,ft\n,,grease,1,lb\n'
    )
    lists = {t.name: t for t in against(BILL, read_purchase(text.encode(), "b.csv"), shop, beside)}
    order, back, received = ([dict(r.cells) for r in lists[n].rows] for n in ("to-order", "to-return", "received"))
    assert cells_of(received, "propylene glycol", "", "bought", "keep", "over", "in") == [
        55,
        55,
        47.6,
        "drums of 55 gal",
    ]
    assert cells_of(order, "solder, 95-5", "", "bought", "order", "packs", "packed") == [2.2, 0.68, 1, "cans of 2 lb"]
    assert cells_of(order, "insulation, pipe, 1 in", "3", "needed", "bought", "order") == [30, 12, 18]
    assert [row["description"] for row in back] == ["grease"]
    assert "flux, 95-5" not in [row["description"] for row in order]
