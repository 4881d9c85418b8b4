"""Lineups, isolation, drains, vents, changeover and lockout on random hookups, against plain walks (plain.py)."""

from __future__ import annotations

from coilwright import compile_text
from coilwright.analysis.apart import all_apart
from coilwright.analysis.changeover import changeovers
from coilwright.analysis.lineups import Lineups, lineups_of, worked_out
from coilwright.analysis.pieces import coil_piece
from coilwright.analysis.sections import Sections
from coilwright.api import Compilation
from coilwright.model.hookup import Hookup
from hypothesis import HealthCheck, given, settings
from plain import Plain, Way, hookups

thorough = settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))


def compiled(plain: Plain) -> Compilation:
    made = compile_text(plain.text, name="random.hookup")
    assert not made.broken, ([f"{f.span}: {f.message}" for f in made.findings if f.severity == "error"], plain.text)
    return made


def engine(plain: Plain) -> tuple[Hookup, Sections, Lineups]:
    (hookup,) = compiled(plain).hookups
    sections = Sections(hookup)
    return hookup, sections, worked_out(hookup, sections)


def wanted_lineups(plain: Plain, hookup: Hookup) -> list[tuple[str, set[str], set[str], list[tuple[str, str]]]]:
    normal = [(tag, facts.service) for tag, facts in hookup.coils.items()]
    return plain.lineups or [("normal", set(), set(), normal)]


@given(hookups())
@thorough
def test_what_stands_where(plain: Plain) -> None:
    hookup, _, lineups = engine(plain)
    for lineup, (_, opened, closed, _) in zip(lineups_of(hookup), wanted_lineups(plain, hookup), strict=True):
        stands = lineups.stand(lineup)
        shut = plain.shut_in(opened, closed)
        assert {hookup.component(id).tag for id in stands.shut} - {""} == shut
        services = plain.services(shut)
        for way in plain.ways:
            if way.tag:
                expected = services[way.a] | services[way.b] if way.tag in shut else services[way.a]
                assert set(stands.standing(way.tag)) == expected, (way, plain.text)


@given(hookups(checks=False))
@thorough
def test_what_flows(plain: Plain) -> None:
    hookup, _, lineups = engine(plain)
    for lineup, (_, opened, closed, _) in zip(lineups_of(hookup), wanted_lineups(plain, hookup), strict=True):
        stands = lineups.stand(lineup)
        flows: dict[str, set[int]] = {}  # tag -> 1 along the way as drawn, -1 against it
        for path in plain.flows(plain.shut_in(opened, closed)):
            at = next(iter({path[0].a, path[0].b} & plain.mains.keys()))
            for way in path:
                flows.setdefault(way.tag, set()).add(1 if at == way.a else -1)
                at = way.b if at == way.a else way.a
        for way in plain.ways:
            if way.tag:
                found, sense = stands.flowing(way.tag)
                assert found == (way.tag in flows), (way, plain.text)
                if found and sense:
                    assert flows[way.tag] == {sense}, (way, plain.text)


@given(hookups())
@thorough
def test_each_coil_s_way(plain: Plain) -> None:
    hookup, _, lineups = engine(plain)
    for lineup, (_, opened, closed, _) in zip(lineups_of(hookup), wanted_lineups(plain, hookup), strict=True):
        stands = lineups.stand(lineup)
        shut = plain.shut_in(opened, closed)
        for service in {name for name, _ in plain.mains.values()}:
            paths = [[w.tag for w in path if w.tag] for path in plain.flows(shut, service)]
            for coil in plain.coils:
                way = stands.coil_way(coil, service)
                assert (way is not None) == any(coil in path for path in paths), (coil, plain.text)
                if way is not None:
                    known = {w.tag for w in plain.ways}
                    assert [id for id in way.path if id in known] in paths, plain.text


@given(hookups())
@thorough
def test_what_the_rules_say_of_it(plain: Plain) -> None:
    made = compiled(plain)
    found = [f.rule for f in made.findings]
    unmet = still = mixed = 0
    usual = plain.shut_in(set(), set())
    for _, opened, closed, expect in plain.lineups:
        shut = plain.shut_in(opened, closed)
        services = plain.services(shut)
        for coil, service in expect:
            if service not in services[plain.coils[coil][0]]:
                unmet += 1
            elif not any(w.tag == coil for path in plain.flows(shut, service) for w in path):
                still += 1
        mixed += shut != usual and any(len(some) > 1 for some in services.values())
    assert found.count("lineup-expectation-unmet") == unmet, plain.text
    if plain.lineups:
        assert found.count("coil-without-flow") == still, plain.text
    assert found.count("lineup-mixes-services") == mixed, plain.text
    said = {
        tuple(f.message.split("`")[0::2])[0:1] + f.about[:1] for f in made.findings if f.rule == "coil-not-isolated"
    }
    legs = {(coil, words[0].split(" on the ")[1].split()[0]) for *words, coil in said}
    assert legs == plain.open_legs(), plain.text
    assert found.count("drain-missing") == plain.stays("drain"), plain.text
    # The second is for pieces between shut valves alone.
    airs = found.count("vent-missing") + found.count("shut-in-piece-without-vent")
    assert airs == plain.stays("vent"), plain.text


@given(hookups())
@thorough
def test_what_keeps_services_apart(plain: Plain) -> None:
    hookup, _, lineups = engine(plain)
    for lineup, (_, opened, closed, _) in zip(lineups_of(hookup), wanted_lineups(plain, hookup), strict=True):
        shut = plain.shut_in(opened, closed)
        for apart in all_apart(lineups.stand(lineup)):
            least = plain.least_shut(shut)
            assert (len(apart.valves) if apart.path else None) == least, plain.text
            if least is not None:
                parting = plain.least_parting()
                assert (None if apart.parting is None else len(apart.parting)) == parting, plain.text
                assert apart.bled == plain.is_bled(shut), plain.text


@given(hookups())
@thorough
def test_changeover_shuts_before_it_opens_and_mixes_nothing_unsaid(plain: Plain) -> None:
    hookup, sections, lineups = engine(plain)
    drawn = {name: plain.shut_in(opened, closed) for name, opened, closed, _ in plain.lineups}
    for made in changeovers(hookup, sections, lineups):
        shut = set(drawn[made.before.name])
        done: list[str] = []
        for act in made.acts:
            if act.do not in ("shut", "open", "crack open") or act.valves[0].role:
                continue
            tag = act.valves[0].tag
            (shut.add if act.do == "shut" else shut.remove)(tag)
            done.append("shut" if act.do == "shut" else "open")
            if any(len(some) > 1 for some in plain.services(shut).values()):
                assert act.mixes and made.problem, plain.text
        assert done == sorted(done, reverse=True), "a valve is opened before another is shut"
        assert shut == drawn[made.after.name], plain.text


@given(hookups())
@thorough
def test_lockout_cuts_a_coil_off_or_says_that_it_does_not(plain: Plain) -> None:
    hookup, sections, lineups = engine(plain)
    for coil, ends in plain.coils.items():
        piece = coil_piece(hookup, sections, lineups, coil)
        assert piece is not None
        tags = {v.tag for v in piece.shutoffs}
        reached = plain.reach({ends[0]}, lambda w, tags=tags: w.tag not in tags)  # type: ignore[misc]
        others = {p for other, pair in plain.coils.items() if other != coil for p in pair}
        assert bool(piece.open_to) == bool(reached & (plain.mains.keys() | others)), plain.text


def test_the_plain_walks_on_a_case_worked_by_hand() -> None:
    # main 0 - valve - 1 - coil - 2 - valve - 3 - main 4, and a drain at 1: no vent, one way.
    plain = Plain(points=4, mains={0: ("chilled-glycol", True), 3: ("chilled-glycol", False)}, opens={1: {"drain"}})
    plain.ways = [
        Way(0, 1, tag="BV-1", valve=True),
        Way(1, 2, tag="C-1", rise=1, coil=True),
        Way(2, 3, tag="BV-2", valve=True),
    ]
    plain.coils = {"C-1": (1, 2)}
    assert plain.stays("drain") == 0 and plain.stays("vent") == 1
    assert [[w.tag for w in path] for path in plain.flows(set())] == [["BV-1", "C-1", "BV-2"]]
    assert plain.services({"BV-2"}) == {
        0: {"chilled-glycol"},
        1: {"chilled-glycol"},
        2: {"chilled-glycol"},
        3: {"chilled-glycol"},
    }
    assert plain.services({"BV-1", "BV-2"})[1] == set()
    assert plain.open_legs() == set()
