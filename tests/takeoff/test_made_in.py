"""Where pipe is made up: in the shop as spools, or in the field."""

import pytest
from coilwright import Compilation, compile_text

TEXT = """spec own, like {like}
    weld gap 1/8 in
{said}service chw
    water
    design 125 psi, 42 degF to 90 degF
    spec own
unit AH-1, airflow left to right
    coil CC on chw
        supply low, 3 {end}
        return high, 3 {end}
    supply to CC, 3
        from main CHS
        up 3 ft
        left 2 ft
        drain
        left 3 ft
    return from CC, 3
        to main CHR
"""


def made(like: str, said: str = "", block: str = "") -> Compilation:
    end = "solder" if like.startswith("copper") else "flanged"
    said = f"    {said}\n" if said else ""
    return compile_text(TEXT.format(like=like, said=said, end=end) + block, name="test.hookup")


def spools(compilation: Compilation) -> int:
    (found,) = compilation.tables(["spools"])
    assert not [finding for finding in compilation.findings if finding.severity == "error"]
    return len(found.rows)


@pytest.mark.parametrize(
    ("like", "said", "block", "any_spool"),
    [
        ("copper-soldered", "", "", False),
        ("copper-soldered", "made in the shop", "", True),
        ("copper-soldered", "", "takeoff\n    spools to 20 ft\n", True),
        ("copper-soldered", "made in the field", "takeoff\n    spools to 20 ft\n", False),
        ("steel-welded", "", "", True),
        ("steel-welded", "made in the field", "", False),
        ("steel-welded", "made in field", "", False),
    ],
)
def test_what_is_made_in_the_field_is_in_no_spool(like: str, said: str, block: str, any_spool: bool) -> None:
    assert (spools(made(like, said, block)) > 0) == any_spool


def test_cut_pieces_made_in_the_field_are_marked_by_their_line() -> None:
    (cuts,) = made("copper-soldered").tables(["cuts"])
    assert cuts.rows and {row.cells["spool"] for row in cuts.rows} == {"supply to CC", "return from CC"}


def test_welds_of_a_spec_made_in_the_field_are_field_welds() -> None:
    (shop,) = made("steel-welded").tables(["welds"])
    (field,) = made("steel-welded", "made in the field").tables(["welds"])
    assert len(shop.rows) == len(field.rows) > 4
    assert {"shop", "field"} == {row.cells["made"] for row in shop.rows}
    assert {"field"} == {row.cells["made"] for row in field.rows}


def test_another_place_is_found() -> None:
    found = [
        finding.rule for finding in made("steel-welded", "made in the yard").findings if finding.severity == "error"
    ]
    assert found == ["unknown-fact"]
