"""The grammar is LALR(1) as it stands: no conflict is settled behind our back."""

from __future__ import annotations

import logging
from importlib.resources import files

import lark
import pytest


def conflicts(grammar: str, caplog: pytest.LogCaptureFixture) -> list[str]:
    caplog.clear()
    before = lark.logger.level
    lark.logger.addHandler(caplog.handler)
    lark.logger.setLevel(logging.DEBUG)
    try:
        lark.Lark(grammar, parser="lalr", lexer="basic", debug=True)
    finally:
        lark.logger.removeHandler(caplog.handler)
        lark.logger.setLevel(before)
    return [record.getMessage() for record in caplog.records if "onflict" in record.getMessage()]


def test_there_are_no_conflicts(caplog: pytest.LogCaptureFixture) -> None:
    assert conflicts((files("coilwright.grammar") / "hookup.lark").read_text("utf-8"), caplog) == []


def test_a_conflict_would_be_seen(caplog: pytest.LogCaptureFixture) -> None:
    assert conflicts('start: a "x"?\na: "y" "x"?\n', caplog)
