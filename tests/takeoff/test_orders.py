"""What is ordered: waste by kind of pipe, spare nuts, what is left out and said so, nothing counted twice."""

import pytest
from coilwright import Compilation, compile_text
from coilwright.model.table import Row, Table

SERVICE = """service chw
    water
    design 125 psi, 42 degF to 90 degF
    spec {spec}
    insulate 1/2 in
"""
STEEL = (
    SERVICE.format(spec="steel-welded")
    + """unit AH-1, airflow left to right
    coil CC on chw
        supply low, 3 flanged
        return high, 3 flanged
    supply to CC, 3
        from main CHS
        left 12 ft
        butterfly valve BV-1
    return from CC, 3
        balancing valve FB-1
        check valve CV-1
        gate valve GV-1, class {rating}, steel, {facing}
        butterfly valve BV-2, wafer
        to main CHR
"""
)
#: 10 in from a drain's tee to the coil's male thread, with a union and a female adapter before it and a pup between.
COPPER = (
    SERVICE.format(spec="copper-soldered")
    + """unit FC-1, airflow left to right
    coil CC on chw
        supply low, 3/4 male thread
        return high, 3/4 male thread
        headers copper
    supply to CC, 3/4
        from main CHS
        left 3 ft
        tee T-1, 3/4
            plug
        left 10 in
    return from CC, 3/4
        to main CHR
"""
)


def made(text: str, *lines: str) -> Compilation:
    block = "takeoff\n" + "".join(f"    {line}\n" for line in lines) if lines else ""
    return compile_text(text + block, name="test.hookup")


def table(compilation: Compilation, name: str) -> Table:
    (found,) = compilation.tables([name])
    return found


def row(found: Table, **cells: object) -> Row:
    (only,) = [one for one in found.rows if all(one.cells.get(key) == value for key, value in cells.items())]
    return only


def steel(rating: str = "150", facing: str = "raised face") -> str:
    return STEEL.format(rating=rating, facing=facing)


# -- waste ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lines", "pipe", "tube"),
    [
        (("pipe in 21 ft lengths, 5 % waste", "tube in 20 ft lengths, 10 % waste"), 0.05, 0.10),
        (("tube in 20 ft lengths, 10 % waste", "pipe in 21 ft lengths, 5 % waste"), 0.05, 0.10),
        (("pipe in 21 ft lengths, 5 % waste",), 0.05, 0.05),
        (("pipe in 21 ft lengths, 5 % waste", "tube in 20 ft lengths, 0 % waste"), 0.05, 0.0),
        (("tube in 20 ft lengths, 10 % waste",), 0.0, 0.10),
    ],
)
def test_pipe_and_tube_have_each_their_own_waste(lines: tuple[str, ...], pipe: float, tube: float) -> None:
    for text, name, share in ((steel(), "pipe", pipe), (COPPER, "tube", tube)):
        rows = [r for r in table(made(text, *lines), "bill").rows if r.cells["unit"] == "ft"]
        assert rows and all(str(r.cells["description"]).startswith(name) for r in rows)
        for one in rows:
            total, extra = one.cells["total"], one.cells["extra"] or 0
            assert isinstance(total, int | float) and isinstance(extra, int | float)
            assert extra == pytest.approx(total * share, abs=0.006)


# -- spares --------------------------------------------------------------------------------------------------------


def test_spare_nuts_go_with_the_spare_bolts() -> None:
    # At NPS 3, class 150: the coil's two pairs of flanges (one to the lug of BV-1's neighbour) and the rest on studs.
    # Three lengths of stud: 5 % of each is less than one, so one spare of each, and two nuts on each of them.
    for name in ("bolting", "bill"):
        found = table(made(steel(), "spare bolts 5 %"), name)
        studs = [r for r in found.rows if str(r.cells["description"]).startswith("stud,")]
        nuts = [r for r in found.rows if str(r.cells["description"]).startswith("heavy hex nut,")]
        assert [r.cells["extra"] for r in studs] == [1] * len(studs) and len(studs) >= 3
        assert [r.cells["extra"] for r in nuts] == [2 * len(studs)]
        assert {r.cells["standard"] for r in studs} == {"ASME B18.31.2"}
        assert {r.cells["standard"] for r in nuts} == {"ASME B18.2.2"}


def test_a_machine_bolt_takes_one_nut_and_a_cap_screw_none() -> None:
    spec = "spec bolted, like steel-welded\n    bolts machine bolts with heavy hex nuts\n"
    text = spec + steel().replace("spec steel-welded", "spec bolted")
    rows = table(made(text, "spare bolts 30 %"), "bolting").rows
    more = {str(r.cells["description"]): r.cells["extra"] for r in rows}
    bolts = [n for name, n in more.items() if name.startswith("machine bolt,") and isinstance(n, int)]
    screws = [n for name, n in more.items() if name.startswith("cap screw,")]
    assert screws and bolts and more["heavy hex nut, 5/8-11 UNC"] == sum(bolts)


# -- what is left out ----------------------------------------------------------------------------------------------


def test_joints_that_do_not_bolt_are_named_where_they_would_be_counted() -> None:
    compilation = made(steel("300"))
    joints = table(compilation, "joints")
    lost = [r for r in joints.rows if r.cells["gasket"] == "does not bolt: not counted"]
    assert [r.cells["between"] for r in lost] == ["CV-1 - GV-1", "GV-1 - BV-2"]
    assert all(r.cells.get("bolts") is None and r.origin for r in lost)
    for name in ("bolting", "bill"):
        (note,) = [note for note in table(compilation, name).notes if "not counted: AH-1: CV-1 (3 class 125" in note]
        assert "GV-1 (3 class 300 flange raised face) to BV-2 (3 class 150 wafer)" in note
    fits = made(steel())
    assert not [r for r in table(fits, "joints").rows if r.cells["gasket"] == "does not bolt: not counted"]
    assert not [n for name in ("bolting", "bill") for n in table(fits, name).notes if "not counted: AH-1" in n]


def test_lengths_to_buy_are_at_least_so_many_where_pieces_are_left_out() -> None:
    # Two runs of tube, 3 ft and 10 in: B16.22 gives no take-outs of solder tees, so neither is cut to length. What
    # stands between the union and the adapter at the coil is 3 in; the second run has 10 - 3 = 7 in of its own.
    bought = table(made(COPPER, "tube in 20 ft lengths"), "stock-to-buy")
    cells = row(bought, size="3/4").cells
    assert cells["buy"] == ("at least 1 of 20 ft",)
    assert isinstance(cells["unknown"], int) and cells["unknown"] >= 2
    assert cells["centres"] == 36 + 7
    assert isinstance(cells["pieces"], int)
    whole = cells["unknown"] + cells["pieces"]
    assert cells["reads"] == f"the least for what is known; {cells['unknown']} of {whole} pieces are not in it"


# -- nothing twice -------------------------------------------------------------------------------------------------


def test_a_pup_in_a_straight_is_not_counted_with_its_centres_too() -> None:
    compilation = made(COPPER)
    feet = {
        str(r.cells["description"]): r.cells["total"]
        for r in table(compilation, "bill").rows
        if r.cells["unit"] == "ft"
    }
    # 3 ft + 10 in = 46 in; the pup of 3 in is cut to length, the other 43 in stand centre to centre. Another pup, in
    # the branch to the plug, stands in no length of the file.
    assert feet == {
        "tube, copper type L": 0.5,
        "tube, copper type L, centre to centre": round(43 / 12, 2),
    }
    pipe = [r for r in table(compilation, "insulation").rows if r.cells["part"] == "pipe" and r.cells["unit"] == "ft"]
    assert sorted(r.cells["total"] for r in pipe) == [0.5, round(43 / 12, 2)]
    # Jacket: pi x (7/8 + 2 x 1/2) / 12 ft x 49 / 12 ft = 2.00 sq ft, in two rows that are rounded by themselves.
    assert sum(float(str(r.cells["area"])) for r in pipe) == pytest.approx(2.00, abs=0.011)
    # Charge: all 49 in of tube, bore 0.785 in, hold 49 x 0.484 / 231 = 0.103 gal, less what stands in cups.
    (held,) = table(compilation, "charge").rows
    assert 0.05 < float(str(held.cells["pipe"])) <= 0.10


# -- how it reads --------------------------------------------------------------------------------------------------


def test_how_many_each_of_some_units_has_stands_behind_their_tags() -> None:
    copper = COPPER.replace("service chw", "service chw-copper").replace("on chw", "on chw-copper")
    assert row(table(made(COPPER), "bill"), description="tube, copper type L").cells["each"] == 0.5
    both = table(made(steel() + copper), "bill")
    assert row(both, description="tube, copper type L").cells["each"] == "FC-1: 0.5"


def test_a_wafer_joint_is_named_in_flow_order_and_two_classes_one_way() -> None:
    rows = table(made(steel()), "joints").rows
    named = [str(r.cells["between"]) for r in rows]
    assert "GV-1 - BV-2 - slip-on flange 3" in named
    mixed = [str(r.cells["flanges"]) for r in rows if " on " in str(r.cells["flanges"])]
    assert mixed and all(text.startswith("class 125 on 150, ") for text in mixed)


def test_a_setting_that_a_file_says_twice_is_found() -> None:
    for twice in (
        ("pipe in 21 ft lengths, 5 % waste", "pipe in 20 ft lengths"),
        ("spare bolts 5 %", "spare bolts 10 %"),
        ("gaskets in boxes of 10", "gaskets in boxes of 20"),
        ("saw kerf 1/8 in", "saw kerf 0 in"),
    ):
        found = [f for f in made(steel(), *twice).findings if f.severity == "error"]
        assert [f.rule for f in found] == ["said-twice"] and found[0].notes
    assert not [f for f in made(steel(), "spare bolts 5 %", "spare gaskets 5 %").findings if f.severity == "error"]
