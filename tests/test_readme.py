"""The README shows what really comes out."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

README = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")
BLOCKS = [text for language, text in re.findall(r"^```(\w*)\n(.*?)^```$", README, re.S | re.M) if not language]


def run(folder: Path, *words: str) -> str:
    command = [sys.executable, "-m", "coilwright", *words]
    environ = {"COLUMNS": "110", "NO_COLOR": "1"}
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, env={**os.environ, **environ}).stdout


def test_first_file_and_its_output(tmp_path: Path) -> None:
    first, checked, why = BLOCKS
    assert len(first.splitlines()) <= 24
    (tmp_path / "first.hookup").write_text(first, encoding="utf-8")
    assert run(tmp_path, "check", "first.hookup") == checked
    lines = first.splitlines(keepends=True)
    (tmp_path / "first.hookup").write_text("".join([*lines[:19], "        vent 1/2\n", *lines[19:]]), encoding="utf-8")
    assert "1 finding (1 note)" in run(tmp_path, "check", "first.hookup")
    assert run(tmp_path, "why", "first.hookup", "bill:9") == why


def test_pages_that_it_names_are_there() -> None:
    for name in re.findall(r"\]\(([^)]+)\)", README):
        assert (Path(__file__).parent.parent / name).exists(), name
