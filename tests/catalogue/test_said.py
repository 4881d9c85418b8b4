"""What a file says of lengths and weights of fittings that come by themselves, and of those with two sizes."""

from fractions import Fraction

import pytest
from coilwright import Compilation, compile_text
from coilwright.model.table import NOT_IN_TABLES, Row

LENGTHS = """lengths of {kind}
    {line}
"""
TEXT = """service chw
    water
    design 125 psi, 42 degF to 90 degF
    spec copper-soldered
unit FC-1, airflow left to right
    coil CC on chw
        supply low, 3/4 solder
        return high, 3/4 solder
    supply to CC, 3/4
        from main CHS
        ball valve BV-1, solder
        left 20 in
        {item}
        left 20 in
        ball valve BV-2, solder
    return from CC, 3/4
        to main CHR
lengths of ball valve, solder
    1/2, 2 in
    3/4, 2 in
"""


def made(item: str, *said: tuple[str, str]) -> Compilation:
    blocks = "".join(LENGTHS.format(kind=kind, line=line) for kind, line in said)
    return compile_text(TEXT.format(item=item) + blocks, name="test.hookup")


def between(compilation: Compilation) -> Row:
    """The straight behind BV-1."""
    assert not [finding for finding in compilation.findings if finding.severity == "error"]
    (found,) = compilation.tables(["closing"])
    return next(row for row in found.rows if row.cells["from"] == "BV-1")


# 20 in from the middle of BV-1 (half of 2 in) to the middle of the fitting; a cup of 3/4 takes 3/4 in of the tube, one
# of 1/2 takes 1/2 in (ASME B16.22): 20 - 1 + 3/4 - 7/8 + 3/4.
@pytest.mark.parametrize(
    ("item", "said"),
    [
        ("tee T-1, 1/2\n            plug", ("reducing tee, solder", "3/4 x 1/2, 7/8 in, 1 in")),
        ("tee T-1, 1/2\n            plug", ("reducing tee, solder", "3/4 x 3/4 x 1/2, 7/8 in, 1 in")),
        ("tee T-1, 1/2\n            plug", ("reducing tee, solder", "3/4 x 1/2, 7/8 in")),
        ("tee T-1, 1/2\n            plug", ("reducing tee, solder", "3/4, 7/8 in")),
        ("tee T-1, 1/2\n            plug", ("reducing tee", "3/4 x 1/2, 7/8 in")),
        ("tee T-1, 3/4\n            plug", ("tee, solder", "3/4, 7/8 in")),
        ("union", ("union, solder", "3/4, 1-3/4 in")),
        ("union", ("union", "3/4, 1-3/4 in")),
    ],
)
def test_what_the_file_says_is_taken_off(item: str, said: tuple[str, str]) -> None:
    row = between(made(item, said))
    assert row.cells["cut"] == Fraction(20) - 1 + Fraction(3, 4) - Fraction(7, 8) + Fraction(3, 4)
    assert between(made(item)).cells["cut"] == NOT_IN_TABLES


def test_the_branch_of_a_reducing_tee_has_its_own_length() -> None:
    item = "tee T-1, 1/2\n            ball valve BV-3, solder\n            plug"
    (found,) = made(item, ("reducing tee, solder", "3/4 x 1/2, 7/8 in, 1 in")).tables(["closing"])
    (row,) = [row for row in found.rows if row.cells["from"] == "T-1" and row.cells["to"] == "BV-3"]
    # 1 in to the end of the branch and half of the valve, 2 in.
    assert row.cells["take_outs"] == 2


@pytest.mark.parametrize("line", ["3/4 x 1/2, 1 in", "1/2 x 3/4, 1 in", "3/4, 1 in"])
def test_a_reducer_goes_by_its_two_sizes_in_any_order(line: str) -> None:
    item = "control valve TCV-1, 1/2, solder"
    lengths = ("control valve, solder", "1/2, 3 in"), ("reducer, solder", line)
    row = between(made(item, *lengths))
    # 20 in, less half of BV-1, half of TCV-1, the reducer and a pup of 3 in, and four cups that pipe goes into: two of
    # 3/4 and two of 1/2.
    assert row.cells["cut"] == Fraction(20) - 1 - Fraction(3, 2) - 1 - 3 + 2 * Fraction(3, 4) + 2 * Fraction(1, 2)
    assert between(made(item, lengths[0])).cells["cut"] == NOT_IN_TABLES


def test_fittings_that_come_by_themselves_are_known_by_their_own_names() -> None:
    for kind in ("solder adapter to female thread", "solder union, solder", "grooved flange adapter"):
        found = made("union", (kind, "3/4, 1 in")).findings
        assert "unknown-kind" not in {finding.rule for finding in found}


def test_weights_go_by_the_same_names() -> None:
    text = TEXT.format(item="union") + "weights of union, solder\n    3/4, 0.4 lb\n"
    compilation = compile_text(text, name="test.hookup")
    unions = [c for c in compilation.hookups[0].components() if "union" in c.kind.name]
    assert unions and {c.weight_lb for c in unions} == {0.4}


@pytest.mark.parametrize("line", ["3/4 x 1/2, 1 in, 2 in, 3 in", "3/4 x 1/2 x 1/2, 1 in", "3/4 x 1/2"])
def test_lines_that_say_something_else_are_found(line: str) -> None:
    found = made("union", ("reducing tee, solder", line)).findings
    assert "quantity-missing" in {finding.rule for finding in found if finding.severity == "error"}
