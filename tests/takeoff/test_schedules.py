"""Schedules, tags and consumables, held against the other lists and against the graph."""

from collections import Counter
from pathlib import Path

import networkx as nx
import pytest
from coilwright import Compilation, compile_file, compile_text
from coilwright.catalogue.soldering import solder
from coilwright.model.hookup import with_number
from coilwright.model.size import size
from coilwright.model.table import NOT_IN_TABLES, Row, Table
from coilwright.passes.mirror import coil_hand
from coilwright.takeoff.tally import in_order

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.hookup"))
PAIR = next(path for path in EXAMPLES if path.stem == "aquarium-pair")


def table(compilation: Compilation, name: str) -> Table:
    (found,) = compilation.tables([name])
    return found


def number(row: Row, key: str) -> float:
    value = row.cells[key]
    assert isinstance(value, int | float), (key, value)
    return value


@pytest.fixture(scope="module", params=EXAMPLES, ids=lambda path: path.stem)
def made(request: pytest.FixtureRequest) -> Compilation:
    path: Path = request.param
    return compile_file(path)


@pytest.mark.parametrize(("name", "group"), [("valves", "valves"), ("instruments", "instruments")])
def test_schedules_hold_what_the_bill_holds(made: Compilation, name: str, group: str) -> None:
    rows = table(made, name).rows
    billed = [row for row in table(made, "bill").rows if row.cells["group"] == group]
    assert sum(number(row, "total") for row in rows) == sum(number(row, "total") for row in billed)
    assert all(number(row, "total") == number(row, "each") * number(row, "count") for row in rows)
    assert all(row.origin and row.cells["size"] for row in rows)
    sizes = Counter({row.cells["size"]: 0 for row in (*rows, *billed)})
    for row in rows:
        sizes[row.cells["size"]] += number(row, "total")  # type: ignore[assignment]
    for row in billed:
        sizes[row.cells["size"]] -= number(row, "total")  # type: ignore[assignment]
    assert set(sizes.values()) <= {0}


def test_every_coil_of_every_unit_with_its_hand(made: Compilation) -> None:
    rows = table(made, "coils").rows
    hands = Counter(
        coil_hand(hookup.airflow) or "cannot tell: airflow not said"
        for hookup in made.hookups
        for _ in hookup.units
        for tag in hookup.coils
        if tag in hookup.graph
    )
    counted: Counter[str] = Counter()
    for row in rows:
        counted[str(row.cells["hand"])] += int(number(row, "total"))
    assert counted == hands and hands


def test_tags_are_those_of_the_units_in_order(made: Compilation) -> None:
    rows = table(made, "tags").rows
    groups = ("valves", "specialties", "instruments", "equipment", "ends")
    expected = Counter(
        (with_number(c.tag, unit.number), unit.tag)
        for hookup in made.hookups
        for unit in hookup.units
        for c in hookup.components()
        if c.tag and c.kind.group in groups and c.kind.ports != "main"
    )
    assert Counter((row.cells["tag"], row.cells["units"]) for row in rows) == expected
    tags = [str(row.cells["tag"]) for row in rows]
    assert tags == list(in_order(tags)) and not any("*" in tag for tag in tags)
    assert all(len(row.origin) == 2 for row in rows)


def test_what_a_valve_isolates_by_taking_all_shutoffs_out(made: Compilation) -> None:
    """The coils and mains that a walk of the graph reaches from each side of a valve, all shutoffs taken out."""
    (rows, hookup) = table(made, "tags").rows, made.hookups[0]
    unit = hookup.units[0]
    said = {row.cells["tag"]: row.cells["isolates"] for row in rows if row.cells["units"] == unit.tag}
    shutoffs = {c.id for c in hookup.components() if c.kind.can("isolates")}
    left = nx.Graph(hookup.graph).subgraph(set(hookup.graph) - shutoffs)
    for valve in hookup.components():
        if not valve.tag or valve.id not in shutoffs:
            continue
        reached: set[str] = set()
        for beside in nx.all_neighbors(hookup.graph, valve.id):
            if beside in left:
                reached |= nx.node_connected_component(left, beside)
        found = [hookup.component(id) for id in reached]
        names = {with_number(f"{c.kind.name} {c.tag}", unit.number) for c in found if c.kind.ports in ("coil", "main")}
        text = str(said[with_number(valve.tag, unit.number)])
        assert all(name in text for name in names)
        if "both sides stay joined" not in text:
            assert sum(text.count(word) for word in ("coil ", "main ")) == len(names)


def test_texts_of_one_unit() -> None:
    rows = {row.cells["tag"]: row for row in table(compile_file(PAIR), "tags").rows}
    assert rows["BV-201"].cells["isolates"] == "coil TRIM from main CGS"
    assert rows["XV-101"].cells["isolates"] == "coil PRE from coil TRIM"
    assert rows["XV-101"].cells["position"] == "closed" and rows["BV-201"].cells["position"] == "open, not said"
    assert rows["TCV-101"].cells["isolates"] is None and rows["TCV-101"].cells["position"] is None


def test_a_valve_past_which_there_is_another_way() -> None:
    text = """
unit AH-1, airflow left to right
    coil CC on chilled-water
        supply low, 2 female thread
        return high, 2 female thread
    supply to CC, 2
        from main CHS
        ball valve BV-1
        tee T-1
        ball valve BV-2
        tee T-2
    return from CC, 2
        ball valve BV-3
        to main CHR
    bypass from T-1 to T-2, 2
        globe valve GV-1
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-threaded
"""
    rows = {row.cells["tag"]: row.cells["isolates"] for row in table(compile_text(text, name="t.hookup"), "tags").rows}
    assert rows["BV-2"] == "nothing by itself: both sides stay joined"
    assert rows["BV-1"] == "coil CC from main CHS" and rows["GV-1"] is None


# -- consumables -------------------------------------------------------------------------------------------------------


def test_joints_are_those_of_the_other_lists(made: Compilation) -> None:
    rows = table(made, "consumables").rows
    joints = {"threads": "threaded", "grooved couplings": "grooved", "soldering": "soldered"}
    others = table(made, "made-up-joints").rows
    for what, kind in joints.items():
        ours = [
            row for row in rows if row.cells["what"] == what and not str(row.cells["description"]).startswith("flux")
        ]
        assert sum(number(row, "joints") for row in ours) == sum(
            number(row, "total") for row in others if row.cells["kind"] == kind
        )
    assert all(row.origin for row in rows)
    sealed = [row for row in rows if row.cells["what"] in ("threads", "grooved couplings")]
    assert all(row.cells[key] is NOT_IN_TABLES for row in sealed for key in ("net", "extra", "buy"))


def test_solder_is_the_sum_over_sizes(made: Compilation) -> None:
    rows = [row for row in table(made, "consumables").rows if row.cells["what"] == "soldering"]
    known = {row.cells["description"]: row for row in rows if row.cells["net"] is not NOT_IN_TABLES}
    pounds: dict[str, float] = {}
    for row in table(made, "made-up-joints").rows:
        needed = (
            solder(size(str(row.cells["size"])), str(row.cells["with"])) if row.cells["kind"] == "soldered" else None
        )
        if needed is not None:
            name = f"solder, {row.cells['with']}"
            pounds[name] = pounds.get(name, 0.0) + number(row, "total") * sum(needed)
    assert {name for name in known if str(name).startswith("solder")} == set(pounds)
    for name, amount in pounds.items():
        assert number(known[name], "buy") == pytest.approx(amount, abs=0.002)
        flux = known[name.replace("solder", "flux", 1)]
        assert number(flux, "buy") == pytest.approx(amount / 8, abs=0.002)


def test_filler_is_the_metal_of_the_welds_and_what_is_lost_of_it() -> None:
    text = PAIR.read_text(encoding="utf-8").replace("    weld gap       1/8 in", "    weld with stick E7018 1/8 in")
    made = compile_text(text, name="t.hookup")
    rows = [row for row in table(made, "consumables").rows if row.cells["what"] == "welding"]
    totals = table(made, "weld-totals").rows
    for key, column in (("net", "metal"), ("buy", "filler")):
        ours = sum(number(row, key) for row in rows if row.cells[key] is not NOT_IN_TABLES)
        theirs = sum(number(row, column) for row in totals if row.cells[column] is not NOT_IN_TABLES)
        assert ours == pytest.approx(theirs, abs=0.01 * len(totals)) and ours > 1
    assert sum(number(row, "joints") for row in rows) == sum(number(row, "joints") for row in totals)
    assert all(number(row, "extra") > 0 for row in rows if row.cells["net"] is not NOT_IN_TABLES)


def test_spare_gaskets_as_in_the_bill(made: Compilation) -> None:
    rows = {(r.cells["size"], r.cells["description"]): r for r in table(made, "consumables").rows if r.cells["size"]}
    billed = [row for row in table(made, "bill").rows if row.cells["group"] == "gaskets"]
    assert len(rows) == len(billed)
    for bill in billed:
        ours = rows[bill.cells["size"], bill.cells["description"]]
        assert ours.cells.get("spares") == bill.cells["extra"] and number(ours, "joints") == number(bill, "total")
