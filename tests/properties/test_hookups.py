"""What must hold for any hookup at all, tried on random ones."""

from __future__ import annotations

from itertools import pairwise, permutations

from coilwright import Compilation, compile_text
from coilwright.model.hookup import NOT_MADE_UP
from coilwright.rules.services import ports_of
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

ITEMS = (
    "butterfly valve, lug", "butterfly valve, wafer", "butterfly valve, wafer, metal seated", "gate valve",
    "ball valve, flanged", "check valve", "strainer", "balancing valve, 3", "control valve, 2-1/2, fails closed",
    "drain 3/4", "vent 1/2", "test port", "thermowell", "tee 4", "tee 3/4", "flexible connector", "gauge",
    "butterfly valve, lug, left hand",
)  # fmt: skip
MOVES = (
    "up 2 ft", "left 1 ft 6 in", "right 10 in", "toward 8 in", "away 2 ft", "left", "down", "about 3 ft",
    "through floor",
)  # fmt: skip
PORTS = ("4 flanged", "3 male thread", "3 female thread", "4 butt weld", "2-1/2 flanged")


def turns_back(steps: list[str]) -> bool:
    """Whether two directions in a row are opposite, which is a mistake of the file."""
    opposite = {"up": "down", "down": "up", "left": "right", "right": "left", "toward": "away", "away": "toward"}
    ways = [s.split()[0] for s in steps if s.split()[0] in opposite]
    return any(opposite[a] == b for a, b in pairwise(ways))


steps = st.lists(st.sampled_from(ITEMS + MOVES), min_size=1, max_size=9).filter(lambda s: not turns_back(s))
hookups = st.tuples(steps, steps, st.sampled_from(PORTS), st.sampled_from(["copper", "steel"]))
thorough = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])


def typical(hookup: tuple[list[str], list[str], str, str]) -> list[str]:
    """The parts of a typical: coil, supply, return."""
    supply, back, port, headers = hookup
    lay = "\n".join
    return [
        f"    coil CC on a\n        supply low, {port}\n        return high, {port}\n        headers {headers}",
        "    supply to CC, 4\n        from main CHS\n" + lay("        " + s for s in supply),
        "    return from CC, 4\n" + lay("        " + s for s in back) + "\n        to main CHR",
    ]


SERVICE = "service a\n    water\n    spec ours"
SPEC = "spec ours, like steel-welded\n    weld gap 1/8 in"


def compiled(parts: list[str], units: list[str], order: tuple[int, ...] = (0, 1, 2)) -> Compilation:
    blocks = [SERVICE, SPEC, "typical one, drawn with airflow left to right\n" + "\n".join(parts)]
    made = compile_text("\n\n".join(blocks[i] for i in order) + "\n" + "\n".join(units) + "\n", name="random.hookup")
    errors = [str(f.span) + f.message for f in made.findings if f.severity == "error"]
    assert not errors, errors
    return made


def bill(made: Compilation, *skip: str) -> list[tuple[object, ...]]:
    keys = ("group", "size", "description", "unit", "each", "total")
    return [tuple(r.cells[k] for k in keys if k not in skip) for r in made.tables(["bill"])[0].rows]


@given(hookups)
@thorough
def test_mirrored_unit_has_the_same_bill_but_for_handed_items(hookup: tuple[list[str], list[str], str, str]) -> None:
    drawn, other = (
        bill(compiled(typical(hookup), [f"unit AH-1 is one, number 1, airflow {air}"]))
        for air in ("left to right", "right to left")
    )
    swapped = [tuple(str(c).replace("right hand", "left hand") for c in row) for row in other]
    assert sorted(swapped) == sorted(tuple(str(c) for c in row) for row in drawn)


@given(hookups)
@thorough
def test_every_bolted_joint_has_its_bolts_and_gaskets(hookup: tuple[list[str], list[str], str, str]) -> None:
    made = compiled(typical(hookup), ["unit AH-1 is one, number 1"])
    (graph,) = made.hookups
    bodies: dict[str, set[str]] = {"lug": set(), "wafer": set()}
    assume(all(joint.kind != NOT_MADE_UP for _, _, joint in graph.joints()))  # what is not made up has no bolts yet
    plain = lug_sides = wafers_made = 0
    for u, v, joint in graph.joints():
        if joint.kind != "bolted":
            continue
        forms = {joint.end_a.form, joint.end_b.form}
        if "wafer" in forms:
            bodies["wafer"].add(u if joint.end_a.form == "wafer" else v)
        elif "lug" in forms:
            lug_sides += 1
        else:
            plain += 1
    wafers_made = len(bodies["wafer"])
    rows = [r.cells for r in made.tables(["joints"])[0].rows]
    assert len(rows) == plain + lug_sides + wafers_made
    for row in rows:
        text = str(row["between"])
        body = "butterfly" in text
        bought = str(row["bolt"])
        assert isinstance(row["bolts"], int) and row["bolts"] >= 4, row
        if not body:
            assert row["gaskets"] == 1
        elif bought.startswith("cap screws"):
            assert row["gaskets"] == 0
        else:
            assert row["gaskets"] in (0, 2)


@given(hookups)
@thorough
def test_every_open_end_is_found(hookup: tuple[list[str], list[str], str, str]) -> None:
    made = compiled(typical(hookup), ["unit AH-1 is one, number 1"])
    (graph,) = made.hookups
    joined = {(u, j.port_a) for u, _, j in graph.joints()} | {(v, j.port_b) for _, v, j in graph.joints()}
    loose = [c for c in graph.components() for port in ports_of(c) if (c.id, port) not in joined]
    found = [f for f in made.findings if f.rule == "dangling-end"]
    assert {c.origin[0] for c in loose} == {f.span for f in found}


@given(hookups, st.integers(2, 7))
@thorough
def test_n_units_are_n_times_one(hookup: tuple[list[str], list[str], str, str], n: int) -> None:
    parts = typical(hookup)
    one = bill(compiled(parts, ["unit AH-1 is one, number 1"]), "each")
    many = bill(compiled(parts, [f"unit AH-{i} is one, number {i}" for i in range(1, n + 1)]), "each")
    assert [row[:-1] for row in one] == [row[:-1] for row in many]
    for a, b in zip(one, many, strict=True):
        assert abs(float(str(b[-1])) - n * float(str(a[-1]))) <= 0.005 * (n + 1)


@given(hookups, st.sampled_from(list(permutations(range(3)))), st.permutations([0, 1, 2]))
@thorough
def test_order_of_declarations_does_not_matter(
    hookup: tuple[list[str], list[str], str, str], order: tuple[int, ...], inside: list[int]
) -> None:
    parts = typical(hookup)
    units = ["unit AH-1 is one, number 1"]
    plain, turned = compiled(parts, units), compiled([parts[i] for i in inside], units, order)
    assert sorted(map(str, bill(plain))) == sorted(map(str, bill(turned)))
    assert sorted(f.rule for f in plain.findings) == sorted(f.rule for f in turned.findings)


@given(hookups)
@thorough
def test_everything_made_says_where_it_comes_from(hookup: tuple[list[str], list[str], str, str]) -> None:
    made = compiled(typical(hookup), ["unit AH-1 is one, number 1"])
    for component in made.hookups[0].components():
        assert component.origin, component.id
    for table in (*made.tables(["bill", "joints", "bolting", "hands"]), made.checker()):
        for row in table.rows:
            assert row.origin, row
    for finding in made.findings:
        assert finding.span.line >= 1 and finding.units
