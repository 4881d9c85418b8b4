"""Spools: where they end, what they weigh and where their weight hangs, and parting at limits against brute force."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

import networkx as nx
import pytest
from coilwright import Compilation, compile_text
from coilwright.model.declared import SpoolLimits
from coilwright.model.ends import End
from coilwright.model.hookup import Hookup, Joint
from coilwright.model.size import size
from coilwright.model.table import NOT_MEASURED, Table, Unknown
from coilwright.passes.stretches import layout
from coilwright.takeoff.bodies import Box, bodies
from coilwright.takeoff.parting import Load, past, taken_up, weld_to_part
from coilwright.takeoff.pieces_of_pipe import is_cut_pipe
from coilwright.takeoff.spool_lists import spool_sheets
from coilwright.takeoff.spools import Spool, Spools, verdict
from coilwright.takeoff.welding import KINDS, welds_of
from hypothesis import given, settings
from hypothesis import strategies as st

HEAD = """\
project "Saltmarsh Aquarium: spools"
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec {spec}
lengths of strainer, flanged
    4, 14-1/2 in
lengths of ball valve, threaded
    3/4, 2-3/8 in
typical tank, drawn with airflow left to right
    coil CC on chilled-water
        supply low at leaving side, {port}, at right 20 in, up 12 in, toward 4 in
        return high at entering side, {port}
    supply to CC, {size}
        from main CHS
{steps}
    return from CC, {size}
        to main CHR
unit AH-1 is tank, number 1, airflow left to right
unit AH-2 is tank, number 2, airflow right to left
{takeoff}
"""


def made(
    steps: str, limits: str = "", spec: str = "steel-welded", port: str = "4 flanged", size: str = "4"
) -> Compilation:
    inner = "\n".join(f"        {step}" for step in steps.splitlines())
    takeoff = f"takeoff\n    spools {limits}" if limits else ""
    compilation = compile_text(HEAD.format(spec=spec, port=port, size=size, steps=inner, takeoff=takeoff))
    assert [f.message for f in compilation.findings if f.severity == "error"] == []
    return compilation


def spools(compilation: Compilation, which: int = 0) -> Spools:
    return compilation.job.spools(compilation.hookups[which])


def supply(found: Spools) -> list[Spool]:
    return [spool for spool in found.spools if "-S-" in spool.mark]


def kinds(spool: Spool) -> list[str]:
    return [component.tag or component.kind.name for component in spool.components]


def table(compilation: Compilation, name: str) -> Table:
    (found,) = compilation.tables([name])
    return found


def near(value: object, wanted: Sequence[float]) -> None:
    assert not isinstance(value, Unknown) and value == pytest.approx(wanted, abs=1e-6)


# -- where a spool ends --------------------------------------------------------------------------------------------


def test_flanges_part_and_a_valve_between_them_is_loose() -> None:
    found = supply(spools(made("up 2 ft\ngate valve GV-1\nup 2 ft\nleft 3 ft\naway 1 ft")))
    assert [kinds(spool) for spool in found] == [
        ["pipe", "slip-on flange"],
        ["slip-on flange", "pipe", "elbow", "pipe", "elbow", "pipe", "slip-on flange"],
    ]
    assert [spool.mark for spool in found] == ["AH-*-S-CC-01", "AH-*-S-CC-02"]


def test_a_threaded_valve_goes_with_its_outlet_and_a_strainer_with_its_blowdown_is_loose() -> None:
    found = supply(spools(made("up 2 ft\nstrainer ST-1\n    strainer blowdown\nup 2 ft\ndrain\nup 1 ft")))
    assert [kinds(spool) for spool in found] == [
        ["pipe", "slip-on flange"],
        ["slip-on flange", "pipe", "threaded outlet", "nipple", "ball valve", "hose end", "pipe", "slip-on flange"],
    ]


def test_a_union_stays_with_what_is_upstream() -> None:
    found = supply(
        spools(
            made("up 2 ft\nunion\nup 2 ft\nleft 1 ft", spec="steel-threaded", port="2 female thread", size="2"),
        )
    )
    parted = [kinds(spool) for spool in found]
    assert parted[0] == ["pipe", "union"]
    assert parted[1][0] == "pipe" and "elbow" in parted[1]


def test_the_far_end_of_a_field_fit_is_open() -> None:
    compilation = made("up 2 ft\nleft 3 ft, field fit\nup 2 ft")
    assert [kinds(spool) for spool in supply(spools(compilation))] == [
        ["pipe", "elbow", "pipe"],
        ["elbow", "pipe", "slip-on flange"],
    ]
    (weld,) = [row for row in table(compilation, "welds").rows if " / " in str(row.cells["spool"])]
    assert weld.cells["made"] == "field" and weld.cells["spool"] == "AH-*-S-CC-01 / AH-*-S-CC-02"


def test_nothing_is_known_of_what_nobody_measured() -> None:
    compilation = made("up\nleft\nup")
    (spool,) = supply(spools(compilation))
    assert spool.load.box is None and spool.centre is NOT_MEASURED and not spool.dry.whole
    row = table(compilation, "spools").rows[0]
    assert {row.cells[key] for key in ("right", "toward", "up", "centre_up")} == {NOT_MEASURED}
    assert verdict(spool, SpoolLimits(length_in=Fraction(240))) == "cannot tell: not measured"


# -- weight and centre of gravity ----------------------------------------------------------------------------------


def test_box_and_centre_by_hand() -> None:
    # NPS 4 up 3 ft and left 4 ft to a gate valve whose flange face is at 48 - 9/2 - 1/8 (B16.10: 9 in face to face,
    # 1/8 in gasket). Pipe OD 4.5 (B36.10M), flange OD 9 and 1-1/4 in through its hub, flat face of class 150 (B16.5).
    compilation = made("up 3 ft\nleft 4 ft\ngate valve GV-1\nleft 1 ft\naway 1 ft")
    spool = supply(spools(compilation))[0]
    assert kinds(spool) == ["pipe", "elbow", "pipe", "slip-on flange"]
    assert spool.load.box is not None
    near(spool.load.box.sides, (48 - 4.5 - 0.125 + 2.25, 9.0, 36 - 0.125 + 4.5))
    scales = compilation.job.scales(compilation.hookups[0])
    up, elbow, left, flange = (scales.weigh(component).dry for component in spool.components)
    assert isinstance(up, float) and isinstance(elbow, float) and isinstance(left, float) and isinstance(flange, float)
    # The runs: 36 - 1/8 at the main - 6 - 1/8 at the elbow; from 6 + 1/8 to 5/16 in short of the flange's face.
    face = 48 - 4.5 - 0.125
    assert up == pytest.approx(10.79 * 29.75 / 12, rel=2e-3)
    assert left == pytest.approx(10.79 * (face - 0.3125 - 6.125) / 12, rel=2e-3)
    # An arc of 6 in radius about (-6, 30): its centre of gravity lies 6 sin(45) / (pi / 4) from there.
    arc = 6 * math.sin(math.pi / 4) / (math.pi / 4) * math.sqrt(0.5)
    rights = (0.0, -6 + arc, -(6.125 + face - 0.3125) / 2, -(face - Fraction(5, 8)))
    ups = (0.125 + 29.75 / 2, 30 + arc, 36.0, 36.0)
    weights = (up, elbow, left, flange)
    whole = sum(weights)
    wanted_right = sum(w * float(r) for w, r in zip(weights, rights, strict=True)) / whole
    wanted_up = sum(w * u for w, u in zip(weights, ups, strict=True)) / whole - 0.125
    near(spool.centre, (wanted_right, 0.0, wanted_up))


# -- properties of random routes -----------------------------------------------------------------------------------

WAYS = ("up", "left", "toward", "right", "away", "down")
OPPOSITE = {"up": "down", "down": "up", "left": "right", "right": "left", "toward": "away", "away": "toward"}


@st.composite
def routes(draw: st.DrawFn) -> str:
    steps, before = ["up 3 ft"], "up"
    for _ in range(draw(st.integers(0, 7))):
        before = draw(st.sampled_from([way for way in WAYS if way != OPPOSITE[before]]))
        feet = draw(st.integers(3, 12))
        steps.append(f"{before} {feet} ft{draw(st.sampled_from(('', '', '', ', field fit')))}")
        item = draw(st.sampled_from(("", "", "", "gate valve", "strainer", "drain", "vent", "tee, 2-1/2")))
        if item.startswith("tee"):
            steps += [item, f"    {draw(st.sampled_from(('toward 4 ft', 'up 7 ft')))}", "    cap"]
        elif item:
            steps.append(item)
    return "\n".join(steps)


#: What may be asked of spools, from nothing to what no weld can bring about.
LIMITS = st.sampled_from(
    ("", "to 20 ft", "to 6 ft", "60 lb", "to 12 ft, 100 lb", "through 1 ft by 5 ft", "through 3 ft by 3 ft, 5 lb")
)


def joints_in(hookup: Hookup, spool: Spool, found: Spools) -> list[tuple[str, str, Joint]]:
    """What holds a spool together."""
    ids = {component.id for component in spool.components}
    return [
        (u, v, joint)
        for u, v, joint in hookup.joints()
        if u in ids and v in ids and not (joint.kind in KINDS and joint.order in found.field_welds)
    ]


def holds(hookup: Hookup, ids: set[str], joints: list[tuple[str, str, Joint]]) -> tuple[int, int]:
    """Pieces of pipe and welds."""
    welds = sum(u in ids and v in ids and joint.kind in KINDS for u, v, joint in joints)
    return sum(is_cut_pipe(hookup.component(id)) for id in ids), welds


@settings(deadline=None, max_examples=25)
@given(routes(), LIMITS)
def test_every_pipe_is_in_one_spool_and_limits_lose_nothing(steps: str, limits: str) -> None:
    compilation, free = made(steps, limits), made(steps)
    for which, hookup in enumerate(compilation.hookups):
        found = spools(compilation, which)
        ids = [component.id for spool in found.spools for component in spool.components]
        assert len(ids) == len(set(ids))
        assert {c.id for c in hookup.components() if is_cut_pipe(c)} <= set(ids)
        assert set(ids) == {c.id for spool in spools(free, which).spools for c in spool.components}
        marks = [spool.mark for spool in found.spools]
        assert len(marks) == len(set(marks))
        for spool in found.spools:
            inside = joints_in(hookup, spool, found)
            whole = nx.Graph([(u, v) for u, v, _ in inside])
            whole.add_nodes_from(component.id for component in spool.components)
            assert nx.is_connected(whole)
            assert all(joint.kind not in ("bolted", "grooved") for _, _, joint in inside)


@settings(deadline=None, max_examples=25)
@given(routes(), LIMITS.filter(bool))
def test_limits_are_kept_wherever_a_weld_can_keep_them(steps: str, words: str) -> None:
    compilation = made(steps, words)
    limits = compilation.job.settings.spools
    assert limits is not None
    hookup, found = compilation.hookups[0], spools(compilation)
    for spool in found.spools:
        shares = past(spool.load, limits)
        if max(shares.values(), default=0) <= 1:
            continue
        assert "no weld makes two spools of it" in verdict(spool, limits)
        inside = joints_in(hookup, spool, found)
        for u, v, joint in inside:
            if joint.kind not in KINDS:
                continue
            rest = nx.MultiGraph([(a, b) for a, b, other in inside if other is not joint])
            rest.add_nodes_from(component.id for component in spool.components)
            below = nx.node_connected_component(rest, v)
            if u in below:
                continue
            halves = [holds(hookup, ids, inside) for ids in (below, set(rest) - below)]
            assert not all(pipes for pipes, _ in halves)  # such a weld would have been taken


@settings(deadline=None, max_examples=25)
@given(routes(), LIMITS)
def test_a_mirrored_spool_weighs_the_same_and_hangs_the_other_way(steps: str, limits: str) -> None:
    compilation = made(steps, limits)
    assert [hookup.mirrored for hookup in compilation.hookups] == [False, True]
    one, other = spools(compilation, 0).spools, spools(compilation, 1).spools
    assert [s.mark for s in one] == [s.mark for s in other]
    for a, b in zip(one, other, strict=True):
        assert kinds(a) == kinds(b)
        assert a.dry.known == pytest.approx(b.dry.known) and a.dry.missing == b.dry.missing
        if isinstance(a.centre, Unknown) or isinstance(b.centre, Unknown):
            assert a.centre is b.centre
        else:
            near(a.centre, (-b.centre[0], b.centre[1], b.centre[2]))
        assert (a.load.box is None) == (b.load.box is None)
        if a.load.box is not None and b.load.box is not None:
            near(a.load.box.sides, b.load.box.sides)


@settings(deadline=None, max_examples=25)
@given(routes(), st.sampled_from(("", "left\n", "up\nplug valve\n", "plug valve\nplug valve\n")))
def test_pieces_lie_end_to_end(steps: str, before: str) -> None:
    """Bodies begin where their neighbours end, one weld gap off, behind what is not measured as well."""
    compilation = made(f"{before}toward 2 ft\n{steps}")
    tried = 0
    for hookup in compilation.hookups:
        where, measured = bodies(hookup), hookup.measured
        assert measured is not None
        for u, v, joint in hookup.joints():
            if joint.kind != "butt weld" or not {u, v} <= set(where) or where[u].island != where[v].island:
                continue
            cut, face = measured.cuts.get(u), layout(measured).faces.get((u, joint.port_a))
            if isinstance(cut, Fraction):
                tried += 1
                assert math.dist(where[u].start, where[v].start) == pytest.approx(float(cut) + 0.125)
            elif face is not None:
                tried += 1
                assert math.dist(face, where[v].start) == pytest.approx(0.125)
    assert tried


# -- parting -------------------------------------------------------------------------------------------------------

PIPE = End("pipe", size("4"), "carbon steel")


@st.composite
def groups(draw: st.DrawFn) -> tuple[list[tuple[int, int, Joint]], dict[str, Load]]:
    """Some joined things, rings among them: each is joined to one before it, and some more at random."""
    count = draw(st.integers(2, 12))
    pairs = [(draw(st.integers(0, number - 1)), number) for number in range(1, count)]
    for _ in range(draw(st.integers(0, 3))):
        pairs.append((draw(st.integers(0, count - 1)), draw(st.integers(0, count - 1))))
    edges = []
    for order, (a, b) in enumerate(pairs):
        if a != b:
            kind = draw(st.sampled_from(("butt weld", "butt weld", "threaded", "same piece")))
            edges.append((a, b, Joint(kind, "out", "in", PIPE, PIPE, "", (), order=order)))
    loads = {}
    for number in range(count):
        at, long = draw(st.floats(0, 100)), draw(st.floats(0, 50))
        loads[str(number)] = Load(Box((at, 0.0, 0.0), (at + long, 4.0, 4.0)), draw(st.floats(0, 90)), number % 2)
    return edges, loads


@given(groups(), st.integers(10, 150), st.integers(20, 400))
def test_the_weld_that_parts_is_the_best_there_is(
    group: tuple[list[tuple[int, int, Joint]], dict[str, Load]], inches: int, pounds: int
) -> None:
    edges, loads = group
    limits = SpoolLimits(length_in=Fraction(inches), weight_lb=float(pounds))
    beside: dict[str, list[tuple[str, Joint]]] = {id: [] for id in loads}
    for a, b, joint in edges:
        beside[str(a)].append((str(b), joint))
        beside[str(b)].append((str(a), joint))

    def added(ids: set[str], without: Joint | None) -> Load:
        load = Load()
        for id in ids:
            load = load.with_(loads[id])
        welds = sum(j.kind in KINDS and j is not without and {str(a), str(b)} <= ids for a, b, j in edges)
        return Load(load.box, load.pounds, load.pipes, welds)

    one_piece = nx.Graph([(str(a), str(b)) for a, b, joint in edges if joint.kind == "same piece"])
    one_piece.add_nodes_from(loads)
    hopeless = any(taken_up(added(set(ids), None), limits) > 1 for ids in nx.connected_components(one_piece))
    scores = {}
    for a, b, joint in edges:
        rest = nx.Graph([(str(u), str(v)) for u, v, other in edges if other is not joint])
        rest.add_nodes_from(loads)
        below = nx.node_connected_component(rest, str(a))
        if joint.kind not in KINDS or str(b) in below:
            continue
        halves = [added(ids, joint) for ids in (below, set(loads) - below)]
        if all(half.pipes if hopeless else half.pipes or half.welds for half in halves):
            scores[joint.order] = max(taken_up(half, limits) for half in halves)
    found = weld_to_part(list(loads), beside, loads, limits)
    if taken_up(added(set(loads), None), limits) <= 1 or not scores:
        assert found is None
    else:
        assert found is not None and scores[found.order] == pytest.approx(min(scores.values()))


@pytest.mark.parametrize("kind", ["butt weld", "same piece"])
def test_what_no_parting_helps_keeps_its_fittings(kind: str) -> None:
    """Two lengths of 13 ft, an elbow and a flange in a row: of one piece of 26 ft no elbow is cut off in vain."""
    kinds = (kind, "butt weld", "butt weld")
    joints = [Joint(each, "out", "in", PIPE, PIPE, "", (), order=n) for n, each in enumerate(kinds)]
    beside: dict[str, list[tuple[str, Joint]]] = {id: [] for id in "abcd"}
    for (u, v), joint in zip(pairwise("abcd"), joints, strict=True):
        beside[u].append((v, joint))
        beside[v].append((u, joint))
    places = {"a": (0.0, 156.0, 1), "b": (156.0, 312.0, 1), "c": (312.0, 318.0, 0), "d": (318.0, 321.0, 0)}
    loads = {id: Load(Box((at, 0.0, 0.0), (to, 4.0, 4.0)), 9.0, pipes) for id, (at, to, pipes) in places.items()}
    found = weld_to_part(list(loads), beside, loads, SpoolLimits(length_in=Fraction(240)))
    assert found is (joints[0] if kind == "butt weld" else None)


def test_halves_are_as_even_as_can_be_and_the_weld_is_made_in_the_field() -> None:
    # Four pieces of 5 ft in a row of turns: 20 lb of pipe and more each, so two halves of two.
    compilation = made("up 5 ft\nleft 5 ft\nup 5 ft\nleft 5 ft\naway 1 ft", "to 8 ft")
    found = supply(spools(compilation))
    assert [kinds(spool).count("pipe") for spool in found] == [2, 3]
    limits = compilation.job.settings.spools
    assert limits is not None and {verdict(spool, limits) for spool in found} == {"within"}
    before = sum(weld.field for weld in welds_of(compilation.hookups[0]))
    listed = [row.cells for row in table(compilation, "welds").rows]
    assert sum(cells["made"] == "field" for cells in listed) == before + 1
    assert any(cells["spool"] == "AH-*-S-CC-01 / AH-*-S-CC-02" and cells["made"] == "field" for cells in listed)


def test_one_pipe_too_long_stays_with_its_fittings_and_is_said() -> None:
    compilation = made("up 25 ft\nleft 2 ft\nup 1 ft", "to 20 ft")
    rows = table(compilation, "spools").rows
    assert rows[0].cells["limits"] == "too long, and no weld makes two spools of it"


# -- lists ---------------------------------------------------------------------------------------------------------


def test_sheets_hold_every_piece_and_cut_once() -> None:
    compilation = made("up 3 ft\nleft 4 ft\ndrain\nleft 2 ft\nup 1 ft", "to 5 ft")
    hookup = compilation.hookups[0]
    assert hookup.measured is not None
    rows = [r.cells for r in table(compilation, "spool-pieces").rows if "-S-" in str(r.cells["spool"])]
    cuts = [cells["cut"] for cells in rows if cells["cut"] is not None]
    wanted = [cut for id, cut in hookup.measured.cuts.items() if hookup.component(id).line == "supply to CC"]
    pieces = len([c for c in cuts if isinstance(c, Fraction)])
    off = sum(c for c in cuts if isinstance(c, Fraction)) - sum(c for c in wanted if isinstance(c, Fraction))
    assert abs(off) <= Fraction(pieces, 32)  # each to the nearest 1/16
    assert not [c for c in (*cuts, *wanted) if isinstance(c, Unknown)]
    numbers = {weld for cells in rows if isinstance(cells["welds"], tuple) for weld in cells["welds"]}
    in_field = spools(compilation).field_welds
    welds = [w for w in welds_of(hookup, in_field) if w.line == "supply to CC"]
    assert numbers == {f"W{w.number}{' field' if w.field else ''}" for w in welds}
    assert next(cells["item"] for cells in rows) == 1


def test_sheets_and_cut_list_say_the_same_lengths() -> None:
    steps = "up 3 ft 0-1/32 in, field fit\nleft 4 ft 0-3/64 in\ndrain\nleft 2 ft\nup 1 ft 1/3 in"
    compilation = made(steps, "to 5 ft")
    in_sheets = [r.cells["cut"] for r in table(compilation, "spool-pieces").rows if r.cells["cut"] is not None]
    in_list = [r.cells["length"] for r in table(compilation, "cuts").rows if "-S-" in str(r.cells["spool"])]
    known = [length for length in in_list if isinstance(length, Fraction)]
    assert known and all((16 * length).denominator == 1 for length in known)
    assert sorted(known) == sorted(c for c in in_sheets if isinstance(c, Fraction))


def test_the_mark_carries_the_number_of_a_unit() -> None:
    listed = table(made("up 3 ft\nleft 4 ft\nup 1 ft"), "spools")
    by_unit = {row.cells["units"]: row.cells["spool"] for row in listed.rows if "-S-" in str(row.cells["spool"])}
    assert by_unit == {"AH-1": "AH-1-S-CC-01", "AH-2": "AH-2-S-CC-01"}


@pytest.mark.parametrize(
    ("words", "rule"),
    [
        ("", "quantity-missing"),
        ("to 0 ft", "not-positive"),
        ("to 3 psi", "not-a-length"),
        ("to 20 ft, purple", "unknown-detail"),
        ("through 3 ft", "unknown-detail"),
    ],
)
def test_a_limit_that_is_none_is_found(words: str, rule: str) -> None:
    found = compile_text(f"takeoff\n    spools {words}".rstrip()).findings
    assert rule in {f.rule for f in found}


def test_limits_are_read() -> None:
    settings = made("up 3 ft", "to 6 m, 200 kg, through 7 ft by 3 ft").job.settings.spools
    assert settings is not None and settings.length_in == Fraction(30000, 127)
    assert settings.weight_lb == pytest.approx(440.925, abs=1e-3) and settings.door_in == (36, 84)


def test_a_loose_outlet_is_no_box_of_its_spool() -> None:
    """Two flanges with outlets on the pipe between them: how far apart they are nobody knows, and no limit passes."""
    steps = "up\nleft\nbutterfly valve BV-1, lug\ndrain 3/4\ntest port"
    compilation = made(steps)
    (spool,) = [one for one in supply(spools(compilation)) if kinds(one).count("threaded outlet") == 2]
    assert kinds(spool).count("slip-on flange") == 2
    assert spool.load.box is None
    (row,) = [one for one in table(compilation, "spools").rows if one.cells["spool"] == spool.mark]
    assert [row.cells[key] for key in ("right", "toward", "up", "not_placed")] == [NOT_MEASURED] * 3 + [None]
    door = SpoolLimits(door_in=(Fraction(36), Fraction(80)))
    assert verdict(spool, door) == "cannot tell: not measured"


def test_a_sheet_of_one_unit_has_its_number() -> None:
    compilation = made("up 2 ft\ntee T-*1\nleft 1 ft\nup 2 ft")
    hookup = compilation.hookups[0]
    for unit, tag in (("7", "T-71: "), ("*", "T-*1: ")):
        sheets = spool_sheets(compilation.job, hookup, unit)
        pieces = [str(item.row.cells["piece"]) for _, items in sheets for item in items]
        assert [piece for piece in pieces if piece.startswith("T-")] == [p for p in pieces if p.startswith(tag)] != []
