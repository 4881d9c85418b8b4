"""Which way every straight runs, said or taken."""

from __future__ import annotations

from ..model.hookup import Hookup, Link

#: The direction of a branch whose file does not say it: drains hang, vents stand. Common practice, no source.
_USUAL = {"drain": "down", "vent": "up"}


def headings(hookup: Hookup) -> list[tuple[str, bool]]:
    """The direction of every straight, and whether it is only taken to be so.

    A line that has not said any yet runs as it will first say. A branch that says none hangs if it drains and stands
    if it vents; any other leaves its line upward, or toward the reader from a riser.
    """
    first: dict[str, str] = {}
    for link in hookup.straights:
        if link.port_a in ("branch", "bypass"):
            continue
        if link.heading and link.heading != "offset":
            first.setdefault(link.line, link.heading)
    said: dict[str, tuple[str, bool]] = {}  # by component: how the line arrives there
    made = []
    for link in hookup.straights:
        heading, taken = link.heading, False
        if not heading and link.port_a not in ("branch", "bypass"):
            heading, taken = said.get(link.a, (first.get(link.line, ""), False))
        if not heading and link.port_a in ("branch", "bypass"):
            heading, taken = _usual(hookup, link, said), True
        if link.port_b == "in" and heading != "offset":
            said[link.b] = (heading, taken)
        elif link.port_b == "in":
            said[link.b] = (_along(link), False)
        made.append((heading, taken))
    return made


def _along(link: Link) -> str:
    return next((m.along for m in link.moves if m.along), "")


def _usual(hookup: Hookup, link: Link, said: dict[str, tuple[str, bool]]) -> str:
    role = hookup.component(link.b).role
    usual = _USUAL.get(role, "up")
    arrives = said.get(link.a, (hookup.component(link.a).heading, False))[0]
    return "toward" if arrives in ("up", "down") else usual
