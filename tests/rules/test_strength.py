"""The design pressure of a service against what its parts bear."""

from pathlib import Path

from coilwright import compile_text
from coilwright.model.finding import Finding

CASE = (Path(__file__).parent / "cases" / "design-over-rating.pass.hookup").read_text(encoding="utf-8")


def over(text: str) -> list[Finding]:
    return [f for f in compile_text(text).findings if f.rule == "design-over-rating"]


def test_it_is_said_once_with_the_weakest_parts_first() -> None:
    (one,) = over(CASE.replace("200 psi", "700 psi"))
    assert one.severity == "must"
    assert one.message == "`chilled-water` is designed for 700 psi at 100 F, and `ST-1` is good for 200 psi"
    assert [note.text.split(" psi")[0] for note in one.notes] == ["200", "285", "300"]
    assert "`ST-1`, `FB-1`" in one.notes[0].text and one.about[:1] == ("ST-1",)


def test_parts_bear_less_in_the_heat() -> None:
    # ASME B16.1, class 125: 200 psi to 150 F, 190 psi to 200 F.
    assert over(CASE) == [] and over(CASE.replace("100 degF", "150 degF")) == []
    (one,) = over(CASE.replace("100 degF", "180 degF"))
    assert "200 psi at 180 F, and `ST-1` is good for 190 psi" in one.message


def test_a_coil_says_itself_what_it_bears() -> None:
    (one,) = over(CASE.replace("        return high", "        rated 150 psi\n        return high"))
    assert "`CC` is good for 150 psi" in one.message
