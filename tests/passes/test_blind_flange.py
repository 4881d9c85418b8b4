"""A blind flange closes the line that it ends; in mid-line it has to say that it is on an outlet."""

from coilwright import Compilation, compile_text

TEXT = """service chw
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
unit AH-1, airflow left to right
    coil CC on chw
        supply low, 3 flanged
        return high, 3 flanged
    supply to CC, 3
        from main CHS
        {middle}
        left 3 ft
    return from CC, 3
        up 3 ft
        {end}
"""


def made(middle: str, end: str = "to main CHR") -> Compilation:
    return compile_text(TEXT.format(middle=middle, end=end), name="test.hookup")


def blinds(compilation: Compilation) -> list[str]:
    found = (c for hookup in compilation.hookups for c in hookup.components())
    return [c.size.label for c in found if c.kind.name == "blind flange"]


def test_at_the_end_of_a_line_it_has_the_size_of_the_line() -> None:
    assert blinds(made("left 1 ft", end="blind flange")) == ["3"]


def test_in_mid_line_it_is_found() -> None:
    (found,) = [f for f in made("blind flange").findings if f.severity == "error"]
    assert found.rule == "nothing-passes" and found.span.line == 11
    assert "spectacle blind" in found.help and blinds(made("blind flange")) == []


def test_on_an_outlet_it_has_the_size_that_it_says() -> None:
    compilation = made("blind flange 2")
    assert not [f for f in compilation.findings if f.severity == "error"]
    assert blinds(compilation) == ["2"]
    assert blinds(made("tee T-1, 2-1/2\n            blind flange")) == ["2-1/2"]
