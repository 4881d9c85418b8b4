"""The examples compile, and say what they are there to show."""

from pathlib import Path

import networkx as nx
import pytest
from coilwright.api import Compilation, compile_file
from coilwright.takeoff import DEFAULT_LISTS

EXAMPLES = Path(__file__).parents[2] / "examples"
UNFINISHED = "gallery-unfinished"
NAMES = sorted(path.stem for path in EXAMPLES.glob("*.hookup"))
FINISHED = [name for name in NAMES if name != UNFINISHED]


def compiled(name: str) -> Compilation:
    return compile_file(EXAMPLES / f"{name}.hookup")


def units(compilation: Compilation) -> list[str]:
    return [unit.tag for hookup in compilation.hookups for unit in hookup.units]


def test_the_examples_that_the_issue_asks_for() -> None:
    assert {"one-coil", "aquarium-pair", "preheat-pumped", "stacked-coils", "fan-coil-forty", UNFINISHED} <= set(NAMES)


@pytest.mark.parametrize("name", FINISHED)
def test_a_finished_example_has_no_findings(name: str) -> None:
    assert [f"{f.span}: {f.message}" for f in compiled(name).findings if f.severity != "note"] == []


@pytest.mark.parametrize("name", NAMES)
def test_lists_are_made_and_every_row_knows_its_lines(name: str) -> None:
    compilation = compiled(name)
    tables = compilation.tables()
    assert [table.name for table in tables] == list(DEFAULT_LISTS)
    assert tables[0].name == "bill" and len(tables[0].rows) > 10
    assert len(compilation.checker().rows) >= len(units(compilation))
    for table in (*tables, compilation.checker()):
        for row in table.rows:
            assert row.origin, (table.name, row.cells)


@pytest.mark.parametrize("name", FINISHED)
def test_the_checker_has_nothing_against_a_finished_example(name: str) -> None:
    table = compiled(name).checker()
    answers = [column.key for column in table.columns if column.key not in ("unit", "coil", "hand")]
    assert len(answers) > 6
    for row in table.rows:
        for number, key in enumerate(answers):
            said = str(row.cells.get(key, "yes"))
            # What isolates, opens, drains and vents is decided in every example; the rest may lack a figure.
            assert said.startswith("yes" if number < 6 else ("yes", "cannot tell")), (row.cells["unit"], key, said)


def test_the_unfinished_gallery_shows_what_is_missing() -> None:
    compilation = compiled(UNFINISHED)
    assert not compilation.broken
    rules = {f.rule for f in compilation.findings}
    assert rules == {
        "balancing-missing", "blocked-in-liquid", "blocked-in-water-indoors", "class-mismatch", "coil-level-unsaid",
        "coil-not-isolated", "control-valve-missing", "dangling-end", "drain-missing", "fill-pair-missing",
        "service-mix-up",
        "strainer-missing", "tag-shared", "test-port-missing", "valve-position-unsaid", "vent-missing",
    }  # fmt: skip
    for finding in compilation.findings:
        assert finding.help and finding.message and finding.span.line > 0


def test_the_aquarium_has_five_units_of_both_hands() -> None:
    compilation = compiled("aquarium-pair")
    assert sorted(units(compilation)) == ["GA-1", "GA-2", "GA-3", "GA-4", "GA-5"]
    mirrored = {unit.tag: hookup.mirrored for hookup in compilation.hookups for unit in hookup.units}
    assert mirrored == {"GA-1": True, "GA-2": True, "GA-3": False, "GA-4": False, "GA-5": False}
    assert len(compilation.hookups) == 2


def test_forty_fan_coils_share_their_hookups() -> None:
    """One hookup for each hand, and one for each unit that differs from the typical."""
    compilation = compiled("fan-coil-forty")
    assert len(set(units(compilation))) == 40
    shared = [hookup for hookup in compilation.hookups if len(hookup.units) > 1]
    assert {hookup.airflow for hookup in shared} == {"left to right", "right to left"} and len(shared) == 2


def test_the_preheat_coil_and_its_pump_are_a_ring_with_the_hot_side_of_the_control_valve_shut() -> None:
    """The valve on full bypass lets no hot glycol in; flow still runs from the coil to the pump and back."""
    hookup = compiled("preheat-pumped").hookups[0]
    (coil,) = hookup.coils
    (pump,) = [c.id for c in hookup.components() if c.kind.can("pumps")]
    (valve,) = [c.id for c in hookup.components() if c.kind.can("controls")]
    ring = nx.DiGraph()
    ring.add_edges_from((a, b) for a, b, joint in hookup.joints() if (b, joint.port_b) != (valve, "in"))
    assert nx.has_path(ring, coil, pump) and nx.has_path(ring, pump, coil)
    mains = [c.id for c in hookup.components() if c.kind.ports == "main"]
    assert [main for main in mains if main in ring and nx.has_path(ring, main, coil)] == []
