"""Several files as one job: units added up, each counted once; settings as one; what only shows across files."""

from __future__ import annotations

import random
import runpy
from pathlib import Path

import pytest
from coilwright import Batch, compile_file, compile_files
from coilwright.model.table import Row
from coilwright.source.parser import parse_text
from coilwright.source.reader import DictReader
from coilwright.takeoff import LISTS

SERVICE = """\
service chilled-water
    water
    design 125 psi, 40 degF to 100 degF
    spec steel-threaded

"""
TYPICAL = """\
typical {name}, drawn with airflow left to right
    coil CC-* on chilled-water
        supply low at leaving side, {size} male thread
        return high at entering side, {size} male thread
    supply to CC-*, {size}
        from main CWS
        ball valve BV-*1
        strainer ST-*1
        drain 3/4
    return from CC-*, {size}
        vent 1/2
        balancing valve FB-*1
        ball valve BV-*2
        to main CWR

"""
SHOP = SERVICE + TYPICAL.format(name="small", size="3/4") + TYPICAL.format(name="large", size="1")
DRAIN = "assembly drain, 1/2, drains\n    gate valve, normally closed\n    plug\n\n"
BALL = "kind two-piece valve, like ball valve\n    also called quarter-turn valve\n\n"
WEIGHTS = "weights of ball valve, threaded\n    3/4, 2 lb\n\n"
USE = 'use "shop.hookup"\n'
STOCK = "takeoff\n    pipe in 21 ft lengths, 5 % waste\n    on hand 2 at 7 ft\n    spare gaskets 5 %\n"


def batch(parts: list[str] | None = None, **files: str) -> Batch:
    texts = {f"{name}.hookup": text for name, text in {"shop": SHOP, **files}.items()}
    paths = [f"{name}.hookup" for name in files]
    return compile_files(paths, reader=DictReader(texts), parts=[f"{name}.hookup" for name in parts or ()])


def rules(made: Batch) -> list[str]:
    """What is found across files, and what keeps files from being compiled."""
    ours = ("settings-differ", "unit-in-two-files", "number-used-twice", "tag-shared")
    return [f"{f.span}: {f.rule}" for f in made.findings if f.rule in ours or f.severity == "error"]


def count(made: Batch, size: str) -> int:
    """How many ball valves of a size with a tag there are to buy."""
    rows = [
        row for row in made.tables(["bill"])[0].rows if row.cells["size"] == size and "BV-" in str(row.cells["tags"])
    ]
    return sum(row.cells["total"] for row in rows if isinstance(row.cells["total"], int))


def test_units_of_all_files_are_added_up() -> None:
    made = batch(
        a=USE + "unit AH-1 is small\nunit AH-2 is small, airflow right to left\n",
        b=USE + "unit AH-3 is small\nunit AH-4 is large\n",
    )
    assert (made.name, made.left_out, rules(made)) == ("all 2 files", (), [])
    assert count(made, "3/4") == 6 and count(made, "1") == 2
    assert [[unit.tag for unit in hookup.units] for hookup in made.hookups] == [["AH-1", "AH-3"], ["AH-2"], ["AH-4"]]


def test_what_files_share_is_worked_out_once_and_comes_to_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every file of a batch says what it says alone, list by list, finding by finding."""
    own = "rules\n    strainer-missing is must\n    test-port-missing is should\n"
    files = {
        "a.hookup": USE + "unit AH-1 is small\nunit AH-2 is large, airflow right to left\n",
        "b.hookup": USE + own + "unit AH-3 is small\nunit AH-4 is small\n    resize BV-*1 to 1/2\n",
        "c.hookup": USE + STOCK + "unit AH-5 is large, airflow right to left\n",
        "d.hookup": USE + "lengths of ball valve, threaded\n    3/4, 3 in\nunit AH-6 is small\n",
        "e.hookup": 'use "alike.hookup"\n' + SERVICE + "unit AH-7 is small\n",
        "f.hookup": 'use "alike.hookup"\n' + SERVICE.replace("threaded", "welded") + "unit AH-8 is small\n",
        "g.hookup": 'use "alike.hookup"\n' + SERVICE + DRAIN + "unit AH-9 is small\n",
        "h.hookup": 'use "alike.hookup"\n' + SERVICE + BALL + "unit AH-10 is small\n",
        "i.hookup": 'use "alike.hookup"\n' + SERVICE + WEIGHTS + "unit AH-11 is small\n",
        "alike.hookup": TYPICAL.format(name="small", size="3/4"),
        "shop.hookup": SHOP,
    }
    parsed = []

    def parse(text: str, file: str) -> object:
        parsed.append(file)
        return parse_text(text, file)

    monkeypatch.setattr("coilwright.source.uses.parse_text", parse)
    reader = DictReader(files)
    paths = [path for path in files if path not in ("shop.hookup", "alike.hookup")]
    made = compile_files(paths, reader=reader)
    assert not made.left_out
    assert sorted(parsed) == sorted(files)
    graphs = {unit.tag: id(h.graph) for one in made.compilations for h in one.hookups for unit in h.units}
    assert graphs["AH-1"] == graphs["AH-3"] and graphs["AH-2"] == graphs["AH-5"]
    others = ("AH-1", "AH-2", "AH-4", "AH-6", "AH-7", "AH-8", "AH-9", "AH-10", "AH-11")
    assert len({graphs[tag] for tag in others}) == len(others)
    for one in made.compilations:
        alone = compile_file(one.name, reader=reader)
        assert one.found == alone.found
        assert one.tables(list(LISTS)) == alone.tables(list(LISTS))
        assert one.sheets() == alone.sheets()


def test_a_batch_of_one_file_is_that_file() -> None:
    text = USE + STOCK + "unit AH-1 is small\nunit AH-2 is large\n"
    made = batch(a=text)
    alone = compile_file("a.hookup", reader=DictReader({"a.hookup": text, "shop.hookup": SHOP}))
    assert (made.name, made.findings) == ("a.hookup", alone.findings)
    assert made.tables(list(LISTS)) == alone.tables(list(LISTS))


def test_two_files_come_to_what_one_file_with_all_units_does() -> None:
    lines = [f"unit AH-{n} is {('small', 'large')[n % 2]}, airflow {('left to right', 'right to left')[n % 3 == 0]}\n"
             for n in range(1, 21)]  # fmt: skip
    random.Random(5).shuffle(lines)
    one = batch(a=USE + STOCK + "".join(lines))
    two = batch(a=USE + STOCK + "".join(lines[:8]), b=USE + "".join(lines[8:]))

    def said(row: Row) -> dict[str, object]:
        return {key: value for key, value in row.cells.items() if key not in ("item", "number", "units", "each")}

    for name in ("bill", "bolting", "joints", "charge-to-buy", "stock-to-buy", "weld-totals", "made-up-joints"):
        (a,), (b,) = one.tables([name]), two.tables([name])
        assert sorted(map(repr, map(said, a.rows))) == sorted(map(repr, map(said, b.rows))), name


def test_a_file_that_cannot_be_compiled_is_left_out_and_named() -> None:
    made = batch(a=USE + "unit AH-1 is small\n", bad=USE + "unit AH-2 is smal\n", c=USE + "unit AH-3 is small\n")
    assert (made.name, made.left_out, made.broken) == ("2 of 3 files", ("bad.hookup",), False)
    assert rules(made) == ["bad.hookup:2:14: unknown-typical"]
    assert count(made, "3/4") == 4
    assert all("`bad.hookup`" in table.notes[0] for table in made.tables(list(LISTS)))
    assert batch(gone=USE + "unit AH-2 is smal\n", other="unit").broken


def test_units_that_files_share_are_counted_once() -> None:
    units = USE + "unit AH-1 is small\nunit AH-2 is small\n"
    made = batch(
        units=units, a='use "units.hookup"\nunit AH-3 is small\n', b='use "units.hookup"\nunit AH-4 is small\n'
    )
    assert count(made, "3/4") == 8
    assert rules(made) == []


def test_a_typical_without_units_counts_only_where_nobody_builds_it() -> None:
    assert count(batch(shop=SHOP), "1") == 2  # alone it counts as one unit
    assert count(batch(shop=SHOP, a=USE + "unit AH-1 is large\n"), "1") == 2  # and does not add to real ones
    assert count(batch(shop=SHOP, a=USE + "unit AH-1 is large\n"), "3/4") == 2
    made = batch(["shop"], shop=SHOP, a=USE + "unit AH-1 is large\n")  # a part of the other file
    assert made.name == "a.hookup"
    assert count(made, "3/4") == 0
    assert "typical-unused" not in [f.rule for f in made.findings]


def test_one_tag_in_two_files() -> None:
    made = batch(
        a=USE + "unit AH-1 is small\n",
        b=USE + "unit AH-1 is small, number 2\n",
        c=USE + "unit AH-3 is small, number 1\n",
    )
    assert rules(made) == ["b.hookup:2:1: unit-in-two-files", "c.hookup:2:1: number-used-twice"]
    found = {f.rule: f for f in made.findings}["unit-in-two-files"]
    assert (found.severity, str(found.notes[0].span)) == ("must", "a.hookup:2:1")
    assert [[f.rule for f in one.findings].count("unit-in-two-files") for one in made.compilations] == [0, 1, 0]
    assert count(made, "3/4") == 6


def test_tags_shared_across_files_are_told_once_for_two_typicals() -> None:
    own = SERVICE + TYPICAL.format(name="own", size="3/4")
    made = batch(a=own + "unit AH-1 is own\nunit AH-2 is own\n", b=own + "unit AC-1 is own\nunit AC-2 is own\n")
    (found,) = [f for f in made.findings if f.rule == "tag-shared"]
    assert (found.span.file, found.notes[0].span and found.notes[0].span.file) == ("b.hookup", "a.hookup")
    assert found.message == "tag `BV-11` is in unit `AH-1` and in unit `AC-1`; shared in the same way: 7 more"
    fixed = SHOP.replace("BV-*1", "BV-101")
    made = batch(shop=fixed, a=USE + "unit AH-1 is small\n", b=USE + "unit AH-2 is small\n")
    (found,) = [f for f in made.findings if f.rule == "tag-shared" and "small" in f.message]
    assert found.units == ("AH-1", "AH-2")


def test_a_finding_of_a_shared_typical_is_there_once_with_all_units() -> None:
    shop = SHOP.replace("        vent 1/2\n", "")
    made = batch(shop=shop, a=USE + "unit AH-1 is small\n", b=USE + "unit AH-2 is small\n")
    (found,) = [f for f in compile_files(["a.hookup", "b.hookup"], reader=DictReader(
        {"shop.hookup": shop, "a.hookup": USE + "unit AH-1 is small\n", "b.hookup": USE + "unit AH-2 is small\n"}
    )).findings if f.rule == "vent-missing"]  # fmt: skip
    assert found.units == ("AH-1", "AH-2")
    assert sum(f.rule == "vent-missing" for f in made.findings) == 2  # the other typical counts as one unit


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("pipe in 21 ft lengths", "pipe in 20 ft lengths"),
        ("tube in 20 ft lengths", "tube in 10 ft or 20 ft lengths"),
        ("pipe in 21 ft lengths, 5 % waste", "pipe in 21 ft lengths, 6 % waste"),
        ("saw kerf 1/8 in", "saw kerf 1/16 in"),
        ("spare gaskets 5 %", "spare gaskets 10 %"),
        ("spare glycol 5 %", "spare glycol 0 %"),
        ("glycol in drums of 55 gal", "glycol in drums of 5 gal"),
        ("gaskets in boxes of 10", "gaskets in boxes of 12"),
        ("spools to 20 ft, 400 lb", "spools to 20 ft"),
        ("field fit over 3 in", "field fit over 4 in"),
        ("on hand 2 at 7 ft", "on hand 3 at 7 ft"),
    ],
)
def test_settings_that_differ(one: str, other: str) -> None:
    a, b = USE + "unit AH-1 is small\n", USE + "unit AH-2 is small\n"
    said, differs = f"takeoff\n    {one}\n", f"takeoff\n    {other}\n"
    assert rules(batch(a=said + a, b=said + b)) == []
    assert rules(batch(a=a, b=said + b)) == []
    made = batch(a=said + a, b=differs + b)
    assert rules(made) == ["b.hookup:2:5: settings-differ"]
    alone, first = batch(a=said + a).job.settings, made.job.settings
    assert first == alone
    assert batch(a=a, b=said + b).job.settings.origin.keys() == alone.origin.keys()


def test_settings_that_files_share_count_once() -> None:
    shop = SHOP + STOCK
    made = batch(shop=shop, a=USE + "unit AH-1 is small\n", b=USE + "unit AH-2 is small\n")
    assert rules(made) == []
    assert [length.count for length in made.job.settings.on_hand] == [2]
    more = "takeoff\n    on hand 4 at 9 ft\n"
    made = batch(shop=shop, a=USE + "unit AH-1 is small\n", b=USE + more + "unit AH-2 is small\n")
    assert rules(made) == ["b.hookup:3:5: settings-differ"]
    assert [length.count for length in made.job.settings.on_hand] == [2]


def test_files_named_twice_and_none(tmp_path: Path) -> None:
    for name, text in {"shop": SHOP, "a": USE + "unit AH-1 is small\n"}.items():
        (tmp_path / f"{name}.hookup").write_text(text)
    path = tmp_path / "a.hookup"
    done: list[tuple[int, int]] = []
    made = compile_files([path, str(path), tmp_path / "." / "a.hookup"], progress=lambda *at: done.append(at))
    assert (made.name, done) == (str(path), [(1, 1)])
    with pytest.raises(ValueError, match="no files"):
        compile_files([])


def test_the_measured_job_is_one_job_of_shared_hookups() -> None:
    inputs = runpy.run_path(str(Path(__file__).parents[1] / "bench" / "inputs.py"))
    files = inputs["job_of_files"](6, 4, 9)
    paths = [path for path in files if "floor" in path]
    made = compile_files(paths, reader=DictReader(files))
    assert rules(made) == [] and not made.left_out
    assert sum(len(hookup.units) for hookup in made.hookups) == 24
    assert len(made.hookups) < 24
    for name in LISTS:
        assert made.tables([name])
