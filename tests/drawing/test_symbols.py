"""The table of symbols, and which kind gets which."""

import re

import pytest
from coilwright.api import compile_text
from coilwright.drawing.svg import text_width, wrapped
from coilwright.drawing.symbols import LETTERS, Turn, symbol_of, symbols
from coilwright.model.hookup import Component
from coilwright.model.size import size

KINDS = compile_text("service w\n    water\n").compiled.declared.kinds


def component(kind):
    return Component("X", kind, size("2"), "", "", ())


@pytest.mark.parametrize("symbol", symbols(), ids=lambda symbol: symbol.name)
def test_shapes_stay_within_their_reach(symbol):
    """Walks each path: every point of it lies within what the table says the symbol reaches."""
    assert symbol.source
    assert text_width(symbol.letters, LETTERS) <= symbol.left + symbol.right
    assert symbol.body or symbol.solid or symbol.stroke
    for shape in (symbol.body, symbol.solid, symbol.stroke):
        for x, y in points(shape):
            assert -symbol.left - 0.01 <= x <= symbol.right + 0.01, (shape, x)
            assert -symbol.up - 0.01 <= y <= symbol.down + 0.01, (shape, y)


def points(shape):
    x = y = 0.0
    for letter, rest in re.findall(r"([MLHVACSQZ])([^MLHVACSQZ]*)", shape):
        numbers = [float(n) for n in re.findall(r"-?[0-9]*\.?[0-9]+", rest)]
        if letter == "H":
            x = numbers[-1]
        elif letter == "V":
            y = numbers[-1]
        elif letter in "MLACSQ":
            x, y = numbers[-2:]
        yield x, y


@pytest.mark.parametrize("kind", [k for k in KINDS.values() if k.ports != "mark"], ids=lambda kind: kind.name)
def test_every_kind_has_a_shape_of_its_own(kind):
    name = symbol_of(component(kind)).name
    plain = {"nipple", "coupling", "elbow", "45 elbow", "coil", "expansion loop stub", "suction diffuser"}
    assert (name in ("fitting in line", "end")) <= (kind.name in plain), name


def test_kinds_are_told_apart():
    shown = {name: symbol_of(component(KINDS[name])).name for name in KINDS}
    assert shown["control valve"] == "control valve" and shown["balancing valve"] == "balancing valve"
    assert shown["ball valve"] != shown["butterfly valve"] != shown["gate valve"]
    assert shown["relief valve"] == "relief valve" and shown["check valve"] == "check valve"
    assert shown["hose end"] == "hose end" and shown["plug"] == "plug"


def test_a_kind_of_the_users_own_gets_the_shape_of_what_it_can_do():
    done = compile_text("service w\n    water\nkind knife valve\n    isolates\n    ends threaded, 1/2 to 4, bronze\n")
    assert symbol_of(component(done.compiled.declared.kinds["knife valve"])).name == "shutoff valve"


def test_turned_symbols_reach_where_they_are_turned_to():
    symbol = next(s for s in symbols() if s.name == "control valve")
    assert Turn("right").reach(symbol) == (11, 11, 22, 7)
    assert Turn("right", over=True).reach(symbol) == (11, 11, 7, 22)
    assert sorted(Turn("up").reach(symbol)) == [7, 11, 11, 22]


def test_wrapping_keeps_every_letter_and_the_width():
    text = "PRESSURE-INDEPENDENT-VALVE of a very long name/tag 1234567890123456789012345678901234567890"
    lines = wrapped(text, 10, 60, most=99)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(text_width(line, 10) <= 90 for line in lines)
    assert wrapped(text, 10, 60, most=2)[-1].endswith("…") and len(wrapped(text, 10, 60, most=2)) == 2
