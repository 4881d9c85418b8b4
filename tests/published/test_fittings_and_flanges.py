"""Threads, weld fittings and flanges against formulas of the standards and pages outside the project."""

import csv
from fractions import Fraction
from pathlib import Path

import pytest
from coilwright.catalogue.dimensions import (
    thread_engagement,
    threaded_fitting,
    weld_cap,
    weld_elbow,
    weld_reducer,
    weld_tee,
)
from coilwright.catalogue.flanges import bolt, flange
from coilwright.catalogue.tables import decimal, table
from coilwright.model.size import SIZES, Size, size

FLANGED = ("1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "4", "5", "6", "8", "10", "12")


@pytest.mark.parametrize("row", table("npt_engagement"), ids=lambda r: r["nps"])
def test_effective_thread_by_its_formula(row: dict[str, str]) -> None:
    """ASME B1.20.1: L2 = (0.8 OD + 6.8) p."""
    thread = thread_engagement(size(row["nps"]))
    outside = next(decimal(r["od_in"]) for r in table("pipe_steel") if r["nps"] == row["nps"])
    assert thread is not None
    formula = (Fraction("0.8") * outside + Fraction("6.8")) / thread.threads_per_inch
    assert float(thread.effective) == pytest.approx(float(formula), abs=0.0006)


@pytest.mark.parametrize("nps", FLANGED)
def test_long_radius_is_one_and_a_half_sizes(nps: str) -> None:
    """ASME B16.9: A = 1.5 NPS from NPS 1 up; the two smaller sizes have the elbow of NPS 1 in the newer editions."""
    exceptions = {"1/2": Fraction(3, 2), "3/4": Fraction(3, 2)}
    assert weld_elbow(size(nps), 90) == exceptions.get(nps, Fraction(3, 2) * size(nps).inches)
    short = weld_elbow(size(nps), 90, "short")
    assert short == (None if nps in exceptions else size(nps).inches)


def test_45_elbows_from_4_in_up_are_the_arc_to_the_sixteenth() -> None:
    """R tan 22.5 with R = 1.5 NPS; below NPS 4 the standard makes them longer (docs/sources.md)."""
    for nps in ("4", "5", "6", "8", "10", "12"):
        found = weld_elbow(size(nps), 45)
        assert found is not None
        assert float(found) == pytest.approx(1.5 * float(size(nps).inches) * 0.41421, abs=1 / 16)
    two = weld_elbow(size("2"), 45)
    assert two is not None
    assert float(two) > 1.5 * 2 * 0.41421 + 1 / 16


def test_fittings_against_millimetres() -> None:
    """B16.9 and B16.11 dimensions as metric pages print them (data/fittings_mm.csv names the pages)."""
    lines = (Path(__file__).parent / "data/fittings_mm.csv").read_text(encoding="utf-8").splitlines()
    compared = 0
    for row in csv.DictReader(line for line in lines if not line.startswith("#")):
        nps, dim, shape = size(row["nps"]), row["dim"], row["fitting"].removeprefix("threaded_")
        ours: Fraction | None
        if row["fitting"].startswith("threaded_"):
            ours = threaded_fitting("ASME B16.11", shape, nps)
        elif shape.startswith("elbow"):
            _, angle, radius = shape.split("_")
            ours = weld_elbow(nps, int(angle), {"lr": "long", "sr": "short"}[radius])
        elif shape.startswith("tee"):
            tee = weld_tee(nps, size(row["small"]) if row["small"] else nps)
            ours = tee and (tee.run if dim == "C" else tee.outlet)
        elif shape == "cap":
            ours = weld_cap(nps)
        else:
            ours = weld_reducer(nps, max(small for small in SIZES if weld_reducer(nps, small)))
        assert ours is not None, row
        # whole millimetres; the B16.11 page rounds 28.6 down to 28
        assert float(ours) * 25.4 == pytest.approx(float(row["mm"]), abs=0.8), row
        compared += 1
    assert compared == 224


def test_reducers_against_millimetres() -> None:
    """emirerristeel.com/ansi-b16-9-reducers, lengths and pairs to NPS 3. It rounds 89 mm to 90 and 51 to 50."""
    page = {
        ("3/4", "1/2"): 38, ("1", "1/2"): 50, ("1", "3/4"): 50, ("1-1/4", "1/2"): 50, ("1-1/4", "3/4"): 50,
        ("1-1/4", "1"): 50, ("1-1/2", "1/2"): 64, ("1-1/2", "3/4"): 64, ("1-1/2", "1"): 64, ("1-1/2", "1-1/4"): 64,
        ("2", "3/4"): 76, ("2", "1"): 76, ("2", "1-1/4"): 76, ("2", "1-1/2"): 76, ("2-1/2", "1"): 90,
        ("2-1/2", "1-1/4"): 90, ("2-1/2", "1-1/2"): 90, ("2-1/2", "2"): 90, ("3", "1-1/4"): 90, ("3", "1-1/2"): 90,
        ("3", "2"): 90, ("3", "2-1/2"): 90,
    }  # fmt: skip
    for (large, small), printed in page.items():
        length = weld_reducer(size(large), size(small))
        assert length is not None, (large, small)
        assert float(length) * 25.4 == pytest.approx(printed, abs=1.2)
    sizes = [size(text) for text in ("1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3")]
    ours = {(a.label, b.label) for a in sizes for b in sizes if weld_reducer(a, b) is not None}
    assert ours == set(page)


#: studylib.net document 26303121, class 150, an older table in inches with the 1/16 face counted in:
#: outside diameter, thickness, face diameter, weld-neck length, slip-on length.
OLDER_150 = {
    "1/2": "3.50 0.44 1.38 1.88 0.62", "3/4": "3.88 0.50 1.69 2.06 0.62", "1": "4.25 0.56 2.00 2.19 0.69",
    "1-1/4": "4.62 0.62 2.50 2.25 0.81", "1-1/2": "5.00 0.69 2.88 2.44 0.88", "2": "6.00 0.75 3.62 2.50 1.00",
    "2-1/2": "7.00 0.88 4.12 2.75 1.12", "3": "7.50 0.94 5.00 2.75 1.19", "4": "9.00 0.94 6.19 3.00 1.31",
    "5": "10.00 0.94 7.31 3.50 1.44", "6": "11.00 1.00 8.50 3.50 1.56", "8": "13.50 1.12 10.62 4.00 1.75",
    "10": "16.00 1.19 12.75 4.00 1.94", "12": "19.00 1.25 15.00 4.50 2.19",
}  # fmt: skip


@pytest.mark.parametrize("nps", FLANGED)
def test_class_150_against_an_older_table(nps: str) -> None:
    one = flange(size(nps), "150")
    assert one is not None
    ours = (one.od, one.thickness + one.face, one.face_dia, one.takeout("weld neck"), one.takeout("slip-on"))
    for mine, printed in zip(ours, OLDER_150[nps].split(), strict=True):
        assert mine is not None
        assert float(mine) == pytest.approx(float(printed), abs=0.0051)


#: pdfcoffee.com/flange-4-pdf-free.html, class 150 in millimetres, face counted in: outside diameter, face diameter,
#: thickness, weld-neck length, slip-on length.
OLDER_150_MM = {
    "1/2": (89, 35.1, 11.2, 47.8, 15.7), "3/4": (99, 42.9, 12.7, 52.3, 15.7), "1": (108, 50.8, 14.2, 55.6, 17.5),
    "1-1/4": (117, 63.5, 15.7, 57.2, 20.6), "1-1/2": (127, 73.2, 17.5, 62.0, 22.4), "2": (152, 91.9, 19.1, 63.5, 25.4),
    "2-1/2": (178, 104.6, 22.4, 69.9, 28.4), "3": (191, 127.0, 23.9, 69.9, 30.2), "4": (229, 157.2, 23.9, 76.2, 33.3),
    "5": (254, 185.7, 23.9, 88.9, 36.6), "6": (279, 215.9, 25.4, 88.9, 39.6), "8": (343, 269.7, 28.4, 101.6, 44.5),
    "10": (406, 323.9, 30.2, 101.6, 49.3), "12": (483, 381.0, 31.8, 114.3, 55.6),
}  # fmt: skip


@pytest.mark.parametrize("nps", FLANGED)
def test_class_150_against_millimetres(nps: str) -> None:
    one = flange(size(nps), "150")
    assert one is not None
    ours = (one.od, one.face_dia, one.thickness + one.face, one.takeout("weld neck"), one.takeout("slip-on"))
    for mine, printed in zip(ours, OLDER_150_MM[nps], strict=True):
        assert mine is not None
        assert float(mine) * 25.4 == pytest.approx(printed, abs=0.6)


@pytest.mark.parametrize(
    ("diameter", "flats", "height"),
    [("1/2", "0.875", "0.484"), ("3/4", "1.25", "0.734"), ("1", "1.625", "0.984"), ("1-1/4", "2", "1.219")],
)
def test_heavy_nuts(diameter: str, flats: str, height: str) -> None:
    """engineersedge.com/heavy_nut.htm after ASME B18.2.2."""
    found = bolt(decimal(diameter))
    assert found is not None
    assert (found.nut_flats, found.nut_height) == (Fraction(flats), Fraction(height))


def test_nothing_is_made_up_beyond_the_tables() -> None:
    none: Size = size("1/8")
    assert thread_engagement(none) is None
    assert weld_elbow(none, 90) is None
    assert flange(none, "150") is None
    assert weld_tee(size("8"), size("1")) is None
