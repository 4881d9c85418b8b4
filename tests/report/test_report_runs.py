"""Tags in runs: few words on paper, every tag where a program reads it."""

import csv
import io
import json

from coilwright import compile_text
from coilwright.model.table import Column, Row, Table
from coilwright.report import tables_csv, tables_json, tables_text
from coilwright.report.runs import in_runs

TEXT = """typical box, drawn with airflow left to right
    coil RH-* on hw
        supply low, 3/4 male thread
        return high, 3/4 male thread
    supply to RH-*, 3/4
        from main HWS
        ball valve BV-*-1
    return from RH-*, 3/4
        ball valve BV-*-2
        to main HWR
service hw
    water
    design 100 psi, 60 degF to 180 degF
    spec steel-threaded
""" + "".join(f"unit VB-{n} is box, airflow left to right\n" for n in range(301, 325))


def test_runs_are_told_by_first_and_last() -> None:
    assert in_runs([f"BV-{n}" for n in range(1, 25)]) == ("BV-1 … BV-24",)
    assert in_runs(["P-1", "P-2"]) == ("P-1", "P-2")
    assert in_runs(["V-08", "V-09", "V-10", "V-11"]) == ("V-08 … V-11",)
    assert in_runs(["V-8", "V-9", "V-10", "X"]) == ("V-8 … V-10", "X")
    assert in_runs(["A-1", "A-1", "A-2", "A-3"]) == ("A-1", "A-1", "A-2", "A-3")


def test_every_tag_is_in_just_one_run() -> None:
    tags = [f"BV-{a}-{b}" for a in range(9, 14) for b in (1, 2)] + ["BV-20-1", "BV-21-1"]
    found = [part.split(" … ") for part in in_runs(tags)]
    inside: list[str] = []
    for ends in found:
        first, last = ends[0].split("-"), ends[-1].split("-")
        assert first[2] == last[2]
        inside += [f"BV-{n}-{first[2]}" for n in range(int(first[1]), int(last[1]) + 1)]
    assert sorted(inside) == sorted(tags)


def test_text_tells_runs_and_data_every_tag() -> None:
    (bill,) = compile_text(TEXT, name="test.hookup").tables(["bill"])
    text = " ".join(tables_text.render([bill], 300).split())
    assert "BV-301-1 … BV-324-1, BV-301-2 … BV-324-2" in text
    both = {f"BV-{n}-{m}" for n in range(301, 325) for m in (1, 2)}
    rows = list(csv.DictReader(io.StringIO(tables_csv.render([bill]))))
    (tags,) = [row["tags"] for row in rows if "ball valve" in row["description"]]
    assert len(both & set(tags.replace(",", " ").replace(";", " ").split())) == 48
    data = json.dumps(tables_json.as_data(bill))
    assert all(tag in data for tag in both)


def test_three_sizes_may_break_before_the_last_and_two_never() -> None:
    table = Table(
        "t", "T", (Column("size", "Size"),), tuple(Row({"size": s}, ()) for s in ("1-1/4 x 1-1/4 x 3/4", "4 x 3/4"))
    )
    lines = tables_text.render([table], 13).splitlines()
    assert "1-1/4 x 1-1/4" in lines and "x 3/4" in lines and "4 x 3/4" in lines
