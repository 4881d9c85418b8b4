"""Several files as one job on the command line: where the lists go, progress, and interruptions."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest
from coilwright.commands import progress
from conftest import Shell

SHOP = """\
service chilled-water
    water
    design 125 psi, 40 degF to 100 degF
    spec steel-threaded

typical fan-coil, drawn with airflow left to right
    coil CC-* on chilled-water
        supply low at leaving side, 3/4 male thread
        return high at entering side, 3/4 male thread
    supply to CC-*, 3/4
        from main CWS
        ball valve BV-*1
        drain 3/4
    return from CC-*, 3/4
        vent 1/2
        ball valve BV-*2
        to main CWR
"""


def names(folder: str) -> list[str]:
    return sorted(path.name for path in Path(folder).iterdir())


def test_one_list_over_all_files_and_with_each_those_of_every_file(shell: Shell) -> None:
    shell.write(job__a="", job__b="should")
    out = shell("takeoff", "job", "--list", "bill").out
    assert "The bill: 2 files\n" in out and "bill of a.hookup+b.hookup" in out
    assert out.count("The bill") == 1
    out = shell("takeoff", "job", "--list", "bill", "--each").out
    titles = [line for line in out.splitlines() if line.startswith("The bill")]
    assert titles == ["The bill: 2 files", "The bill: job/a.hookup", "The bill: job/b.hookup"]


def test_each_says_nothing_more_of_a_single_file(shell: Shell) -> None:
    shell.write(one="")
    assert shell("takeoff", "one.hookup", "--each").out == shell("takeoff", "one.hookup").out


def test_files_in_a_folder(shell: Shell) -> None:
    shell.write(job__a="", job__b="", job__bad="error")
    words = ("takeoff", "job", "--list", "bill", "--format", "csv", "--out")
    assert shell(*words, "together/").code == 2
    assert shell(*words, "each/", "--each").code == 2
    assert names("together") == ["bill.csv"]
    assert names("each") == ["a-bill.csv", "b-bill.csv", "bill.csv"]
    assert Path("each/bill.csv").read_text() == "what\nbill of a.hookup+b.hookup\n"
    assert Path("each/a-bill.csv").read_text() == "what\nbill of a.hookup\n"


def test_json_has_the_job_apart_from_the_files(shell: Shell) -> None:
    shell.write(a="must", bad="error")
    words = ("takeoff", "a.hookup", "bad.hookup", "--format", "json")
    data, each = json.loads(shell(*words).out), json.loads(shell(*words, "--each").out)
    assert data["job"]["name"] == "2 files"
    assert [len(file["tables"]) for file in data["files"]] == [0, 0]
    assert [len(file["tables"]) for file in each["files"]] == [len(each["job"]["tables"]), 0]
    assert each["job"] == data["job"]
    assert "job" not in json.loads(shell("takeoff", "a.hookup", "--format", "json").out)


def test_a_workbook_names_the_sheets_of_files(shell: Shell) -> None:
    shell.write(a="", b="")
    shell("takeoff", "a.hookup", "b.hookup", "--list", "bill", "--each", "--out", "job.xlsx")
    assert openpyxl.load_workbook("job.xlsx").sheetnames == ["bill", "bill a", "bill b"]


def test_what_is_not_in_the_lists_is_said_at_the_end(shell: Shell) -> None:
    shell.write(a="", bad="error", worse="error")
    ran = shell("takeoff", "a.hookup", "bad.hookup", "worse.hookup")
    assert ran.code == 2
    assert ran.err.splitlines()[-1] == "not in the lists: bad.hookup, worse.hookup"
    assert "not in the lists" not in shell("takeoff", "a.hookup", "bad.hookup", "--quiet").err
    ran = shell("takeoff", "bad.hookup", "worse.hookup")
    assert (ran.code, ran.out) == (2, "")


def test_why_of_a_row_is_that_of_all_files_together(shell: Shell) -> None:
    shell.write(a="bill:2", b="bill:2")
    assert shell("why", "a.hookup", "b.hookup", "bill:2").out.count("because") == 1


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The time that goes by with every look at it, by the list's first element."""
    step, now = [0.0], [100.0]

    def look() -> float:
        now[0] += step[0]
        return now[0]

    monkeypatch.setattr(progress.time, "monotonic", look)
    return step


def test_progress_on_a_terminal(monkeypatch: pytest.MonkeyPatch, clock: list[float]) -> None:
    monkeypatch.setattr(sys, "stderr", Terminal())
    with progress.Progress(quiet=False) as told:
        told.files(8, 10)
        clock[0] = 0.6
        told.files(9, 10)
        told.files(10, 10)
        told.lists(1, 3)
    shown = sys.stderr.getvalue()  # type: ignore[attr-defined]
    assert shown == "\r10 of 10 files\r1 of 3 lists  \r            \r"


def test_progress_is_cleared_when_a_run_breaks_off(monkeypatch: pytest.MonkeyPatch, clock: list[float]) -> None:
    monkeypatch.setattr(sys, "stderr", Terminal())
    clock[0] = 2.0
    with pytest.raises(KeyboardInterrupt), progress.Progress(quiet=False) as told:
        told.files(1, 10)
        raise KeyboardInterrupt
    assert sys.stderr.getvalue() == "\r1 of 10 files\r             \r"  # type: ignore[attr-defined]


@pytest.mark.parametrize(("terminal", "quiet"), [(io.StringIO(), False), (Terminal(), True), (None, False)])
def test_no_progress(monkeypatch: pytest.MonkeyPatch, clock: list[float], terminal: io.StringIO, quiet: bool) -> None:
    monkeypatch.setattr(sys, "stderr", terminal)
    clock[0] = 5.0
    with progress.Progress(quiet) as told:
        told.files(1, 2)
        told.lists(1, 2)
    assert terminal is None or terminal.getvalue() == ""


def test_a_command_tells_its_progress(shell: Shell, monkeypatch: pytest.MonkeyPatch, clock: list[float]) -> None:
    shell.write(a="", b="")
    clock[0] = 5.0
    for words in (("check", "a.hookup", "b.hookup"), ("takeoff", "a.hookup", "b.hookup")):
        assert "\r" not in shell(*words).err
        with monkeypatch.context() as patch:
            patch.setattr(sys, "stderr", Terminal())
            shell(*words)
            assert "\r1 of 2 files\r2 of 2 files" in sys.stderr.getvalue()  # type: ignore[attr-defined]
            assert sys.stderr.getvalue().endswith("\r")  # type: ignore[attr-defined]


#: Runs the command in a child and interrupts it, as Ctrl-C does, when it calls a function for the second time.
INTERRUPTED = """\
import os, signal, sys
import coilwright.takeoff.lists as lists
import coilwright.api as api
where, name = {{"lists": (lists, "make"), "files": (api, "run_passes"), "write": (os, "fsync")}}[sys.argv[1]]
real, calls = getattr(where, name), []
def called(*words, **options):
    calls.append(name)
    if len(calls) == 2:
        os.kill(os.getpid(), signal.SIGINT)
    return real(*words, **options)
setattr(where, name, called)
from coilwright.cli import main
code = main(sys.argv[2:])
assert len(calls) >= 2, "was never interrupted"
sys.exit(code)
""".replace("{{", "{").replace("}}", "}")


@pytest.mark.skipif(sys.platform == "win32", reason="sends a POSIX signal")
@pytest.mark.parametrize(
    ("when", "out"),
    [("files", "old/"), ("lists", "old/"), ("write", "old/"), ("files", "old/bill.xlsx"), ("lists", "old/bill.xlsx")],
)
def test_an_interrupted_run_leaves_the_old_output(tmp_path: Path, when: str, out: str) -> None:
    (tmp_path / "shop.hookup").write_text(SHOP)
    for number in (1, 2):
        (tmp_path / f"floor-{number}.hookup").write_text(f'use "shop.hookup"\nunit FC-{number} is fan-coil\n')
    old = tmp_path / "old"
    old.mkdir()
    before = {name: f"old {name}" for name in ("bill.csv", "joints.csv", "bill.xlsx")}
    for name, text in before.items():
        (old / name).write_text(text)
    words = ["takeoff", "floor-1.hookup", "floor-2.hookup", "--quiet", "--out", out]
    if out == "old/":
        words += ["--format", "csv"]
    ran = subprocess.run(
        [sys.executable, "-c", INTERRUPTED, when, *words], cwd=tmp_path, capture_output=True, timeout=120, check=False
    )
    assert (ran.returncode, ran.stdout, ran.stderr) == (130, b"", b"")
    assert {path.name: path.read_text() for path in old.iterdir()} == before
    ran = subprocess.run([sys.executable, "-m", "coilwright", *words], cwd=tmp_path, capture_output=True, check=False)
    assert ran.returncode in (0, 1)
    assert (old / ("bill.csv" if out == "old/" else "bill.xlsx")).read_bytes()[:4] != b"old "


def test_a_job_and_its_row(tmp_path: Path) -> None:
    """The real compiler: a row of the job's bill is explained, and holds what both files have."""
    (tmp_path / "shop.hookup").write_text(SHOP)
    for number in (1, 2):
        (tmp_path / f"floor-{number}.hookup").write_text(f'use "shop.hookup"\nunit FC-{number} is fan-coil\n')

    def run(*words: str) -> str:
        ran = subprocess.run(
            [sys.executable, "-m", "coilwright", *words], cwd=tmp_path, capture_output=True, text=True, check=False
        )
        assert ran.returncode in (0, 1), ran.stderr
        return ran.stdout

    data = json.loads(run("takeoff", ".", "--list", "bill", "--format", "json"))
    assert data["job"]["name"] == "all 2 files"
    (table,) = data["job"]["tables"]
    (row,) = [row for row in table["rows"] if row["cells"]["tags"] == ["BV-11", "BV-12", "BV-21", "BV-22"]]
    assert row["cells"]["total"] == 4
    assert run("why", ".", row["row"]).startswith("Bill of materials, row ")
