"""How a piece of pipe is drawn: its pattern tells the service, in a lineup its weight tells whether it flows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..analysis.lineups import Standing
from ..model.hookup import Hookup
from .cells import Pipe

#: Dashes by service, in the order of the file; a hookup of more services goes round again (all are named as well).
_PATTERNS = ("", "9 4", "9 3 2 3", "3 3", "14 4 3 4 3 4")
_SHUT_IN_PATTERN = "1.5 3.5"
_LINE, _BRANCH, _FLOWS = 1.8, 1.2, 3.0


@dataclass(frozen=True, slots=True)
class Look:
    """How a pipe looks. `way`: 1 with its arrow, -1 against it, 0 either way; None: nothing flows. `soft`: grey."""

    dashes: str
    weight: float
    soft: bool = False
    way: int | None = 1


class Looks:
    """The looks of a hookup's pipes as drawn, or as they stand in a lineup.

    `legend` holds what was used: the words and the look of each, in the order of the file.
    """

    def __init__(self, hookup: Hookup, standing: Standing | None = None) -> None:
        self._hookup, self._standing = hookup, standing
        used = dict.fromkeys(c.service for c in hookup.components() if c.kind.ports in ("coil", "main"))
        order = [service for service in hookup.services if service in used]
        self._number: dict[tuple[str, ...], int] = {(service,): n for n, service in enumerate(order)}
        self._seen: dict[tuple[str, ...], None] = {}
        self._weights: set[float] = set()

    def of(self, pipe: Pipe) -> Look:
        """The look of a pipe."""
        if self._standing is None:
            service = next((s for id in pipe.ids if (s := self._hookup.component(id).service)), "")
            self._seen[(service,)] = None
            return Look(self._dashes((service,)), _BRANCH if pipe.thin else _LINE)
        carries = self._carries(self._standing, pipe.ids)
        self._seen[carries] = None
        flows, way = (False, 0) if pipe.thin else self._flows(self._standing, pipe.ids)
        self._weights.add(_FLOWS if flows else _BRANCH)
        return Look(self._dashes(carries), _FLOWS if flows else _BRANCH, not carries, way if flows else None)

    @property
    def legend(self) -> list[tuple[str, Look]]:
        """What the looks stand for."""
        seen = sorted(self._seen, key=lambda services: (self._number.get(services, len(self._number)), services))
        entries = [
            (" and ".join(services) or "shut in: no main reaches it", Look(self._dashes(services), _LINE, not services))
            for services in seen
        ]
        if self._standing is not None:
            words = ((_FLOWS, "thick: it flows"), (_BRANCH, "thin: it stands (dead leg)"))
            entries += [(text, Look("", weight)) for weight, text in words if weight in self._weights]
        return entries

    def _dashes(self, services: tuple[str, ...]) -> str:
        if not services:
            return _SHUT_IN_PATTERN
        return _PATTERNS[self._number.setdefault(services, len(self._number)) % len(_PATTERNS)]

    @staticmethod
    def _carries(standing: Standing, ids: Sequence[str]) -> tuple[str, ...]:
        """The services that stand in the piece that all of `ids` border on or lie in."""
        net = standing.network
        inside = next((id for id in ids if id in net.home), None)
        if inside is not None:
            return standing.carries.get(standing.group[net.home[inside]], ())
        common = set.intersection(*(set(net.sides(id)) for id in ids))
        return standing.carries.get(standing.group[min(common)], ()) if common else ()

    @staticmethod
    def _flows(standing: Standing, ids: Sequence[str]) -> tuple[bool, int]:
        net = standing.network
        along = next((id for id in ids if id in net.chain_of), None)
        if along is not None:
            return standing.flowing(along)
        ends = set(ids)
        directions = standing.flow().directions()
        bare = [n for n, chain in enumerate(net.chains) if not chain.steps and {chain.a, chain.b} == ends]
        return any(n in directions for n in bare), 0
