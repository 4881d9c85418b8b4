"""The parser's tables, kept in the user's cache folder."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from coilwright.source.build import Build
from coilwright.source.tables import make_parser


def place(folder: Path) -> Path:
    (file,) = (folder / "coilwright").iterdir()
    return file


def rules(folder: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    monkeypatch.setenv("XDG_CACHE_HOME", str(folder))
    return sorted(map(str, make_parser(Build()).rules))


def test_kept_tables_are_those_of_the_grammar(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made = rules(tmp_path, monkeypatch)
    kept = place(tmp_path).read_bytes()
    assert rules(tmp_path, monkeypatch) == made
    assert place(tmp_path).read_bytes() == kept


@pytest.mark.parametrize("spoilt", ["", "{}", '{"grammar": 1}', "[", "\0"])
def test_spoilt_tables_are_made_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, spoilt: str) -> None:
    made = rules(tmp_path, monkeypatch)
    place(tmp_path).write_text(spoilt)
    assert rules(tmp_path, monkeypatch) == made
    assert json.loads(place(tmp_path).read_text())["data"]


def test_tables_of_another_grammar_are_not_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made = rules(tmp_path, monkeypatch)
    kept = json.loads(place(tmp_path).read_text())
    place(tmp_path).write_text(json.dumps({**kept, "grammar": "start: A", "data": {}}))
    assert rules(tmp_path, monkeypatch) == made


def test_tables_without_their_states_are_not_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made = rules(tmp_path, monkeypatch)
    kept = json.loads(place(tmp_path).read_text())
    kept["data"]["parser"]["parser"]["states"] = {}
    place(tmp_path).write_text(json.dumps(kept))
    assert rules(tmp_path, monkeypatch) == made


def test_a_folder_that_cannot_be_written_costs_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("")
    assert rules(tmp_path / "file", monkeypatch)
    monkeypatch.setenv("XDG_CACHE_HOME", "not/absolute")
    monkeypatch.chdir(tmp_path)
    assert make_parser(Build()).rules
    assert not (tmp_path / "not").exists()
