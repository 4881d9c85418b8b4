"""Grooved flange adapters: they clamp into the groove, and bring their own seal."""

from coilwright import compile_text
from coilwright.model.table import NOT_IN_TABLES, Row

TEXT = """service chw
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-grooved
unit AH-1, airflow left to right
    coil CC on chw
        supply low, 4 flanged
        return high, 4 flanged
    supply to CC, 4
        from main CHS
        left 3 ft
        gate valve GV-1
        left 3 ft
    return from CC, 4
        right 3 ft
        butterfly valve BV-1, {body}
        right 3 ft
        up 2 ft
        to main CHR
"""


def rows(name: str, body: str = "lug") -> list[Row]:
    (found,) = compile_text(TEXT.format(body=body), name="test.hookup").tables([name])
    return list(found.rows)


def counted(start: str, body: str = "lug") -> object:
    return sum(
        float(str(r.cells["total"])) for r in rows("bill", body) if str(r.cells["description"]).startswith(start)
    )


def test_an_adapter_needs_no_coupling() -> None:
    # Six grooved ends meet something flanged or lugged: none of GV-1 (sold grooved), two of the coil, two of BV-1.
    # Couplings: main, two at GV-1, two at the elbow, main.
    assert counted("grooved flange adapter") == 4
    assert counted("grooved coupling") == 6
    made = {r.cells["kind"]: r.cells["total"] for r in rows("made-up-joints")}
    assert made == {"grooved": 6}


def test_an_adapter_needs_no_gasket_but_a_washer_against_a_rubber_seat() -> None:
    assert counted("gasket class") == 0
    assert counted("flange washer") == 2  # both sides of BV-1
    assert counted("flange washer", "lug, metal seated") == 0
    assert counted("gasket class", "lug, metal seated") == 0  # the adapters seal on it
    assert counted("flange washer", "wafer") == 2
    sealed = {str(r.cells["between"]): r.cells["gasket"] for r in rows("joints")}
    assert sealed["grooved flange adapter 4 - CC"] == "none: the adapter seals"
    assert sealed["BV-1 - grooved flange adapter 4"] == "none: the seat seals"


def test_its_bolts_follow_the_drilling_but_how_long_they_are_only_its_maker_says() -> None:
    # Class 150, NPS 4: eight of 5/8.
    (row,) = [r for r in rows("joints") if r.cells["between"] == "grooved flange adapter 4 - CC"]
    assert row.cells["bolts"] == 8 and str(row.cells["bolt"]).endswith("5/8-11 UNC")
    assert row.cells["length"] == NOT_IN_TABLES and "only its maker says" in row.why


def test_its_face_meets_raised_and_flat_ones() -> None:
    flat = TEXT.format(body="grooved").replace("4 flanged", "4 flanged, flat face")
    found = compile_text(flat, name="test.hookup")
    assert "faces-differ" not in {finding.rule for finding in found.findings}
    (joints,) = found.tables(["joints"])
    assert len(joints.rows) == 2
