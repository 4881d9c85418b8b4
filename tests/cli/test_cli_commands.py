"""What each command prints, where, and with which exit code."""

import csv
import io
import json
from pathlib import Path

import pytest
from conftest import Shell


@pytest.mark.parametrize(
    ("text", "code"), [("", 0), ("note", 0), ("should", 0), ("must", 1), ("error", 2), ("must\nerror", 2)]
)
@pytest.mark.parametrize("command", ["check", "takeoff"])
def test_exit_codes(shell: Shell, command: str, text: str, code: int) -> None:
    shell.write(one=text)
    assert shell(command, "one.hookup").code == code


def test_check_prints_findings_then_the_table_then_the_sum(shell: Shell) -> None:
    shell.write(one="must\nshould")
    ran = shell("check", "one.hookup")
    assert ran.out == (
        "one.hookup:1:1: must: this is must [made-up]\n  |\n1 | must\n  | ^^^^\n\n"
        "one.hookup:2:1: should: this is should [made-up]\n  |\n2 | should\n  | ^^^^^^\n\n"
        "The checker\n===========\nWhat\n---------------------\nchecker of one.hookup\n\n"
        "2 findings (1 must, 1 should), in 1 file\n"
    )
    assert ran.err == ""


def test_check_of_a_broken_file_has_no_table(shell: Shell) -> None:
    shell.write(one="error")
    ran = shell("check", "one.hookup")
    assert "The checker" not in ran.out
    assert ran.out.endswith("1 finding (1 error), in 1 file\n")


def test_quiet_leaves_out_the_sum(shell: Shell) -> None:
    shell.write(one="must")
    ran = shell("check", "one.hookup", "--quiet")
    assert "in 1 file" not in ran.out + ran.err
    assert "this is must" in ran.out


def test_takeoff_prints_lists_and_says_on_standard_error_that_something_was_found(shell: Shell) -> None:
    shell.write(one="must")
    ran = shell("takeoff", "one.hookup")
    assert ran.out.index("The bill") < ran.out.index("The joints")
    assert "this is must" not in ran.out + ran.err
    assert ran.err == "1 finding (1 must), in 1 file\nto see them: coilwright check one.hookup\n"
    assert shell("takeoff", "one.hookup", "--quiet").err == ""


def test_takeoff_of_a_broken_file_shows_the_errors_and_goes_on_with_the_others(shell: Shell) -> None:
    shell.write(bad="error", good="")
    ran = shell("takeoff", "bad.hookup", "good.hookup", "--quiet")
    assert ran.code == 2
    assert "bad.hookup:1:1: error: this is error [made-up]" in ran.err
    assert "bill of good.hookup" in ran.out
    assert "bill of bad.hookup" not in ran.out


def test_takeoff_lists_by_name_in_the_order_asked(shell: Shell) -> None:
    shell.write(one="")
    ran = shell("takeoff", "one.hookup", "--list", "hands", "--list", "bill", "--list", "hands", "--format", "csv")
    rows = list(csv.reader(io.StringIO(ran.out, newline="")))
    assert [row[0] for row in rows if row and row[0].startswith("The ")] == ["The hands", "The bill"]


def test_one_list_as_csv_is_nothing_but_the_list(shell: Shell) -> None:
    shell.write(one="must")
    assert shell("takeoff", "one.hookup", "--list", "bill", "--format", "csv").out == "what\r\nbill of one.hookup\r\n"


@pytest.mark.parametrize("command", ["check", "takeoff"])
def test_json_carries_findings_lists_and_counts(shell: Shell, command: str) -> None:
    shell.write(one="must", two="error")
    data = json.loads(shell(command, "one.hookup", "two.hookup", "--format", "json").out)
    assert data["count"] == {"error": 1, "must": 1, "should": 0, "note": 0}
    assert [entry["file"] for entry in data["files"]] == ["one.hookup", "two.hookup"]
    assert data["files"][0]["findings"][0]["rule"] == "made-up"
    assert ("job" in data) == (command == "takeoff")
    assert (data["job"] if command == "takeoff" else data["files"][0])["tables"]
    assert data["files"][1]["tables"] == []


def test_markdown(shell: Shell) -> None:
    shell.write(one="must")
    out = shell("check", "one.hookup", "--format", "md").out
    assert out.startswith("## Findings\n\n- **must** one.hookup:1:1: this is must (made-up)\n")
    assert "| checker of one.hookup |" in out


@pytest.mark.parametrize(
    ("name", "start"), [("o.csv", "findings\r\n"), ("o.JSON", "{"), ("o.md", "## "), ("o.txt", "one.hookup:1:1")]
)
def test_the_ending_of_the_output_file_says_the_format(shell: Shell, name: str, start: str) -> None:
    shell.write(one="must")
    ran = shell("check", "one.hookup", "--out", name)
    assert ran.out == ""
    assert ran.err == "1 finding (1 must), in 1 file\n"
    assert Path(name).read_bytes().decode().lower().startswith(start.lower())


def test_lists_into_a_folder(shell: Shell) -> None:
    shell.write(a__one="must", b__one="")
    assert shell("takeoff", "a/one.hookup", "--format", "csv", "--out", "lists/").code == 1
    assert sorted(path.name for path in Path("lists").iterdir()) == ["bill.csv", "bolting.csv", "joints.csv"]
    assert Path("lists/bill.csv").read_bytes() == b"what\r\nbill of one.hookup\r\n"
    shell("check", "a", "b", "--out", "checks/")
    assert sorted(path.name for path in Path("checks").iterdir()) == [
        "a-one-checker.txt",
        "a-one-findings.txt",
        "b-one-checker.txt",
        "b-one-findings.txt",
    ]
    assert "this is must" in Path("checks/a-one-findings.txt").read_text()
    assert Path("checks/b-one-findings.txt").read_text() == "no findings, in 1 file\n"


def test_colour_is_forced_and_never_in_a_file(shell: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    shell.write(one="must")
    plain = shell("check", "one.hookup").out
    monkeypatch.setenv("FORCE_COLOR", "1")
    assert "\x1b[31mmust\x1b[0m" in shell("check", "one.hookup").out
    shell("check", "one.hookup", "--out", "o.txt")
    assert Path("o.txt").read_text() == plain
    monkeypatch.setenv("NO_COLOR", "1")
    assert shell("check", "one.hookup").out == plain


def test_why(shell: Shell) -> None:
    shell.write(one="BV-101", two="BV-101")
    ran = shell("why", "one.hookup", "BV-101")
    assert (ran.code, ran.out) == (0, "BV-101 in one.hookup\n  because\n  one.hookup:1:1: BV-101\n")
    both = shell("why", "one.hookup", "two.hookup", "BV-101")
    assert both.out.count("because") == 2
    assert json.loads(shell("why", "one.hookup", "BV-101", "--format", "json").out)["explanations"][0]["title"]
    assert shell("why", "one.hookup", "BV-101", "--out", "why.md").out == ""
    assert "| because |" in Path("why.md").read_text()
