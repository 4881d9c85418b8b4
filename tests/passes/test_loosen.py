"""Unions where a threaded stretch is fixed at both ends. Common practice, no source."""

from __future__ import annotations

from .hookups import compiled, only

TIE = """
service a
    water
    spec {spec}
typical one
    coil CC on a
        supply low, {port}
        return high, {port}
        headers steel
    supply to CC, {size}
        from main CHS
        tee T-1, 3/4
        left 1 ft
    return from CC, {size}
        left 1 ft
        tee T-2, 3/4
        to main CHR
    bypass from T-1 to T-2, 3/4
        up 1 ft
        globe valve GL-1
        up 1 ft
"""


def test_small_threaded_tie_between_two_welded_headers_gets_one_union() -> None:
    from coilwright import compile_text

    made = compile_text(TIE.format(spec="steel-welded", port="4 flanged", size="4"))
    assert [str(c.size) for c in only(made, "union")] == ["3/4"]


def test_threaded_line_solid_at_the_coil_gets_a_union() -> None:
    spec = "spec ours, like steel-threaded\n    coil connections made up solid\n"
    made = compiled("ball valve BV-1\nleft 1 ft", port="2 female thread", size="2", spec="ours", extra=spec)
    supply = [c for c in only(made, "union") if c.line == "supply to CC"]
    assert len(supply) == 1


def test_union_at_the_coil_is_enough() -> None:
    made = compiled("ball valve BV-1\nleft 1 ft", port="2 female thread", size="2", spec="steel-threaded")
    assert len([c for c in only(made, "union") if c.line == "supply to CC"]) == 1


def test_drain_branch_needs_no_union() -> None:
    made = compiled("left 1 ft\ndrain 3/4\nleft 1 ft")
    assert only(made, "union") == []
