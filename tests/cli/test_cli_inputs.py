"""Files, folders and standard input."""

import io
import sys
from pathlib import Path

import pytest
from conftest import Shell


def files_of(out: str) -> list[str]:
    return [line.removeprefix("The checker: ") for line in out.splitlines() if line.startswith("The checker: ")]


def test_a_folder_is_every_hookup_below_it_in_order(shell: Shell) -> None:
    shell.write(job__b="", job__a="", job__deep__c="", job__d="")
    Path("job/notes.txt").write_text("must")
    Path("job/.venv").mkdir()
    Path("job/.venv/x.hookup").write_text("must")
    assert files_of(shell("check", "job").out) == [f"job/{name}.hookup" for name in ("a", "b", "d", "deep/c")]


def test_a_file_named_twice_is_read_once(shell: Shell) -> None:
    shell.write(job__a="must")
    assert shell("check", "job/a.hookup", "job", "./job/a.hookup").out.endswith("1 finding (1 must), in 1 file\n")


def test_a_file_used_by_another_one_of_its_folder_does_not_stand_alone(shell: Shell) -> None:
    shell.write(job__a="uses shop.hookup", job__b="", job__shop="error")
    assert files_of(shell("check", "job").out) == ["job/a.hookup", "job/b.hookup"]
    assert shell("check", "job", "job/shop.hookup").code == 2


def test_standard_input(shell: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    def feed(data: bytes) -> None:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data), encoding="ascii"))

    feed("must\n½".encode())
    assert shell("check", "-").out.startswith("standard input:1:1: must:")
    feed(b"must")
    assert shell("check", "-", "--stdin-filename", "draft.hookup").out.startswith("draft.hookup:1:1: must:")


def test_standard_input_that_is_no_text_is_said(shell: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"must\n\xff\xfe\x00")))
    ran = shell("check", "-")
    assert (ran.code, ran.err) == (2, "coilwright: `standard input` is not a text file\n")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ["check", "galery.hookup"],
            "there is no file or folder `galery.hookup`; the nearest name there is `gall",
        ),
        (["check", "empty"], "the folder `empty` holds no file whose name ends in .hookup"),
        (["takeoff", "gallery.hookup", "--out", "bill.odt"], "cannot tell the format from the name `bill.odt`"),
        (
            ["takeoff", "gallery.hookup", "--out", "no/bill.csv"],
            "cannot write `no/bill.csv`: no such file",
        ),
        (["takeoff", "gallery.hookup", "--out", "gallery.hookup/"], "cannot make the folder `gallery.hookup`: "),
        (["why", "gallery.hookup", "XV-9"], "there is nothing called `XV-9`; name a row of a list"),
        (["why", "gallery.hookup", "must", "--out", "empty"], "`empty` is a folder"),
    ],
)
def test_bad_use_is_said_in_one_line(shell: Shell, words: list[str], said: str) -> None:
    shell.write(gallery="must")
    Path("empty").mkdir()
    ran = shell(*words)
    assert ran.code == 2
    assert ran.out == ""
    assert ran.err.splitlines()[-1].startswith(f"coilwright: {said}")
    assert "Traceback" not in ran.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["takeoff", "g.hookup", "--list", "bil"], "there is no list `bil`; the nearest name is `bill`"),
        (["takeoff", "g.hookup", "--list", "xyzzy"], "there are bill, "),
        (["check", "g.hookup", "--format", "pdf"], "invalid choice: 'pdf'"),
        (["check"], "FILE"),
        (["chek", "g.hookup"], "check"),
        ([], "examples:"),
    ],
)
def test_words_that_are_no_command_line(shell: Shell, words: list[str], said: str) -> None:
    ran = shell(*words)
    assert ran.code == 2
    assert ran.out == ""
    assert said in ran.err


def test_two_files_never_land_in_one(shell: Shell) -> None:
    shell.write(**{"a-b": "", "a__b": ""})
    ran = shell("takeoff", "a-b.hookup", "a/b.hookup", "--each", "--out", "lists/")
    assert ran.code == 2
    assert "would both be written to `lists/a-b-bill.txt`" in ran.err
    assert list(Path("lists").iterdir()) == []


@pytest.mark.parametrize("words", [["--help"], ["check", "--help"], ["takeoff", "--help"], ["why", "--help"]])
def test_help_has_examples_that_work(shell: Shell, words: list[str]) -> None:
    ran = shell(*words)
    assert ran.code == 0
    shell.write(gallery="41 bill:12 BV-101", floors__a="")
    examples = [
        line.split("    ")[0].split(" < ")[0].split()
        for line in ran.out.splitlines()
        if line.startswith("  coilwright ")
    ]
    assert examples
    for example in examples:
        if "-" not in example:
            assert shell(*example[1:]).code == 0, example
