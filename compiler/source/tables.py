"""The parser, made from the grammar once and kept in the user's cache folder, where it loads ten times faster.

What is kept is JSON (lark's own form of its tables), for the very same grammar and lark only. A folder that cannot be
read or written costs nothing but the time.
"""

from __future__ import annotations

import json
import os
from contextlib import suppress
from importlib.resources import files
from pathlib import Path
from typing import Any

import lark
from lark import Lark
from lark.grammar import Rule
from lark.lexer import TerminalDef
from lark.parsers.lalr_analysis import Shift

from .build import Build

#: What follows in each state on a terminal or rule: the state to go to, or (how many values are drawn together, the
#: rule that they are of, what makes one of them).
States = dict[int, dict[str, Any]]


def make_parser(build: Build) -> Lark:
    """The parser of the hookup language, with `build` as its tree builder."""
    grammar = (files("coilwright.grammar") / "hookup.lark").read_text(encoding="utf-8")
    place = _place()
    kept = _load(place, grammar, build) if place is not None else None
    if kept is not None:
        return kept
    made = Lark(grammar, parser="lalr", lexer="basic", transformer=build, maybe_placeholders=False)
    if place is not None:
        _keep(place, grammar, made)
    return made


def states_of(parser: Lark) -> States:
    """The parser's table in a form that takes one look-up a step; lark's own looks for what to build by its rule."""
    conf = parser.parse_interactive().parser_state.parse_conf
    return {
        state: {
            name: argument
            if action is Shift
            else (len(argument.expansion), argument.origin.name, conf.callbacks[argument])
            for name, (action, argument) in row.items()
        }
        for state, row in conf.states.items()
    }


def _place() -> Path | None:
    """Where the tables are kept; None where the user has no home."""
    folder = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    try:
        base = Path(folder) if folder else Path.home() / ".cache"
    except RuntimeError:
        return None
    return base / "coilwright" / f"grammar-{lark.__version__}.json" if base.is_absolute() else None


def _load(place: Path, grammar: str, build: Build) -> Lark | None:
    try:
        kept = json.loads(place.read_text(encoding="utf-8"))
        if kept["grammar"] != grammar:
            return None
        data, memo = kept["data"], _by_number(kept["memo"])
        table = data["parser"]["parser"]
        table["tokens"] = _by_number(table["tokens"])
        table["states"] = {int(state): _by_number(row) for state, row in table["states"].items()}
        loaded: Lark = Lark._load_from_dict(data, memo, transformer=build)
        loaded.parse_interactive().choices()  # a table without its first state is no table
    except Exception:  # whatever a spoilt file does, the grammar is at hand
        return None
    return loaded


def _by_number(table: dict[str, Any]) -> dict[int, Any]:
    """JSON makes texts of whole-number keys."""
    return {int(key): value for key, value in table.items()}


def _keep(place: Path, grammar: str, made: Lark) -> None:
    data, memo = made.memo_serialize([TerminalDef, Rule])
    data["options"] = {**data["options"], "transformer": None}
    own = place.with_name(f"{place.name}.{os.getpid()}")
    try:
        place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        own.write_text(json.dumps({"grammar": grammar, "data": data, "memo": memo}), encoding="utf-8")
        own.replace(place)
    except OSError:
        with suppress(OSError):
            own.unlink(missing_ok=True)
