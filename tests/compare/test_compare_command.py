"""`coilwright compare` on the command line: files, folders, git states, purchases, formats, exit codes."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest
from coilwright.cli import main
from jsonschema import Draft202012Validator

EXAMPLE = Path("examples/one-coil.hookup").read_text(encoding="utf-8")
SCHEMA = Draft202012Validator(json.loads(Path("docs/output.schema.json").read_text(encoding="utf-8")))
OTHER = EXAMPLE.replace("ST-101", "ST-109").replace("TCV-101, 2,", "TCV-101, 1-1/2,")


def git(folder: Path, *words: str) -> None:
    who = ["-c", "user.name=Fitter", "-c", "user.email=fitter@example.org", "-c", "commit.gpgsign=false"]
    subprocess.run(["git", *who, "-C", str(folder), *words], check=True, capture_output=True)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "old.hookup").write_text(EXAMPLE, encoding="utf-8")
    (tmp_path / "new.hookup").write_text(OTHER, encoding="utf-8")
    return tmp_path


def test_two_files(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", "old.hookup", "new.hookup"]) == 1
    out = capsys.readouterr().out
    for words in ("ST-101", "ST-109", "1-1/2", "What that does to the lists", "Bill of materials: what has changed"):
        assert words in out


def test_the_same(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "new.hookup").write_text("# another comment\n\n" + EXAMPLE, encoding="utf-8")
    assert main(["compare", "old.hookup", "new.hookup"]) == 0
    assert "Nothing differs" in capsys.readouterr().out


def test_only_a_setting_of_the_takeoff_differs(folder: Path) -> None:
    """The units are the same, the lists are not."""
    (folder / "new.hookup").write_text(EXAMPLE + "\ntakeoff\n    spare gaskets 50 %\n", encoding="utf-8")
    assert main(["compare", "old.hookup", "new.hookup", "--out", "out.json"]) == 1
    tables = {table["name"]: table["rows"] for table in json.loads(Path("out.json").read_text())["files"][0]["tables"]}
    assert tables["changes"] == []
    assert tables["bill-changes"]


def test_two_folders(folder: Path) -> None:
    for name, text in (("a", EXAMPLE), ("b", OTHER)):
        (folder / name / "level-1").mkdir(parents=True)
        (folder / name / "level-1" / f"job-{name}.hookup").write_text(text, encoding="utf-8")
    assert main(["compare", "a", "b", "--quiet", "--out", "out.json"]) == 1
    assert main(["compare", "a", "old.hookup", "--quiet", "--out", "out.json"]) == 0


@pytest.mark.parametrize("units", ["inch-pound", "metric"])
def test_every_format(folder: Path, units: str) -> None:
    for ending in ("txt", "csv", "json", "md", "xlsx"):
        assert main(["compare", "old.hookup", "new.hookup", "--units", units, "--out", f"out.{ending}"]) == 1
        assert (folder / f"out.{ending}").stat().st_size > 500
    data = json.loads((folder / "out.json").read_text(encoding="utf-8"))
    SCHEMA.validate(data)
    assert [table["name"] for table in data["files"][0]["tables"][:2]] == ["changes", "list-changes"]
    assert main(["compare", "old.hookup", "new.hookup", "--format", "csv", "--out", "lists/"]) == 1
    assert {path.name for path in (folder / "lists").iterdir()} >= {
        "changes.csv",
        "list-changes.csv",
        "bill-changes.csv",
    }


def test_git_states(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = folder / "job"
    (job / "level-1").mkdir(parents=True)
    service, unit = EXAMPLE.split("unit AH-1", 1)
    (job / "shop.hookup").write_text(service, encoding="utf-8")
    (job / "level-1.hookup").write_text('use "shop.hookup"\n\nunit AH-1' + unit, encoding="utf-8")
    git(job, "init", "-q")
    git(job, "add", ".")
    git(job, "commit", "-qm", "first")
    git(job, "tag", "issued")
    assert main(["compare", "job/level-1.hookup", "--git", "HEAD"]) == 0
    (job / "level-1.hookup").write_text(
        'use "shop.hookup"\n\nunit AH-1' + unit.replace("ST-101", "ST-9"), encoding="utf-8"
    )
    assert main(["compare", "job/level-1.hookup", "--git", "issued"]) == 1
    assert main(["compare", "job", "--git", "issued"]) == 1
    git(job, "commit", "-qam", "second")
    (job / "shop.hookup").write_text(service.replace("125 psi", "150 psi"), encoding="utf-8")
    git(job, "commit", "-qam", "third")
    capsys.readouterr()
    assert main(["compare", "job/level-1.hookup", "--git", "issued..HEAD~1"]) == 1
    first = capsys.readouterr().out
    assert "ST-9" in first and "150 psi" not in first
    assert main(["compare", "job", "--git", "HEAD~1..HEAD"]) == 1
    second = capsys.readouterr().out
    assert "150 psi" in second and "ST-9" not in second
    (job / "level-1.hookup").unlink()
    assert main(["compare", "job/level-1.hookup", "--git", "issued..HEAD"]) == 1
    assert subprocess.run(["git", "-C", str(job), "status", "--short"], capture_output=True, text=True).stdout == (
        " D level-1.hookup\n"
    )


def test_trouble(folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    def said(*words: str) -> str:
        assert main(["compare", *words]) == 2
        return capsys.readouterr().err

    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(folder.parent))
    assert "takes an old and a new file or folder, not 1" in said("old.hookup")
    assert "not 3" in said("old.hookup", "old.hookup", "new.hookup")
    assert "there is no file or folder" in said("old.hookup", "other.hookup")
    assert "is in no git repository" in said("old.hookup", "--git", "HEAD")
    assert "cannot read `bought.csv`: no such file" in said("old.hookup", "--bought", "bought.csv")
    (folder / "bad.csv").write_text("a,b\n1,2\n")
    assert "has no column description and none quantity" in said("old.hookup", "--bought", "bad.csv")
    (folder / "broken.hookup").write_text("unit\n")
    assert "nothing is compared: cannot compile broken.hookup" in said("old.hookup", "broken.hookup")
    git(folder, "init", "-q")
    assert "git knows no commit `HEAD`" in said("old.hookup", "--git", "HEAD")
    git(folder, "add", "old.hookup")
    git(folder, "commit", "-qm", "first")
    assert "is no name of a commit" in said("old.hookup", "--git=--help")
    assert "there is no file `new.hookup`, nor a folder with hookups, in `HEAD`" in said("new.hookup", "--git", "HEAD")


def test_bought(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["takeoff", "old.hookup", "--list", "bill", "--out", "bought.csv"]) in (0, 1)
    capsys.readouterr()
    assert main(["compare", "old.hookup", "--bought", "bought.csv"]) in (0, 1)
    assert main(["compare", "new.hookup", "--bought", "bought.csv", "--out", "out.json"]) == 1
    data = json.loads((folder / "out.json").read_text(encoding="utf-8"))
    SCHEMA.validate(data)
    names = {t["name"]: [row["cells"] for row in t["rows"]] for t in data["files"][0]["tables"]}
    assert set(names) >= {"to-order", "to-return", "received"}
    assert any(row["size"] == "1-1/2" and "control valve" in row["description"] for row in names["to-order"])
    assert any(row["size"] == "2" and "control valve" in row["description"] for row in names["to-return"])


def test_what_it_does_to_the_price(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "book.csv").write_text(
        Path(__file__).parents[2].joinpath("examples/demo-prices.csv").read_text(), "utf-8"
    )
    (folder / "new.hookup").write_text(EXAMPLE.replace("        thermometer 3/4\n", "", 1), encoding="utf-8")
    assert main(["compare", "old.hookup", "new.hookup", "--book", "book.csv", "--format", "json"]) == 1
    data = json.loads(capsys.readouterr().out)
    (table,) = [t for t in data["files"][0]["tables"] if t["name"] == "price-changes"]
    cells = {row["cells"]["what"]: row["cells"] for row in table["rows"]}
    was, now, less = (float(cells["instruments"][key]) for key in ("drawn", "instead", "difference"))
    assert was > now > 0
    assert less == pytest.approx(now - was)
