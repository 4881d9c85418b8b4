"""The command as a user runs it, with the real compiler."""

import json
import os
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

HOOKUP = """\
project "Saltmarsh Aquarium: pump room"

service chilled-water
    water
    design 125 psi, 42 degF to 100 degF
    spec steel-welded

typical fan-coil, drawn with airflow left to right
    coil CC-* on chilled-water
        supply low at leaving side, 2-1/2 flanged
        return high at entering side, 2-1/2 flanged
        headers copper
    supply to CC-*, 4
        from main CWS
        up 2 ft
        butterfly valve BV-*01, lug
{drain}        left 2 ft
    return from CC-*, 4
        vent 1/2
        right 10 in
        butterfly valve BV-*02, lug
        down 6 ft
        to main CWR

unit AH-1 is fan-coil, number 1, airflow left to right
unit AH-2 is fan-coil, number 2, airflow right to left
"""
CLEAN = HOOKUP.format(drain="        drain 3/4\n")
NO_DRAIN = HOOKUP.format(drain="")


def run(folder: Path, *words: str, stdin: bytes = b"", seed: str = "0") -> subprocess.CompletedProcess[bytes]:
    environ = {**os.environ, "PYTHONHASHSEED": seed}
    environ.pop("FORCE_COLOR", None)
    ran = subprocess.run(
        [sys.executable, "-m", "coilwright", *words],
        cwd=folder,
        input=stdin,
        env=environ,
        capture_output=True,
        timeout=120,
        check=False,
    )
    assert b"Traceback" not in ran.stderr
    assert b"our bug" not in ran.stderr, ran.stderr.decode()
    return ran


def test_a_clean_file_and_one_without_a_drain(tmp_path: Path) -> None:
    (tmp_path / "clean.hookup").write_text(CLEAN)
    (tmp_path / "wet.hookup").write_text(NO_DRAIN)
    clean, wet = run(tmp_path, "check", "clean.hookup"), run(tmp_path, "check", "wet.hookup")
    assert clean.returncode == 0, clean.stdout.decode()
    assert wet.returncode == 1
    assert b"[drain-missing]" in wet.stdout and b"[drain-missing]" not in clean.stdout
    assert b"AH-2" in wet.stdout


def test_standard_input_reads_as_the_file_does(tmp_path: Path) -> None:
    (tmp_path / "wet.hookup").write_text(NO_DRAIN)
    piped = run(tmp_path, "check", "-", "--stdin-filename", "wet.hookup", stdin=NO_DRAIN.encode())
    assert piped.stdout == run(tmp_path, "check", "wet.hookup").stdout


@pytest.mark.parametrize("form", ["text", "csv", "json", "md", "xlsx"])
def test_the_same_bytes_every_time(tmp_path: Path, form: str) -> None:
    (tmp_path / "wet.hookup").write_text(NO_DRAIN)
    for command in ("check", "takeoff"):
        one, two = (run(tmp_path, command, "wet.hookup", "--format", form, seed=seed).stdout for seed in ("1", "2"))
        assert one and one == two


def test_why_explains_rows_tags_lines_and_rules(tmp_path: Path) -> None:
    (tmp_path / "clean.hookup").write_text(CLEAN)
    bill = json.loads(run(tmp_path, "takeoff", "clean.hookup", "--list", "bill", "--format", "json").stdout)
    (table,) = bill["files"][0]["tables"]
    assert len(table["rows"]) > 5
    assert all(row["origin"] for row in table["rows"])
    rows = [table["rows"][number]["row"] for number in (0, len(table["rows"]) // 2, -1)]
    for subject in (*rows, "BV-101", "16", "clean.hookup:16", "drain-missing"):
        ran = run(tmp_path, "why", "clean.hookup", subject)
        assert ran.returncode == 0
        assert len(ran.stdout.splitlines()) > 1
    assert run(tmp_path, "why", "clean.hookup", f"bill:{len(table['rows']) + 1}").returncode == 2


def test_a_workbook_and_metric_units(tmp_path: Path) -> None:
    (tmp_path / "clean.hookup").write_text(CLEAN)
    words = ("takeoff", "clean.hookup", "--list", "bill", "--list", "closing", "--quiet")
    run(tmp_path, *words, "--out", "job.xlsx")
    metric = json.loads(run(tmp_path, *words, "--units", "metric", "--format", "json").stdout)
    book = openpyxl.load_workbook(tmp_path / "job.xlsx")
    assert book.sheetnames == ["bill", "closing"]
    heads = [cell.value for cell in book["closing"][3]]
    inches = [cells[heads.index("Centre to centre, in")].value for cells in book["closing"].iter_rows(min_row=4)]
    mm = [row["cells"]["centres"] for row in metric["files"][0]["tables"][1]["rows"]]
    numbers = [(a, b) for a, b in zip(inches, mm, strict=False) if isinstance(a, int | float)]
    assert len(numbers) > 3 and all(b == pytest.approx(25.4 * a) for a, b in numbers)
    assert run(tmp_path, *words, "--out", "no/job.xlsx").returncode == 2
    run(tmp_path, *words, "--format", "xlsx", "--out", "lists/")
    assert sorted(path.name for path in (tmp_path / "lists").iterdir()) == ["bill.xlsx", "closing.xlsx"]
    run(tmp_path, "why", "clean.hookup", "bill:1", "--out", "why.xlsx")
    assert openpyxl.load_workbook(tmp_path / "why.xlsx").sheetnames == ["why"]


@pytest.mark.parametrize(
    "data",
    [b"", b"\n\n", b"\x00\x01\x02\xff", b"\xff\xfe", b"x" * 1_000_000, b"unit", b" " * 5_000_000],
    ids=["empty", "blank", "binary", "not UTF-8", "one long line", "one word", "too large"],
)
def test_a_file_that_is_no_hookup(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "odd.hookup").write_bytes(data)
    out = tmp_path / "bill.csv"
    out.write_text("old")
    assert run(tmp_path, "check", "odd.hookup").returncode == 2
    ran = run(tmp_path, "takeoff", "odd.hookup", "--out", "bill.csv")
    assert ran.returncode == 2
    assert len(ran.stderr) < 5_000
    assert out.read_text() == "old"
    assert run(tmp_path, "check", "-", stdin=data).returncode == 2


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="everything is readable to this user")
def test_a_file_that_may_not_be_read(tmp_path: Path) -> None:
    (tmp_path / "locked.hookup").write_text(CLEAN)
    (tmp_path / "locked.hookup").chmod(0)
    ran = run(tmp_path, "check", "locked.hookup")
    assert ran.returncode == 2
    assert b"permission denied" in ran.stdout


def test_an_acceptance_runs_out_only_on_a_date_that_is_asked_for(tmp_path: Path) -> None:
    accept = 'rules\n    accept drain-missing at CC-*, because "blown out by hand", by "J. Marsh", until "2027-06-30"\n'
    (tmp_path / "wet.hookup").write_text(NO_DRAIN + accept)
    assert run(tmp_path, "check", "wet.hookup").returncode == 0
    assert b"J. Marsh" in run(tmp_path, "check", "wet.hookup").stdout
    assert run(tmp_path, "check", "wet.hookup", "--on", "2027-06-30").returncode == 0
    late = run(tmp_path, "check", "wet.hookup", "--on", "2027-07-01")
    assert late.returncode == 1 and b"[acceptance-expired]" in late.stdout
    assert run(tmp_path, "check", "wet.hookup", "--on", "yesterday").returncode == 2
