"""The list of hands: the coils', and of all else only what changes with the hand."""

from coilwright import compile_text
from coilwright.model.table import Table

FILE = """\
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
typical ah, drawn with airflow left to right
    coil CC-* on chilled-water
        supply low at leaving side, 3 flanged
        return high at entering side, 3 flanged
    supply to CC-*, 3
        from main CHS
        up 2 ft
        left 2 ft
        balancing valve FB-*01
        away 2 ft
    return from CC-*, 3
        to main CHR
"""
DRAWN, OTHER = "unit A-1 is ah, airflow left to right\n", "unit A-2 is ah, airflow right to left\n"


def listed(text: str) -> Table:
    (table,) = compile_text(text, name="hands.hookup").tables(["hands"])
    return table


def rows(text: str) -> list[tuple[object, ...]]:
    return [tuple(row.cells[key] for key in ("units", "what", "where", "drawn", "built")) for row in listed(text).rows]


def test_a_unit_that_is_built_as_drawn_has_the_hand_of_its_coil_alone() -> None:
    assert rows(FILE + DRAWN) == [("A-1", "coil", "CC-*", "right hand", "right hand")]


def test_of_the_other_hand_only_what_changes_is_listed() -> None:
    found = rows(FILE + DRAWN + OTHER)
    assert ("A-2", "coil", "CC-*", "right hand", "left hand") in found
    moves = [row for row in found if row[1] == "move"]
    assert moves == [("A-2", "move", "supply to CC-*, line 12", "left", "right")], "neither `up` nor `away`"
    assert ("A-2", "balancing valve", "FB-*01", "as drawn", "mirrored") in found


def test_the_note_says_so() -> None:
    assert any("only those that are built otherwise than drawn" in note for note in listed(FILE + DRAWN).notes)
