"""What the bill prints of standards, schedules and grades."""

import pytest
from coilwright import compile_text
from coilwright.catalogue.standards import bought_to
from coilwright.model.ends import End
from coilwright.model.size import size

TEXT = """service chw
    water
    design 125 psi, 42 degF to 90 degF
    spec {spec}
{more}unit AH-1, airflow left to right
    coil CC on chw
        supply low, 4 flanged
        return high, 4 flanged
    supply to CC, 4
        from main CHS
        up
        left
        {item}
        tee T-1, 3
            plug
        reducer 3
        reducer 4
    return from CC, 4
        to main CHR
"""


def bill(item: str = "butterfly valve BV-1", spec: str = "steel-welded", more: str = "") -> dict[str, object]:
    (found,) = compile_text(TEXT.format(item=item, spec=spec, more=more), name="test.hookup").tables(["bill"])
    return {str(row.cells["description"]): row.cells["standard"] for row in found.rows}


def standard(start: str, rows: dict[str, object]) -> object:
    (found,) = {value for name, value in rows.items() if name.startswith(start)}
    return found


@pytest.mark.parametrize(
    ("item", "printed"),
    [
        ("gate valve X-1", "MSS SP-70"),
        ("gate valve X-1, steel", "API 600 / ASME B16.34"),
        ("gate valve X-1, class 300, steel, raised face", "API 600 / ASME B16.34"),
        ("globe valve X-1, steel", "ASME B16.34"),
        ("globe valve X-1", "MSS SP-85"),
        ("check valve X-1", "MSS SP-71"),
        ("check valve X-1, steel", "API 594 / ASME B16.34"),
        ("ball valve X-1, flanged", "MSS SP-72"),
        ("butterfly valve X-1", "API 609 / MSS SP-67"),
    ],
)
def test_the_standard_of_a_valve_follows_its_metal_and_ends(item: str, printed: str) -> None:
    assert standard(item.split(" X-1")[0], bill(item)) == printed


def test_small_bronze_valves_and_plugs() -> None:
    for listed, printed in (
        ("MSS SP-70 / MSS SP-80", "MSS SP-80"),
        ("MSS SP-85 / MSS SP-80", "MSS SP-80"),
        ("MSS SP-71 / MSS SP-80", "MSS SP-80"),
        ("ASME B16.14", "ASME B16.15"),
        ("maker's sheet", "maker's sheet"),
    ):
        assert bought_to(listed, End("female thread", size("1"), "bronze")) == printed
    assert bought_to("MSS SP-70 / MSS SP-80", End("female thread", size("1"), "stainless steel")) == ""
    assert bought_to("ASME B16.5", End("flange", size("4"), "iron", "125", "FF")) == "ASME B16.1"


def test_butt_weld_fittings_are_of_the_schedule_of_their_pipe() -> None:
    rows = bill()
    assert rows["90 elbow, long radius, carbon steel schedule 40"] == "ASME B16.9"
    assert rows["reducing tee, carbon steel schedule 40"] == "ASME B16.9"
    assert rows["eccentric reducer, carbon steel schedule 40, flat on top"] == "ASME B16.9"
    own = (
        "spec shop, like steel-welded\n"
        "    2-1/2 to 12 welded, carbon steel schedule 80, carbon steel A234 WPB, "
        "flanges class 150 raised face weld neck\n"
        "    bolts       studs with two heavy hex nuts, A193 B7, A194 2H\n"
    )
    rows = bill(spec="shop", more=own)
    assert "90 elbow, long radius, carbon steel A234 WPB schedule 80" in rows
    assert "weld neck flange, class 150 raised face, carbon steel, bored for schedule 80" in rows
    assert rows["stud, 5/8-11 UNC x 3-1/2 in, A193 B7"] == "ASME B18.31.2"
    assert rows["heavy hex nut, 5/8-11 UNC, A194 2H"] == "ASME B18.2.2"
    said = own.replace("A234 WPB", "standard weight")
    assert "90 elbow, long radius, carbon steel standard weight" in bill(spec="shop", more=said)


def test_nothing_is_said_of_a_grade_that_the_spec_does_not_name() -> None:
    assert not [name for name in bill() if any(word in name for word in ("A193", "A194", "A234", "A105"))]


def test_spare_nuts_of_a_grade_go_with_the_spare_bolts() -> None:
    own = "spec shop, like steel-welded\n    bolts studs with two heavy hex nuts, A193 B7, A194 2H\n"
    text = TEXT.format(item="gate valve X-1", spec="shop", more=own) + "takeoff\n    spare bolts 5 %\n"
    (found,) = compile_text(text, name="test.hookup").tables(["bolting"])
    extra = {str(row.cells["description"]): row.cells["extra"] for row in found.rows}
    studs = [n for name, n in extra.items() if name.startswith("stud")]
    assert studs and extra["heavy hex nut, 5/8-11 UNC, A194 2H"] == 2 * sum(int(str(n)) for n in studs)


@pytest.mark.parametrize("spec", ["steel-welded", "copper-soldered"])
def test_a_reducing_tee_has_three_sizes_and_an_outlet_two(spec: str) -> None:
    text = TEXT.format(item="drain 3/4", spec=spec, more="")
    (found,) = compile_text(text, name="test.hookup").tables(["bill"])
    sizes = {(str(r.cells["description"]).split(",")[0], r.cells["size"]) for r in found.rows}
    assert ("reducing tee", "4 x 4 x 3") in sizes
    assert (("threaded outlet", "4 x 3/4") if spec == "steel-welded" else ("reducing tee", "4 x 4 x 3/4")) in sizes


def test_pipe_and_flanges_take_a_grade_where_the_spec_names_one() -> None:
    own = (
        "spec shop, like steel-welded\n"
        "    2-1/2 to 12 welded, carbon steel A53 B schedule 40, carbon steel A234 WPB, "
        "flanges class 150 raised face slip-on ASTM A105\n"
    )
    rows = bill(spec="shop", more=own)
    assert standard("pipe, carbon steel A53 B schedule 40", rows) == "ASTM A53, ASME B36.10M"
    assert standard("slip-on flange, class 150 raised face, carbon steel ASTM A105", rows) == "ASME B16.5"
    assert standard("90 elbow, long radius, carbon steel A234 WPB schedule 40", rows) == "ASME B16.9"
    wrong = own.replace("A53 B schedule", "seamless schedule").replace("slip-on ASTM A105", "slip-on forged")
    found = compile_text(TEXT.format(item="butterfly valve BV-1", spec="shop", more=wrong), name="test.hookup").findings
    assert {f.rule for f in found if f.severity == "error"} >= {"unknown-metal"}
