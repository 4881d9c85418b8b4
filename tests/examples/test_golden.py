"""What comes out of every example, word for word: findings, the checker's table, the bill, the flange list, and of
measured ones what is cut and welded."""

from collections.abc import Callable
from pathlib import Path

import pytest
from coilwright import compile_text
from coilwright.report import findings_text, tables_text

EXAMPLES = Path(__file__).parents[2] / "examples"
GOLDEN = Path(__file__).parent / "golden"
#: Wide enough for the flange list to stand in columns, so that one joint is one line of a diff.
WIDE = 260
NAMES = sorted(path.stem for path in EXAMPLES.glob("*.hookup"))


@pytest.mark.parametrize("name", NAMES)
def test_golden(name: str, golden: Callable[[Path, str], None]) -> None:
    source = EXAMPLES / f"{name}.hookup"
    compilation = compile_text(source.read_text(encoding="utf-8"), name=f"examples/{source.name}")
    findings = findings_text.render(compilation.findings, compilation.sources) or "No findings.\n"
    lists = ["bill", "joints"]
    if all(hookup.measured is not None for hookup in compilation.hookups):
        lists += ["closing", "cuts", "weld-totals", "stock-to-buy", "penetrations"]
    tables = tables_text.render([compilation.checker(), *compilation.tables(lists)], WIDE)
    golden(GOLDEN / f"{name}.txt", f"examples/{source.name}\n\n{findings}\n{tables}")


def test_every_golden_file_has_its_example() -> None:
    assert sorted(path.stem for path in GOLDEN.iterdir()) == NAMES
