"""Complete small hookups as published texts would have their coils piped: what the rules say of them.

Each file was written for this test from the text that its first comment names, as far as it could be read in public
copies. A text seldom asks for a whole hookup; what was put in beside it stands in that comment too.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from coilwright import Compilation, compile_file, compile_text

HERE = Path(__file__).parent
#: No text asks for relief where cold or hot water indoors is shut in; the rule tells of it as a note.
INDOORS = {"blocked-in-water-indoors": (1, "no relief asked for on water indoors: a note")}


@dataclass(frozen=True)
class Text:
    """One hookup: what is expected of it, and how it stops doing what the text asks.

    `asks`: columns of the checker's table that must say yes in every row, with words that the answer must hold.
    `finds`: findings where the text asks for less than the rules: how many, and why.
    `spoilt`: a change of the file against the text, and the finding that it must bring.
    """

    title: str
    asks: Mapping[str, str]
    spoilt: tuple[str, str, str]
    finds: Mapping[str, tuple[int, str]] = field(default_factory=lambda: INDOORS)


SHUT = {"coil_not_isolated_supply": "", "coil_not_isolated_return": ""}
LOOSE = {"coil_not_removable_supply": "", "coil_not_removable_return": ""}
EMPTIES = {"drain_missing": "", "vent_missing": "", "drain_without_air": ""}

TEXTS = {
    "ufgs-15569-heating-coil": Text(
        "UFGS 15569, heating coils: capped drain, vents, wells in the return, strainer",
        SHUT | EMPTIES | {"strainer_missing": "ST-101", "control_valve_missing": "TCV-101 on the return"},
        # The blowdown would drain the coil too.
        ("            strainer blowdown\n        test port\n        drain 3/4\n", "", "drain-missing"),
    ),
    "ufgs-15569-15895-automatic-vent": Text(
        "UFGS 15569, air vents, and 15895, fan coil units: a float vent behind a valve of its own",
        SHUT | LOOSE | EMPTIES | {"test_port_missing_supply": "", "test_port_missing_return": ""},
        ("automatic vent 1/2", "automatic air vent 1/2", "automatic-vent-without-shutoff"),
    ),
    "ufgs-15501-threaded-control-valve": Text(
        "UFGS 15501, 15502: unions at threaded control valves and strainers, gauge cocks, level tops, dielectrics",
        SHUT | LOOSE | {"strainer_missing": "ST-201", "dissimilar_metals": "", "test_port_missing_return": "PI-202"},
        ("        gauge PI-201", "        pressure gauge PI-201, 1/2", "gauge-without-cock"),
    ),
    "ufgs-15183-union-per-valve": Text(
        "UFGS 15183: a union beside every threaded valve, dielectric unions",
        dict.fromkeys(LOOSE, "dielectric union") | {"dissimilar_metals": ""},
        ("        ball valve BV-301\n        union\n", "        ball valve BV-301\n", "threaded-item-trapped"),
        INDOORS
        | {
            "balancing-missing": (1, "the pages read ask for no balancing"),
            "test-port-missing": (2, "nor for test ports, on either leg"),
        },
    ),
    "delaware-232113-welded-coil": Text(
        "State of Delaware project manual, 23 21 13 part 3: capped drains, level tops, flanges from NPS 2-1/2",
        SHUT | dict.fromkeys(LOOSE, "flange 3") | EMPTIES | {"strainer_missing": "ST-401"},
        ("reducer 2-1/2, eccentric, flat on top", "reducer 2-1/2, concentric", "reducer-holds-air"),
    ),
    "ut-austin-drains-every-rise": Text(
        "UT Austin, HVAC piping and pumps: drains at every rise, drop and low point, vents at high points",
        EMPTIES | {"drain_missing": "line 39", "vent_missing": "line 43"},
        ("        right\n        drain 3/4\n", "        right\n", "drain-missing"),
    ),
    "uihc-glycol-manual-vents": Text(
        "University of Iowa Hospitals and Clinics, pages 63 and 65: manual vents on glycol, shutoffs, blowdowns",
        SHUT | EMPTIES | {"dissimilar_metals": "", "glycol_too_weak": "", "strainer_missing": "ST-601"},
        ("        vent 1/2\n", "        automatic vent 1/2\n", "automatic-vent-on-glycol"),
        {
            "blocked-in-liquid": (1, "the pages read say nothing of relief for glycol that is shut in"),
            "fill-pair-missing": (1, "nor of a pair of drains to fill by: a note"),
        },
    ),
    "ufc-3-440-01-fill-and-flush": Text(
        "UFC 3-440-01 appendix E, item 14: two drains with a valve between them at the low point of a glycol loop",
        SHUT | EMPTIES | {"glycol_too_weak": "", "blocked_in_liquid": "RV-701"},
        ("        vent 1/2\n", "", "vent-missing"),
        {"control-valve-missing": (1, "the page read asks for none: a note")},
    ),
    "unc-own-shutoffs-in-a-bank": Text(
        "University of North Carolina piping guideline: each coil's own shutoffs, drains of the line's size",
        SHUT | EMPTIES | {"coils_share_shutoffs": "", "strainer_missing": "ST-801"},
        ("        ball valve BV-*21\n", "", "coils-share-shutoffs"),
        {"blocked-in-water-indoors": (2, "one for each coil: a note")},
    ),
    "modelica-diversion-three-way": Text(
        "Modelica Buildings library, HydronicConfigurations Diversion: three-way valve in the return",
        {"three_way_ports_reversed": "TCV-901 mixes", "balancing_missing": "FB-901", "control_valve_missing": "return"},
        ("flanged, mixing", "flanged, diverting", "three-way-ports-reversed"),
    ),
    "ufc-3-410-02a-diverting-valve": Text(
        "UFC 3-410-02A, 3.a(5): a diverting valve has one inlet and two outlets, so it stands on the supply",
        SHUT
        | LOOSE
        | EMPTIES
        | {
            "three_way_ports_reversed": "TCV-1101 diverts",
            "control_valve_missing": "TCV-1101 on the supply",
            "strainer_missing": "ST-1101",
            "balancing_missing": "FB-1101",
        },
        ("flanged, diverting", "flanged, mixing", "three-way-ports-reversed"),
    ),
    "guide-230900-pressure-independent": Text(
        "Guide specification 23 09 00, pressure-independent control valves: no balancing, ports on both sides",
        SHUT
        | LOOSE
        | EMPTIES
        | {
            "balancing_missing": "PICV-1201",
            "control_valve_missing": "PICV-1201 on the return",
            "test_port_missing_supply": "",
            "test_port_missing_return": "",
        },
        (
            "        drain 3/4\n        ball valve BV-1202",
            "        balancing valve FB-1\n        drain 3/4\n        ball valve BV-1202",
            "balancing-doubled",
        ),
    ),
    "modelica-injection-coil-pump": Text(
        "Modelica Buildings library, HydronicConfigurations InjectionTwoWay: coil pump, bypass with check valve",
        {"freeze_pump_loop_broken": "P-1001", "freezing_air_on_water": "", "balancing_missing": "FB-1001, FB-1002"},
        ("bypass from T-1002 to T-1001", "bypass from T-1001 to T-1002", "freeze-pump-loop-broken"),
    ),
    "doe-1018-lug-valves": Text(
        "DOE-HDBK-1018/2, butterfly valve bodies: lug bodies hold when one side is undone",
        SHUT | dict.fromkeys(LOOSE, "flange 4"),
        (", lug", ", wafer", "coil-not-removable"),
        INDOORS | {"control-valve-missing": (1, "dampers do instead: a note")},
    ),
    "va-glycol-below-freezing": Text(
        "VA HVAC design manual, coils and 2.12.13.1: glycol below freezing, coils valved, flanged and offset",
        SHUT | LOOSE | {"glycol_too_weak": ""},
        ("ethylene glycol, 30 % by mass", "water", "freezing-air-on-water"),
        {
            "blocked-in-liquid": (1, "the pages read say nothing of relief for glycol that is shut in"),
            "fill-pair-missing": (1, "nor of a pair of drains to fill by: a note"),
        },
    ),
}


def path(name: str) -> Path:
    return HERE / f"{name}.hookup"


def found(compilation: Compilation) -> Counter[str]:
    return Counter(f.rule for f in compilation.findings)


def test_every_hookup_has_its_text() -> None:
    assert sorted(TEXTS) == sorted(p.stem for p in HERE.glob("*.hookup"))


@pytest.mark.parametrize("name", TEXTS)
def test_finds_what_the_text_leaves_out_and_nothing_else(name: str) -> None:
    compilation = compile_file(path(name))
    assert not compilation.broken
    assert found(compilation) == {rule: count for rule, (count, _) in TEXTS[name].finds.items()}
    assert not [f.message for f in compilation.findings if f.severity in ("error", "must")]


@pytest.mark.parametrize("name", TEXTS)
def test_says_yes_to_what_the_text_asks(name: str) -> None:
    rows = compile_file(path(name)).checker().rows
    assert rows
    for row in rows:
        for column, words in TEXTS[name].asks.items():
            said = str(row.cells.get(column))
            assert said.startswith("yes") and words in said, f"{row.cells['coil']}, {column}: {said}"


@pytest.mark.parametrize("name", TEXTS)
def test_finds_what_is_piped_against_the_text(name: str) -> None:
    text = path(name).read_text(encoding="utf-8")
    old, new, rule = TEXTS[name].spoilt
    assert old in text
    spoilt = compile_text(text.replace(old, new), name=path(name).name)
    assert not spoilt.broken
    assert found(spoilt)[rule] > found(compile_file(path(name)))[rule]
