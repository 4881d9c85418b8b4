"""Hangers with nothing between them are no gap to judge."""

from __future__ import annotations

from coilwright import compile_text

TEXT = """\
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
unit AH-1, airflow left to right
    coil CC on chilled-water
        supply low, 3 flanged
        return high, 3 flanged
    supply to CC, 3
        from main CHS
        left 4 ft
        hanger
        butterfly valve BV-1
        hanger
        left
        hanger
        drain
    return from CC, 3
        vent 1/2
        right 4 ft
        hanger
        hanger
        butterfly valve BV-2
        to main CHR
"""


def test_no_rule_fails_on_them() -> None:
    assert "rule-failed" not in {finding.rule for finding in compile_text(TEXT).findings}
