"""The pack as files: the same bytes each time, whole or not at all, nothing of others touched."""

import csv
import hashlib
import io
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from coilwright.batch import compile_files
from coilwright.cli import main
from coilwright.pack import Options, pack
from coilwright.report import tables_csv, write
from coilwright.takeoff import LISTS
from openpyxl import load_workbook
from pack_jobs import AQUARIUM, EXAMPLES, TEXT, WICKED, wicked_job

SMALL = EXAMPLES / "one-coil.hookup"


def read(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def run(*words: str | Path) -> int:
    return main(["pack", *map(str, words)])


def test_what_is_in_it(tmp_path):
    assert run(AQUARIUM, "--out", tmp_path / "out", "--revision", "B", "--date", "2026-11-25") in (0, 1)
    files = read(tmp_path / "out")
    batch = compile_files([AQUARIUM])
    with_rows = [table for table in batch.tables(list(LISTS)) if table.rows]
    lists = {name for name in files if name.startswith("lists/") and not name.endswith("-by-unit.csv")}
    assert {f"lists/{table.name}.csv" for table in with_rows} == lists
    lockout = list(csv.DictReader(io.StringIO(files["lists/lockout-by-unit.csv"].decode(), newline="")))
    assert {row["units"] for row in lockout} == {f"GA-{n}" for n in range(1, 6)}
    assert not any("*" in row["what"] for row in lockout) and len(files["lists/weld-log-by-unit.csv"]) > 1000
    for table in with_rows:
        assert files[f"lists/{table.name}.csv"].decode() == tables_csv.render([table])
        assert len(list(csv.reader(io.StringIO(files[f"lists/{table.name}.csv"].decode(), newline="")))) > 1
    book = load_workbook(io.BytesIO(files["lists.xlsx"]))
    assert book.sheetnames == ["findings", *(table.name for table in with_rows)]
    job = json.loads(files["job.json"])
    assert [table["name"] for table in job["files"][0]["tables"]] == [table.name for table in with_rows]
    drawings = [name for name in files if name.startswith("drawings/")]
    assert len(drawings) == files["index.html"].count(b"<svg") > 30
    assert all(files[name].startswith(b"<svg") for name in drawings)
    record = json.loads(files["pack.json"])
    assert record["compiled"] == {AQUARIUM.name: hashlib.sha256(AQUARIUM.read_bytes()).hexdigest()}
    assert record["revision"] == "B" and record["date"] == "2026-11-25"
    assert record["files"] == {
        name: hashlib.sha256(data).hexdigest() for name, data in files.items() if name != "pack.json"
    }


def test_same_bytes_in_two_folders_and_two_processes(tmp_path):
    made = []
    for number, seed in enumerate(("1", "2")):
        there = tmp_path / f"there-{number}" / ("x" * (number + 1))
        there.mkdir(parents=True)
        shutil.copy(AQUARIUM, there)
        command = [sys.executable, "-m", "coilwright", "pack", str(there), "--out", str(there / "out"), "--quiet"]
        done = subprocess.run(command, env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, text=True)
        assert done.returncode in (0, 1), done.stderr
        made.append(read(there / "out"))
    assert made[0] == made[1] and len(made[0]) > 60
    assert not any(str(tmp_path).encode() in data for data in made[0].values())


def test_an_interrupted_run_leaves_the_old_pack(tmp_path, monkeypatch):
    out = tmp_path / "out"
    run(SMALL, "--out", out, "--quiet")
    before = read(out)
    stage, staged = write._stage, []

    def interrupted(target, text):
        if len(staged) == 7:
            raise KeyboardInterrupt
        staged.append(target)
        return stage(target, text)

    monkeypatch.setattr(write, "_stage", interrupted)
    assert run(SMALL, "--out", out, "--revision", "C") == 130
    assert len(staged) == 7 and read(out) == before
    assert run(SMALL, "--out", tmp_path / "new") == 130
    assert not (tmp_path / "new").exists()


def test_a_new_pack_takes_away_what_the_old_one_left_and_nothing_else(tmp_path):
    out = tmp_path / "out"
    run(AQUARIUM, "--out", out, "--quiet")
    (out / "drawings" / "mine.svg").write_text("mine", encoding="utf-8")
    (out / "notes.txt").write_text("mine", encoding="utf-8")
    run(SMALL, "--out", out, "--quiet")
    run(SMALL, "--out", tmp_path / "fresh", "--quiet")
    files = read(out)
    assert files.pop("drawings/mine.svg") == files.pop("notes.txt") == b"mine"
    assert files == read(tmp_path / "fresh")


def test_a_record_that_names_other_files_takes_none_away(tmp_path):
    out = tmp_path / "out"
    run(SMALL, "--out", out, "--quiet")
    (tmp_path / "precious.svg").write_text("mine", encoding="utf-8")
    record = json.loads((out / "pack.json").read_text(encoding="utf-8"))
    record["files"] |= {"../precious.svg": "", "drawings/../../precious.svg": "", str(tmp_path / "precious.svg"): ""}
    (out / "pack.json").write_text(json.dumps(record), encoding="utf-8")
    run(SMALL, "--out", out, "--quiet")
    assert (tmp_path / "precious.svg").read_text(encoding="utf-8") == "mine"


def test_a_file_that_is_of_no_pack_is_not_written_over(tmp_path, capsys):
    (tmp_path / "index.html").write_text("my page", encoding="utf-8")
    assert run(SMALL, "--out", tmp_path) == 2
    assert "is of no pack" in capsys.readouterr().err
    assert read(tmp_path) == {"index.html": b"my page"}
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert run(SMALL, "--out", tmp_path / "file") == 2


def test_a_file_that_does_not_compile_leaves_the_old_pack(tmp_path, capsys):
    source = tmp_path / "job.hookup"
    shutil.copy(SMALL, source)
    run(source, "--out", tmp_path / "out", "--quiet")
    before = read(tmp_path / "out")
    source.write_text("typical one\n    coil CC on nothing\n", encoding="utf-8")
    assert run(source, "--out", tmp_path / "out") == 2
    assert "job.hookup:" in capsys.readouterr().err and read(tmp_path / "out") == before


def test_a_folder_with_one_file_that_does_not_compile(tmp_path):
    (tmp_path / "in").mkdir()
    shutil.copy(SMALL, tmp_path / "in")
    (tmp_path / "in" / "broken.hookup").write_text("typical one\n    coil CC on nothing\n", encoding="utf-8")
    assert run(tmp_path / "in", "--out", tmp_path / "out", "--quiet") == 2
    html = (tmp_path / "out" / "index.html").read_text(encoding="utf-8")
    assert "Not in this pack, because they cannot be compiled:</strong> broken.hookup" in html


def test_files_below_folders_use_each_other(tmp_path):
    (tmp_path / "jobs" / "shared").mkdir(parents=True)
    first, rest = TEXT.split("typical one", 1)
    (tmp_path / "jobs" / "shared" / "water.hookup").write_text(first.partition("\n")[2], encoding="utf-8")
    (tmp_path / "jobs" / "a.hookup").write_text(f'use "shared/water.hookup"\ntypical one{rest}', encoding="utf-8")
    assert run(tmp_path / "jobs", "--out", tmp_path / "out", "--quiet") in (0, 1)
    record = json.loads((tmp_path / "out" / "pack.json").read_text(encoding="utf-8"))
    assert set(record["compiled"]) == {"a.hookup", "shared/water.hookup"}


@pytest.mark.parametrize("note", WICKED)
def test_names_of_files_are_plain_whatever_the_text(note):
    files = pack(wicked_job(note))
    assert all(set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-./") and ".." not in name for name in files)


def test_today_is_asked_of_the_clock_only_if_so_said(tmp_path, capsys):
    import datetime

    run(SMALL, "--out", tmp_path / "a", "--quiet", "--date", "today")
    today = datetime.date.today()
    record = json.loads((tmp_path / "a" / "pack.json").read_text(encoding="utf-8"))
    assert abs(datetime.date.fromisoformat(record["date"]) - today).days <= 1
    run(SMALL, "--out", tmp_path / "b", "--quiet")
    assert json.loads((tmp_path / "b" / "pack.json").read_text(encoding="utf-8"))["date"] == ""
    assert run(SMALL, "--out", tmp_path / "c", "--date", "25.11.2026") == 2


def test_packs_of_options_differ_where_they_should():
    batch = compile_files([SMALL])
    one, other = pack(batch, Options(revision="A")), pack(batch, Options(revision="B"))
    assert {name for name in one if one[name] != other[name]} == {"index.html", "pack.json"}
