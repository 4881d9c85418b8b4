"""Clashes of measured hookups: stems, neighbours along a line, cabinets, mirror images."""

from collections import Counter
from dataclasses import replace

import pytest
from coilwright import Compilation, compile_text
from coilwright.analysis.pairs import near, solids
from coilwright.analysis.sections import Sections
from coilwright.analysis.solids import Solid
from coilwright.model.finding import Finding
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from test_overlap import gap

RULES = ("pieces-clash", "insulation-overlaps", "into-the-cabinet", "pull-space-blocked")
HEAD = """\
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
{service}
typical one, drawn with airflow left to right
{body}    coil CC on chilled-water
        supply low, 3 flanged, at right 20 in, up 12 in, toward 4 in
        return high, 3 flanged, at right 10 in, up 60 in, toward 4 in
{coil}    supply to CC, 3
        from main CHS, at right 62 in, down 24 in, toward 20 in
        up 3 ft
        left
        butterfly valve BV-1{stem}
        left 20 in
        drain
        left 6-1/8 in
        away 16 in
    return from CC, 3
{back}
        to main CHR
unit AH-1 is one, airflow {airflow}
"""
AIRFLOWS = ("left to right", "right to left")


def compiled(
    back: str, *, service: str = "", body: str = "", coil: str = "", stem: str = "", airflow: str = AIRFLOWS[0]
) -> Compilation:
    """A hookup whose supply is given and whose return has the steps `back`, parted by `; `."""
    steps = "\n".join("        " + step for step in back.split("; "))
    text = HEAD.format(service=service, body=body, coil=coil, stem=stem, back=steps, airflow=airflow)
    made = compile_text(text, name="clash.hookup")
    assert not [f for f in made.findings if f.severity == "error"], made.findings
    return made


def clashes(made: Compilation) -> list[Finding]:
    return [f for f in made.findings if f.rule in RULES]


def test_nothing_is_found_where_all_is_clear() -> None:
    assert clashes(compiled("toward 30 in; right 60 in; butterfly valve BV-2; right 20 in; down 5 ft")) == []


@pytest.mark.parametrize(
    ("stem", "found"),
    [
        (", stem up 40 in", False),
        (", stem up 48 in", True),
        (", stem up 44 in, 9 in handwheel", False),
        (", stem up 47 in, 9 in handwheel", True),
        (", stem down 48 in", False),
        (", stem up", False),
    ],
)
def test_a_stem_reaches_as_far_as_the_file_says(stem: str, found: bool) -> None:
    """The return crosses 48 in above the valve; its pipe is 3-1/2 in thick."""
    made = clashes(compiled("toward 16 in; right 70 in; butterfly valve BV-2; right 20 in; down 5 ft", stem=stem))
    assert [f.rule for f in made] == ["pieces-clash"] * found
    for finding in made:
        assert "of `BV-1`" in finding.message


def test_a_handwheel_beside_pipe_touches_it_with_its_rim() -> None:
    """The return passes 5 in nearer to the reader than the stem, at the height of the wheel."""
    way = "toward 21 in; right 70 in; butterfly valve BV-2; right 20 in; down 5 ft"
    assert not clashes(compiled(way, stem=", stem up 48 in, 6 in handwheel"))
    (found,) = clashes(compiled(way, stem=", stem up 48 in, 9 in handwheel"))
    assert found.message.startswith("the handwheel of `BV-1` and `pipe 3` of `return from CC`")


def test_legs_of_a_line_that_doubles_back_have_to_clear_each_other() -> None:
    """Two long radius elbows, 9-1/8 in from centre to centre: bare pipe clears, 3 in of insulation on both does not."""
    back = "toward 40 in; right 60 in; up 9-1/8 in; left 40 in; up 2 ft; butterfly valve BV-2; up 2 ft"
    assert [f.rule for f in clashes(compiled(back, service="    insulate 2 in\n"))] == []
    found = clashes(compiled(back, service="    insulate 3 in\n"))
    assert [f.rule for f in found] == ["insulation-overlaps"]
    assert "by 3/8 in" in found[0].message


def test_a_flange_has_to_clear_the_leg_beside_it() -> None:
    back = "toward 40 in; right 60 in; up {} in; left 40 in; butterfly valve BV-2; left 2 ft"
    assert clashes(compiled(back.format("9-1/8"))) == []
    found = clashes(compiled(back.format("9-1/8"), service="    insulate 2 in\n"))
    assert ["`BV-2`" in f.message and "by 3/8 in" in f.message for f in found] == [True]


def test_a_coil_connection_in_the_cabinet_is_where_it_belongs() -> None:
    body = "    cabinet 72 in wide, 70 in high, 40 in deep, at right 0 in, down 6 in, toward 6 in\n"
    assert clashes(compiled("toward 30 in; right 60 in; butterfly valve BV-2; right 20 in; down 5 ft", body=body)) == []


@pytest.mark.parametrize(("through", "found"), [("", True), ("through cabinet; ", False)])
def test_a_run_may_go_through_the_cabinet(through: str, found: bool) -> None:
    body = "    cabinet 72 in wide, 70 in high, 40 in deep, at right 0 in, down 6 in\n"
    back = f"toward 30 in; right 45 in; butterfly valve BV-2; right 40 in; away 30 in; {through}away 30 in"
    assert clashes(compiled(back, body=body)) == []
    inside = f"toward 30 in; right 30 in; butterfly valve BV-2; right 12 in; away 30 in; {through}away 30 in"
    assert [f.rule for f in clashes(compiled(inside, body=body))] == ["into-the-cabinet"] * found


@pytest.mark.parametrize(
    ("line", "rule"),
    [
        ("    cabinet 72 in wide\n", "quantity-missing"),
        ("    cabinet 72 in wide, 0 in high\n", "not-positive"),
        ("    cabinet 72 in wide, 60 in high, 60 in high\n", "said-twice"),
        ("    cabinet 72 in wide, 60 in high, 60 in thick\n", "unknown-detail"),
        ("    cabinet 72 psi wide, 60 in high\n", "not-a-length"),
        ("    cabinet 72 in wide, 60 in high\n    cabinet 72 in wide, 60 in high\n", "declared-twice"),
    ],
)
def test_a_cabinet_that_is_none_is_found(line: str, rule: str) -> None:
    text = HEAD.format(service="", body=line, coil="", stem="", back="        toward 1 ft", airflow=AIRFLOWS[0])
    assert [f.rule for f in compile_text(text, name="a.hookup").findings if f.severity == "error"] == [rule]


@pytest.mark.parametrize(
    ("said", "rule"),
    [("stem up 0 in", "not-positive"), ("stem up 14 psi", "not-a-length"), ("0 in handwheel", "not-positive")],
)
def test_a_stem_of_no_length_is_found(said: str, rule: str) -> None:
    text = HEAD.format(service="", body="", coil="", stem=f", {said}", back="        toward 1 ft", airflow=AIRFLOWS[0])
    assert [f.rule for f in compile_text(text, name="a.hookup").findings if f.severity == "error"] == [rule]


def test_a_pull_space_needs_its_depth() -> None:
    coil = "        pull space 40 in wide, 66 in high, at right 4 in\n"
    text = HEAD.format(service="", body="", coil=coil, stem="", back="        toward 1 ft", airflow=AIRFLOWS[0])
    (found,) = [f for f in compile_text(text, name="a.hookup").findings if f.severity == "error"]
    assert (found.rule, found.help) == ("quantity-missing", "add the lengths: `, 60 in deep`")


MOVES = st.sampled_from(
    [
        "right 30 in",
        "left 24 in",
        "up 20 in",
        "down 3 ft",
        "toward 26 in",
        "away 22 in",
        "up 14 in, toward 14 in, at 45",
    ]
)
ITEMS = st.sampled_from(["butterfly valve", "vent", "gate valve, stem up 20 in, 9 in handwheel", "check valve"])
OPPOSITE = {"up": "down", "down": "up", "left": "right", "right": "left", "toward": "away", "away": "toward"}


@st.composite
def ways(draw: st.DrawFn) -> str:
    """A way back from the coil that never turns straight back."""
    made, heading = ["toward 26 in"], "toward"
    for move, item in draw(st.lists(st.tuples(MOVES, st.none() | ITEMS), min_size=2, max_size=7)):
        direction = move.split()[0]
        if OPPOSITE[direction] == heading or ("at 45" in move and heading in ("up", "down", "toward", "away")):
            continue
        made.append(move)
        heading = heading if "at 45" in move else direction
        if item is not None:
            made.extend((item, f"{heading} 25 in"))
    return "; ".join(made)


SOME = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@given(ways())
@SOME
def test_the_mirrored_unit_has_the_same_clashes(way: str) -> None:
    more = {
        "service": "    insulate 1 in\n",
        "body": "    cabinet 72 in wide, 70 in high, at right 2 in, down 6 in\n",
        "coil": "        pull space 40 in wide, 66 in high, 6 ft deep, at right 4 in\n",
        "stem": ", stem left 30 in, 9 in handwheel",
    }
    drawn, other = (clashes(compiled(way, airflow=airflow, **more)) for airflow in AIRFLOWS)
    assert Counter(replace(f, units=()) for f in drawn) == Counter(replace(f, units=()) for f in other)


@given(ways())
@SOME
def test_what_is_joined_stands_end_to_end(way: str) -> None:
    """Solids know nothing of joints: neighbours meet within a gasket, or a weld gap and what an arc's chords leave."""
    for hookup in compiled(way).hookups:
        shapes: dict[str, list[Solid]] = {}
        for solid in solids(hookup, Sections(hookup)).all:
            if not solid.what:
                shapes.setdefault(solid.component.id, []).append(solid)
        met = 0
        for u, v, _ in hookup.joints():
            pairs = [(a, b) for a in shapes.get(u, ()) for b in shapes.get(v, ()) if a.island == b.island]
            met += bool(pairs)
            assert not pairs or min(gap(a.shape, b.shape) for a, b in pairs) < 0.2
        assert met >= 10


@given(ways())
@SOME
def test_the_sweep_leaves_no_pair_out(way: str) -> None:
    for hookup in compiled(way, service="    insulate 1 in\n").hookups:
        all = solids(hookup, Sections(hookup)).all
        pairs = set(near(all))
        for number, a in enumerate(all):
            for other, b in enumerate(all[:number]):
                (a_low, a_high), (b_low, b_high) = a.dressed.bounds, b.dressed.bounds
                if a.island == b.island and all_less(a_low, b_high) and all_less(b_low, a_high):
                    assert (other, number) in pairs


def all_less(a: tuple[float, float, float], b: tuple[float, float, float]) -> bool:
    return all(x < y for x, y in zip(a, b, strict=True))
