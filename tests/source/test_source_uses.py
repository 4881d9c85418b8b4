"""`use`: each file once, included first, inside the project's folder, and no rings."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from coilwright.source.reader import LARGEST, DictReader, DiskReader, Unreadable, decoded
from coilwright.source.tree import Tree
from coilwright.source.uses import load_trees


def names(trees: list[Tree]) -> list[str]:
    return [tree.file for tree in trees]


def test_included_files_come_first_and_once() -> None:
    files = {
        "job.hookup": 'use "shop.hookup"\nuse "parts/valves.hookup"\nspec a\n',
        "shop.hookup": 'use "parts/valves.hookup"\nspec b\n',
        "parts/valves.hookup": 'use "more.hookup"\n',
        "parts/more.hookup": "spec c\n",
    }
    trees, findings = load_trees("job.hookup", DictReader(files))
    assert findings == []
    assert names(trees) == ["parts/more.hookup", "parts/valves.hookup", "shop.hookup", "job.hookup"]
    trees, findings = load_trees("./job.hookup", DictReader({**files, "./job.hookup": files["job.hookup"]}))
    assert (names(trees)[-1], findings) == ("./job.hookup", [])


def test_text_stands_for_the_first_file() -> None:
    trees, findings = load_trees("<text>", DictReader({"a.hookup": "spec a\n"}), text='use "a.hookup"\n')
    assert (names(trees), findings) == (["a.hookup", "<text>"], [])


def test_a_ring_says_who_uses_whom() -> None:
    files = {"a.hookup": 'use "b.hookup"\n', "b.hookup": '\nuse "c.hookup"\n', "c.hookup": 'use "./b.hookup"\n'}
    trees, (finding,) = load_trees("a.hookup", DictReader(files))
    assert names(trees) == ["c.hookup", "b.hookup", "a.hookup"]
    assert finding.rule == "uses-itself"
    assert "b.hookup uses c.hookup uses b.hookup" in finding.message
    assert str(finding.span) == "c.hookup:1:5"
    assert [str(note.span) for note in finding.notes] == ["a.hookup:1:5", "b.hookup:2:5"]


def test_a_file_that_uses_itself() -> None:
    _, (finding,) = load_trees("./a.hookup", DictReader({"./a.hookup": 'use "a.hookup"\n'}))
    assert finding.rule == "uses-itself"


def test_a_long_chain_is_a_finding() -> None:
    files = {f"{n}.hookup": f'use "{n + 1}.hookup"\n' for n in range(2000)}
    _, (finding,) = load_trees("0.hookup", DictReader(files))
    assert finding.rule == "nested-too-deep"


@pytest.mark.parametrize(
    "path",
    ["../out.hookup", "/etc/hosts", "a/../../out.hookup", "C:/out.hookup", "\\\\host\\out", "link.hookup", "gone/x"],
)
def test_nothing_outside_the_folder_is_read(tmp_path: Path, path: str) -> None:
    (tmp_path / "out.hookup").write_text("spec secret\n")
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "link.hookup").symlink_to(tmp_path / "out.hookup")
    (folder / "gone").symlink_to(tmp_path)
    file = folder / "job.hookup"
    file.write_text(f'use "{path}"\nspec a\n', "utf-8")
    trees, (finding,) = load_trees(str(file), DiskReader())
    assert names(trees) == [str(file)]
    assert (finding.rule, finding.span.line, finding.span.column) == ("outside-project", 1, 5)


@pytest.mark.parametrize("path", ["no.hookup", ".", "", "a\0b", "ring.hookup", "\ud800"])
def test_what_cannot_be_read_is_a_finding(tmp_path: Path, path: str) -> None:
    os.symlink("ring.hookup", tmp_path / "ring.hookup")
    file = tmp_path / "job.hookup"
    trees, (finding,) = load_trees(str(file), DiskReader(), text=f'use "{path}"\nspec a\n')
    assert len(trees) == 1
    assert finding.rule in ("file-unreadable", "outside-project")


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"spec a\nspec \xff\n", "line 2"),
        (b"PK\x03\x04\0\0", "not a text file"),
        ("spec a".encode("utf-16"), "UTF-16"),
        (b"#" * (LARGEST + 1), "larger than"),
    ],
)
def test_files_that_are_no_text(tmp_path: Path, data: bytes, why: str) -> None:
    file = tmp_path / "a.hookup"
    file.write_bytes(data)
    trees, (finding,) = load_trees(str(file), DiskReader())
    assert (trees, finding.rule) == ([], "file-unreadable")
    assert why in finding.message
    with pytest.raises(Unreadable):
        decoded(data)


def test_a_byte_order_mark_is_no_text() -> None:
    assert decoded(b"\xef\xbb\xbfspec a") == "spec a"
