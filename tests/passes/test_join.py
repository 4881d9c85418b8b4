"""Joints: what the search puts between two ends, case by case. Each chain was checked by hand as a fitter would."""

from __future__ import annotations

import pytest

from .hookups import chain, compiled, only, rules

BREAK = "= bolted"


def between(steps: str, a: str, b: str, **options: str) -> str:
    """The pieces from one named component to the next, as one line."""
    said = chain(compiled(steps, **options))
    return " ".join(said[said.index(a) : said.index(b, said.index(a)) + 1])


def test_male_thread_on_copper_header_to_a_lug_valve_of_another_size() -> None:
    found = between(
        "up 2 ft\nbutterfly valve BV-1, lug", "butterfly valve 4", "coil", port="3 male thread", headers="copper"
    )
    assert found == (
        "butterfly valve 4 = bolted slip-on flange 4 = slip-on weld pipe 4 = butt weld concentric reducer 4 x 3 = "
        "butt weld pipe 3 = slip-on weld slip-on flange 3 = bolted bronze threaded flange 3 = threaded coil"
    )


def test_female_threaded_connection_gets_a_union() -> None:
    found = between("ball valve BV-1", "ball valve 2", "coil", port="2 female thread", size="2")
    assert found == "ball valve 2 = threaded nipple 2 = threaded union 2 = threaded nipple 2 = threaded coil"


def test_flanged_valves_bolt_to_each_other_with_one_gasket_and_no_flange_between() -> None:
    made = compiled("gate valve GV-1\ncheck valve CV-1")
    said = chain(made)
    at = said.index("gate valve 4")
    assert said[at : at + 3] == ["gate valve 4", "= bolted", "check valve 4"]
    (row,) = [r for r in made.tables(["joints"])[0].rows if r.cells["between"] == "GV-1 - CV-1"]
    assert row.cells["gaskets"] == 1 and row.cells["bolts"] == 8


def test_wafer_takes_one_long_bolt_set() -> None:
    made = compiled("up 1 ft\nbutterfly valve BV-1, wafer, metal seated\nup 1 ft")
    rows = [r.cells for r in made.tables(["joints"])[0].rows if "BV-1" in str(r.cells["between"])]
    assert len(rows) == 1
    assert rows[0]["gaskets"] == 2
    # Two class 150 NPS 4 flanges .88 + .12 over + .06 face each, body 2.06, two gaskets .125, two nuts .625:
    # 5.68 -> 5-3/4.
    assert (rows[0]["bolts"], rows[0]["nuts"], float(rows[0]["length"])) == (8, 16, 5.75)  # type: ignore[arg-type]


def test_resilient_wafer_has_no_gasket() -> None:
    made = compiled("up 1 ft\nbutterfly valve BV-1, wafer\nup 1 ft")
    rows = [r.cells for r in made.tables(["joints"])[0].rows if "BV-1" in str(r.cells["between"])]
    assert [(r["gaskets"], r["gasket"]) for r in rows] == [(0, "none: the seat seals")]


@pytest.mark.parametrize(("seat", "gaskets"), [("", 0), (", metal seated", 1)])
def test_lug_takes_cap_screws_from_both_sides(seat: str, gaskets: int) -> None:
    made = compiled(f"up 1 ft\nbutterfly valve BV-1, lug{seat}\nup 1 ft")
    rows = [r.cells for r in made.tables(["joints"])[0].rows if "BV-1" in str(r.cells["between"])]
    assert [(r["bolts"], r["nuts"], r["gaskets"]) for r in rows] == [(8, 0, gaskets)] * 2
    assert all(str(r["bolt"]).startswith("cap screws") for r in rows)


def test_item_of_another_size_is_reduced_to_and_back_flat_on_top_where_level() -> None:
    found = between("left 1 ft\nbalancing valve FB-1, 3\nleft 1 ft", "pipe 4", "coil")
    assert found.count("eccentric reducer 4 x 3") == 2
    assert "concentric" not in found.replace("eccentric", "")


def test_reducers_in_a_riser_are_concentric() -> None:
    found = between("up 1 ft\nbalancing valve FB-1, 3\nup 1 ft", "pipe 4", "coil")
    assert found.count("concentric reducer 4 x 3") == 2 and "eccentric" not in found


def test_threaded_valve_in_a_welded_line_is_reached_by_nipples() -> None:
    found = between("left 1 ft\ncontrol valve TCV-1, 2\nleft 1 ft", "pipe 4", "coil")
    assert "eccentric reducer 4 x 2 = butt weld nipple, one end threaded 2 = threaded control valve 2" in found


@pytest.mark.parametrize(
    ("line", "way", "between_them"),
    [
        ("dissimilar metals   union", "union", "dielectric union, threaded to threaded 1"),
        ("dissimilar metals   brass", "brass", "brass coupling 1"),
    ],
)
def test_small_copper_connection_on_steel_is_kept_apart_as_the_spec_says(
    line: str, way: str, between_them: str
) -> None:
    spec = f"spec ours, like steel-welded\n    {line}\n"
    steps = "ball valve BV-1\nleft 1 ft"
    found = chain(compiled(steps, port="1 male thread", size="1", headers="copper", spec="ours", extra=spec))
    assert between_them in found, way


def test_flanged_copper_connection_on_steel_takes_an_insulating_kit() -> None:
    made = compiled("left 1 ft", headers="copper")
    assert chain(made)[-2:] == ["= bolted with kit", "coil"]
    kits = [
        r.cells["total"]
        for r in made.tables(["bill"])[0].rows
        if "insulating flange kit" in str(r.cells["description"])
    ]
    assert kits == [2]
    joint = made.job.flanged(made.hookups[0])[-1]
    assert joint.kit
    assert "0.125 insulating washer + 0.125 steel washer" in joint.why
    assert "from memory" in joint.why


def test_flat_faced_iron_makes_the_steel_flange_flat_and_the_gasket_full_face() -> None:
    made = compiled("left 1 ft\ngate valve GV-1\nleft 1 ft")
    rows = [r.cells for r in made.tables(["joints"])[0].rows if "GV-1" in str(r.cells["between"])]
    assert [(r["flanges"].split(", ")[1], str(r["gasket"]).split(",")[0]) for r in rows] == [
        ("flat face", "full face")
    ] * 2
    beside = [c for c in only(made, "slip-on flange") if any(e.facing == "FF" for e in c.ends.values())]
    assert len(beside) == 2


def test_raised_face_steel_valve_keeps_ring_gaskets() -> None:
    made = compiled("left 1 ft\ngate valve GV-1, flanged, steel\nleft 1 ft")
    rows = [r.cells for r in made.tables(["joints"])[0].rows if "GV-1" in str(r.cells["between"])]
    assert [(r["flanges"].split(", ")[1], str(r["gasket"]).split(",")[0]) for r in rows] == [
        ("raised face", "ring")
    ] * 2


def test_soldered_line_with_a_threaded_steel_connection() -> None:
    found = between(
        "ball valve BV-1\nleft 1 ft", "ball valve 1", "coil", port="1 male thread", size="1", spec="copper-soldered"
    )
    assert found == ("ball valve 1 = soldered tube 1 = soldered dielectric union, threaded to solder 1 = threaded coil")


def test_grooved_line_counts_a_coupling_for_each_joint() -> None:
    made = compiled("butterfly valve BV-1\nleft 1 ft\nup 1 ft", port="4 grooved", spec="steel-grooved")
    joints = [j for _, _, j in made.hookups[0].joints() if j.kind == "grooved"]
    (row,) = [r for r in made.tables(["bill"])[0].rows if "grooved coupling" in str(r.cells["description"])]
    assert row.cells["total"] == len(joints) == 6


@pytest.mark.parametrize(
    ("item", "kind"),
    [("tee T-1, 4", "tee"), ("tee T-1, 2-1/2", "reducing tee"), ("tee T-1, 3/4", "threaded outlet")],
)
def test_branch_table(item: str, kind: str) -> None:
    made = compiled(f"left 1 ft\n{item}\n    cap\nleft 1 ft")
    assert len(only(made, kind)) == 1


def test_tee_that_no_table_lists_becomes_a_welded_outlet() -> None:
    # ASME B16.9 has no 12 x 4 tee; the spec's branch table would call it smaller than half anyway, 12 x 6 it would not.
    made = compiled("left 1 ft\ntee T-1, 4\n    cap\nleft 1 ft", size="12", port="12 flanged")
    assert len(only(made, "welded outlet")) == 1


def test_class_300_on_class_150_is_refused() -> None:
    made = compiled("left 1 ft\ngate valve GV-1, flanged, steel, class 300\nleft 1 ft")
    assert "class-mismatch" in rules(made)


def test_answers_do_not_depend_on_what_was_asked_before() -> None:
    first = chain(compiled("left 1 ft\nbalancing valve FB-1, 3\nleft 1 ft"))
    compiled("up 1 ft\nbalancing valve FB-1, 3\nup 1 ft")
    assert chain(compiled("left 1 ft\nbalancing valve FB-1, 3\nleft 1 ft")) == first


def test_every_inserted_piece_says_why() -> None:
    made = compiled("left 1 ft\nbalancing valve FB-1, 3\nleft 1 ft")
    for component in made.hookups[0].components():
        if component.kind.group in ("flanges", "fittings", "pipe"):
            assert component.why and component.origin, component.id
