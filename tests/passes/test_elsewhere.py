"""Words that belong elsewhere in a file: told where."""

import pytest
from coilwright import compile_text

from .hookups import hookup_text


@pytest.mark.parametrize(("wrong", "help"), [("at 30", "`up 30 in`"), ("pipe in 21 lengths", "`takeoff` block")])
def test_what_is_said_elsewhere_is_told_where(wrong: str, help: str) -> None:
    [finding] = compile_text(hookup_text(wrong)).findings
    assert finding.rule == "unknown-kind" and help in finding.help
