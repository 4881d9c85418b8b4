"""What holds for every example, whatever it shows."""

from collections import Counter
from pathlib import Path

import pytest
from coilwright.analysis.sections import Sections
from coilwright.api import Compilation, compile_file
from coilwright.model.finding import Finding
from coilwright.model.hookup import Hookup
from coilwright.pipeline import run_passes
from coilwright.rules.registry import all_rules
from coilwright.source.reader import DiskReader
from coilwright.source.uses import load_trees
from coilwright.takeoff import LISTS

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = sorted(path.stem for path in EXAMPLES.glob("*.hookup"))
UNFINISHED = "gallery-unfinished"
LONGEST = 125
FLANGED = ("flange", "lug", "wafer")
#: Nuts on one bolt: a stud has one on each end, a cap screw goes into the body of the valve.
NUTS = {"studs": 2, "machine bolts": 1, "cap screws": 0}


@pytest.fixture(params=NAMES)
def compilation(request: pytest.FixtureRequest) -> Compilation:
    return compile_file(EXAMPLES / f"{request.param}.hookup")


def picture(hookup: Hookup) -> tuple[list[str], list[str]]:
    return [repr(c) for c in hookup.components()], [repr(joint) for joint in hookup.joints()]


def test_every_joint_of_the_flange_list_has_its_bolts_and_nuts(compilation: Compilation) -> None:
    (table,) = compilation.tables(["joints"])
    unbolted = [row for row in table.rows if "does not bolt" in str(row.cells["gasket"])]
    assert all("TCV-*01" in str(row.cells["between"]) for row in unbolted)  # of the unfinished example
    assert bool(unbolted) == any(hookup.name == "touch-pool" for hookup in compilation.hookups)
    for row in table.rows:
        if row in unbolted:
            continue
        style, _, thread = str(row.cells["bolt"]).partition(", ")
        bolts, nuts, length = row.cells["bolts"], row.cells["nuts"], row.cells["length"]
        assert isinstance(bolts, int) and bolts >= 4 and bolts % 4 == 0, row.cells
        assert nuts == NUTS[style] * bolts, row.cells
        assert thread and not isinstance(length, str) and length is not None and length > 1, row.cells
        assert row.cells["gaskets"] or "seat seals" in str(row.cells["gasket"]), row.cells


def test_every_flanged_end_is_bolted_once(compilation: Compilation) -> None:
    """The class 300 valve of the unfinished example is the one thing that does not go together."""
    for hookup in compilation.hookups:
        bolted: Counter[tuple[str, str]] = Counter()
        for a, b, joint in hookup.joints():
            if joint.kind == "bolted":
                bolted.update([(a, joint.port_a), (b, joint.port_b)])
        faces = {(c.id, port): c for c in hookup.components() for port, end in c.ends.items() if end.form in FLANGED}
        assert set(bolted) <= set(faces)
        assert set(bolted.values()) <= {1}
        loose = {c.tag for place, c in faces.items() if place not in bolted and c.kind.ports != "main"}
        assert loose == ({"TCV-*01"} if hookup.name == "touch-pool" else set())


def test_bill_and_flange_list_count_the_same(compilation: Compilation) -> None:
    """Bolts, nuts, gaskets and kits of the joint list, times their units, are those of the bill."""
    listed: Counter[str] = Counter()
    for hookup in compilation.hookups:
        for joint in compilation.job.flanged(hookup):
            assert joint.bolts is not None
            number = len(hookup.units)
            listed["bolts"] += number * joint.bolts.number
            listed["nuts"] += number * joint.bolts.number * joint.bolts.nuts
            listed["gaskets"] += number * joint.gaskets
            listed["kits"] += number * joint.kit
    billed: Counter[str] = Counter()
    (bill,) = compilation.tables(["bill"])
    for row in bill.rows:
        text = str(row.cells["description"])
        if row.cells["group"] == "bolting":
            what = "nuts" if "nut" in text else "bolts"
        elif row.cells["group"] == "gaskets":
            what = "kits" if "kit" in text else "gaskets"
        else:
            continue
        total = row.cells["total"]
        assert isinstance(total, int)
        billed[what] += total
    assert +billed == +listed


def test_everything_comes_from_a_line(compilation: Compilation) -> None:
    for hookup in compilation.hookups:
        for component in hookup.components():
            assert component.origin, component.id
        for a, b, joint in hookup.joints():
            assert joint.origin, (a, b)
    for table in (compilation.checker(), *compilation.tables(list(LISTS))):
        for row in table.rows:
            assert row.origin, (table.name, row.cells)
    for finding in compilation.findings:
        assert finding.span.file and finding.span.line >= 1


@pytest.mark.parametrize("name", NAMES)
def test_twice_gives_the_same(name: str) -> None:
    once, again = (compile_file(EXAMPLES / f"{name}.hookup") for _ in range(2))
    assert once.findings == again.findings
    assert once.checker() == again.checker()
    assert once.tables(list(LISTS)) == again.tables(list(LISTS))


@pytest.mark.parametrize("name", NAMES)
def test_rules_do_not_change_the_hookup(name: str) -> None:
    trees, found = load_trees(str(EXAMPLES / f"{name}.hookup"), DiskReader())
    assert not found
    hookups = run_passes(trees).hookups
    before = [picture(hookup) for hookup in hookups]
    findings = [
        finding
        for hookup in hookups
        for rule in all_rules().values()
        for finding in rule.check(hookup, Sections(hookup))
        if isinstance(finding, Finding)
    ]
    assert [picture(hookup) for hookup in hookups] == before
    assert findings or name != UNFINISHED


@pytest.mark.parametrize("name", NAMES)
def test_examples_are_short(name: str) -> None:
    assert len((EXAMPLES / f"{name}.hookup").read_text(encoding="utf-8").splitlines()) <= LONGEST
