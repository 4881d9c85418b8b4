"""What the browsers are told: which page there is, and what was found since."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Sequence
from dataclasses import asdict, dataclass

from ..model.finding import Finding
from ..report.excerpt import Sources, excerpt
from ..report.plain import visible

#: A page with more mistakes than this is not read to the end; the page says how many more there are.
MOST_TOLD = 100


@dataclass(frozen=True, slots=True)
class Told:
    """A finding as text. `excerpt`: its line of the file with what is meant marked below, empty without one."""

    severity: str
    place: str
    message: str
    rule: str
    help: str
    excerpt: str


@dataclass(frozen=True, slots=True)
class State:
    """`page` names the page that is served; `said` sums up the findings of the last save.

    `stale`: the last save cannot be compiled, and the page is an older one; `mistakes` then say why, `more` how many
    are not among them.
    """

    page: str
    said: str
    stale: bool = False
    mistakes: tuple[Told, ...] = ()
    more: int = 0

    def event(self) -> str:
        """As one server-sent event (HTML Living Standard, section 9.2)."""
        return f"event: state\ndata: {json.dumps(asdict(self), ensure_ascii=True)}\n\n"


def told(findings: Sequence[Finding], sources: Sources) -> tuple[Told, ...]:
    """Findings as text, with nothing in it that turns or breaks a line."""
    return tuple(_told(finding, sources) for finding in findings[:MOST_TOLD])


def _told(finding: Finding, sources: Sources) -> Told:
    line, marks = excerpt(finding.span, sources) or ("", "")
    shown = f"{visible(line.rstrip())}\n{marks}" if line else ""
    return Told(
        finding.severity,
        visible(str(finding.span)),
        visible(finding.message),
        finding.rule,
        visible(finding.help or ""),
        shown,
    )


class Feed:
    """The newest state, for any number of readers. A slow reader misses states, never the newest."""

    def __init__(self, state: State) -> None:
        self.state = state
        self._changed = asyncio.Event()
        self._closed = False

    def put(self, state: State) -> None:
        """Tell all readers."""
        self.state = state
        self._wake()

    def close(self) -> None:
        """End all readers."""
        self._closed = True
        self._wake()

    def _wake(self) -> None:
        self._changed.set()
        self._changed = asyncio.Event()

    async def states(self) -> AsyncIterator[State]:
        """The state there is, then every new one, until the feed is closed."""
        last: State | None = None
        while not self._closed:
            changed = self._changed
            if self.state is not last:
                last = self.state
                yield last
            else:
                await changed.wait()
