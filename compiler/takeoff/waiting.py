"""What the cut list and the closing table say of pieces that wait for a length no table has."""

from __future__ import annotations

from collections.abc import Iterable

from ..analysis.unsaid_lengths import missing_on
from ..model.hookup import Hookup
from ..model.measured import Straight


def waits_for(hookup: Hookup, straights: Iterable[Straight]) -> tuple[str, ...]:
    """What some straights wait for, one sentence each; none if all their lengths are known.

    `FB-*01 has no length in the tables: say it by ...`
    """
    missing = [found for straight in straights for found in missing_on(hookup, straight)]
    said = (f"{c.tag or c.kind.name} has no length in the tables: say it by {line}" for c, line in missing)
    return tuple(dict.fromkeys(said))


def waiting_notes(hookups: Iterable[Hookup]) -> list[str]:
    """The lines that whole hookups wait for, for the foot of a list."""
    straights = ((h, straight) for h in hookups if h.measured is not None for straight in h.measured.straights)
    lines = dict.fromkeys(line for h, straight in straights for _, line in missing_on(h, straight))
    return [f"Pieces wait for lengths that are not in the tables: {'; '.join(lines)}."] if lines else []
