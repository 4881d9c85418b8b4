"""Small hookups drawn at random and walked in the plainest way, without anything of the compiler.

A hookup is points and ways between them. A way is a piece of pipe (level, rising or falling), a valve, a check valve, a
strainer or a coil; a drain, vent or tee is a point with something on it. Everything asked of it is found by walking all
ways, one after the other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import combinations, pairwise

from hypothesis import strategies as st

SERVICES = {"a": "chilled-glycol", "b": "well-water"}
MAINS = {"a": ("CGS", "CGR"), "b": ("WWS", "WWR")}

HEAD = """\
service chilled-glycol
    propylene glycol, 30 % by volume
    spec steel-threaded

service well-water
    water
    spec steel-threaded

typical pair
"""


@dataclass(frozen=True)
class Way:
    """From one point to another: `rise` of the second over the first; `valve`: it can be shut."""

    a: int
    b: int
    tag: str = ""
    rise: int = 0
    valve: bool = False
    closed: bool = False  # normally
    check: bool = False
    coil: bool = False


@dataclass
class Plain:
    """A hookup: its text, and its points and ways. `mains`: point -> (service, supply?)."""

    text: str = ""
    ways: list[Way] = field(default_factory=list)
    points: int = 0
    mains: dict[int, tuple[str, bool]] = field(default_factory=dict)
    opens: dict[int, set[str]] = field(default_factory=dict)  # drains and vents by point
    coils: dict[str, tuple[int, int]] = field(default_factory=dict)
    carries: dict[str, str] = field(default_factory=dict)  # coil -> service
    lineups: list[tuple[str, set[str], set[str], list[tuple[str, str]]]] = field(default_factory=list)

    def point(self) -> int:
        self.points += 1
        return self.points - 1

    # -- walks --------------------------------------------------------------------------------------------------

    def shut_in(self, opened: set[str], closed: set[str]) -> set[str]:
        """The tags of the valves that are shut."""
        return {w.tag for w in self.ways if w.valve and ((w.closed and w.tag not in opened) or w.tag in closed)}

    def reach(self, starts: set[int], passes: Callable[[Way], bool]) -> set[int]:
        found, todo = set(starts), list(starts)
        while todo:
            at = todo.pop()
            for way in self.ways:
                if at in (way.a, way.b) and passes(way):
                    other = way.b if at == way.a else way.a
                    if other not in found:
                        found.add(other)
                        todo.append(other)
        return found

    def services(self, shut: set[str]) -> dict[int, set[str]]:
        """The services whose liquid stands at every point."""
        found: dict[int, set[str]] = {p: set() for p in range(self.points)}
        for main, (service, _) in self.mains.items():
            for point in self.reach({main}, lambda w: w.tag not in shut):
                found[point].add(service)
        return found

    def paths(self, starts: set[int], goals: set[int], passes: Callable[[Way, int], bool]) -> Iterator[list[Way]]:
        """All ways from some mains to others that meet no point twice and no main on the way."""
        for start in starts:
            stack: list[tuple[int, frozenset[int], list[Way]]] = [(start, frozenset((start,)), [])]
            while stack:
                at, seen, path = stack.pop()
                if at in goals:
                    yield path
                    continue
                if at in self.mains and path:
                    continue
                for way in self.ways:
                    if at in (way.a, way.b) and passes(way, at):
                        other = way.b if at == way.a else way.a
                        if other not in seen:
                            stack.append((other, seen | {other}, [*path, way]))

    def flows(self, shut: set[str], service: str = "") -> Iterator[list[Way]]:
        """All ways from a supply to a return main; check valves pass from `a` to `b` only."""
        mains = {p: supply for p, (name, supply) in self.mains.items() if service in ("", name)}
        supplies, returns = ({p for p, supply in mains.items() if supply is want} for want in (True, False))
        return self.paths(supplies, returns, lambda w, at: w.tag not in shut and (not w.check or at == w.a))

    # -- questions ----------------------------------------------------------------------------------------------

    def least_shut(self, shut: set[str]) -> int | None:
        """The fewest shut valves on a way between the two services, None if no way joins them."""
        ends = [{p for p, (name, _) in self.mains.items() if name == s} for s in SERVICES.values()]
        counts = [sum(w.tag in shut for w in path) for path in self.paths(ends[0], ends[1], lambda w, at: True)]
        return min(counts, default=None)

    def least_parting(self) -> int | None:
        """How many valves must be shut to part the two services; None if no valves do."""
        ends = [{p for p, (name, _) in self.mains.items() if name == s} for s in SERVICES.values()]
        tags = [w.tag for w in self.ways if w.valve]
        for count in range(len(tags) + 1):
            for some in combinations(tags, count):
                if not self.reach(ends[0], lambda w, some=some: w.tag not in some) & ends[1]:  # type: ignore[misc]
                    return count
        return None

    def is_bled(self, shut: set[str]) -> bool:
        """Whether every way between the services has a drain or vent between two shut valves on it."""
        ends = [{p for p, (name, _) in self.mains.items() if name == s} for s in SERVICES.values()]
        for path in self.paths(ends[0], ends[1], lambda w, at: True):
            walls = [n for n, w in enumerate(path) if w.tag in shut]
            between = []
            for first, second in pairwise(walls):
                ends_of_first = {path[first].a, path[first].b}
                nxt = path[first + 1]
                inside = ({nxt.a, nxt.b} & ends_of_first) if first + 1 <= second else set()
                piece = self.reach(inside, lambda w: w.tag not in shut)
                fed = piece & self.mains.keys()
                between.append(not fed and any(self.opens.get(p) for p in piece))
            if not any(between):
                return False
        return True

    def open_legs(self) -> set[tuple[str, str]]:
        """The (coil, leg) from which a main or another coil is reached with every valve shut; coils of one service that
        share their shutoffs, all of them off their mains, are not open to each other in this sense."""
        found = set()
        for coil, (supply, back) in self.coils.items():
            for leg, start in (("supply", supply), ("return", back)):
                reached = self.reach({start}, lambda w: not w.valve and not w.coil)
                off = not self.reach({start}, lambda w: not w.valve) & self.mains.keys()
                others = {
                    point
                    for other, ends in self.coils.items()
                    if other != coil and not (off and self.carries[other] == self.carries[coil])
                    for point in ends
                }
                if reached & (self.mains.keys() | (others - {supply, back})):
                    found.add((coil, leg))
        return found

    def stays(self, opening: str) -> int:
        """How many low points have no drain (high points no vent) in the pieces between shut valves."""
        sign = 1 if opening == "drain" else -1
        count = 0
        left = set(range(self.points))
        while left:
            piece = self.reach({min(left)}, lambda w: not w.valve)
            left -= piece
            valves = [w for w in self.ways if w.valve and (w.a in piece) != (w.b in piece)]
            valves += [w for w in self.ways if w.valve and w.a in piece and w.b in piece] * 2
            coils = any(ends[0] in piece for ends in self.coils.values())
            if piece & self.mains.keys() or (len(valves) == 1 and not coils):
                continue
            run = {p: self._run(p, sign) for p in piece}
            sinks = {frozenset(run[p]) for p in piece if all(run[q] == run[p] for q in run[p])}
            count += sum(not any(opening in self.opens.get(p, ()) for p in sink) for sink in sinks)
        return count

    def _run(self, start: int, sign: int) -> set[int]:
        """Where water from a point can come to without rising (`sign` 1), or air without falling (-1)."""
        found, todo = {start}, [start]
        while todo:
            at = todo.pop()
            for way in self.ways:
                if way.valve or way.check or at not in (way.a, way.b):
                    continue
                other, rise = (way.b, way.rise) if at == way.a else (way.a, -way.rise)
                if sign * rise <= 0 and other not in found:
                    found.add(other)
                    todo.append(other)
        return found


#: What a crossover may hold.
ACROSS = (
    (), ("valve",), ("closed valve",), ("closed valve", "drain", "closed valve"), ("closed valve", "closed valve"),
    ("closed valve", "vent", "valve"), ("check",), ("check", "closed valve"),
    ("closed valve", "drain", "vent", "closed valve"),
)  # fmt: skip


# -- drawing one at random ---------------------------------------------------------------------------------------------


@st.composite
def hookups(draw: st.DrawFn, *, checks: bool = True) -> Plain:
    """Up to three coils, each on one of two services, up to three crossovers, up to two lineups."""
    plain = Plain()
    number = iter(range(1, 1000))
    words = [
        "valve",
        "valve",
        "closed valve",
        "drain",
        "vent",
        "strainer",
        "up",
        "down",
        *(["check"] if checks else []),
    ]
    leg = st.lists(st.sampled_from(words), max_size=4)
    coils = draw(st.sampled_from([["a", "b"], ["a", "b"], ["a", "a"], ["a"], ["a", "b", "b"]]))
    legs = [(coil, service, side, draw(leg)) for coil, service in enumerate(coils) for side in ("supply", "return")]
    tees: list[list[str]] = []
    count = draw(st.sampled_from((2, 1, 3, 0)))
    for _ in range(count):
        pair = []
        for _ in range(2):
            tag = f"T-{next(number)}"
            line = legs[draw(st.integers(0, len(legs) - 1))][3]
            line.insert(draw(st.integers(0, len(line))), tag)
            pair.append(tag)
        tees.append(pair)
    at: dict[str, int] = {}  # tees
    text = HEAD
    points: dict[tuple[int, str], tuple[int, int]] = {}
    main_points: dict[str, int] = {}
    lines = ""
    for coil, service, side, items in legs:
        tag = f"C-{coil + 1}"
        main = MAINS[service][side == "return"]
        if main not in main_points:
            main_points[main] = plain.point()
            plain.mains[main_points[main]] = (SERVICES[service], side == "supply")
        start = main_points[main] if side == "supply" else plain.point()
        body, end = _lay(plain, items, start, number, at)
        if side == "supply":
            points[coil, side] = (start, end)
            lines += f"    supply to {tag}, 3/4\n        from main {main}\n{body}"
        else:
            points[coil, side] = (start, end)
            plain.ways.append(Way(end, main_points[main]))
            lines += f"    return from {tag}, 3/4\n{body}        to main {main}\n"
    for coil, service in enumerate(coils):
        tag = f"C-{coil + 1}"
        ends = (points[coil, "supply"][1], points[coil, "return"][0])
        plain.coils[tag], plain.carries[tag] = ends, SERVICES[service]
        plain.ways.append(Way(*ends, tag=tag, rise=1, coil=True))
        text += f"    coil {tag} on {SERVICES[service]}\n        supply low, 3/4 male thread\n"
        text += "        return high, 3/4 male thread\n"
    text += lines
    for first, second in tees:
        items = list(draw(st.sampled_from(ACROSS if checks else [a for a in ACROSS if "check" not in a])))
        body, end = _lay(plain, items, at[first], number, at)
        plain.ways.append(Way(end, at[second]))
        text += f"    crossover from {first} to {second}, 3/4\n{body}"
    tags = [w.tag for w in plain.ways if w.valve]
    for name in ("one", "two")[: draw(st.integers(0, 2))]:
        said = {tag: draw(st.sampled_from(("open", "closed", "", ""))) for tag in tags}
        opened, closed = ({tag for tag, word in said.items() if word == want} for want in ("open", "closed"))
        expect = [
            (coil, service)
            for coil in plain.coils
            if (service := draw(st.sampled_from(("", *(SERVICES[s] for s in dict.fromkeys(coils))))))
        ]
        plain.lineups.append((name, opened, closed, expect))
        text += f'    lineup "{name}"\n'
        for word, some in (("open", opened), ("closed", closed)):
            text += f"        {word} {', '.join(sorted(some))}\n" if some else ""
        text += "".join(f"        expect {coil} on {service}\n" for coil, service in expect)
        if not (opened or closed or expect):
            text += "        expect C-1 on chilled-glycol\n"
            expect.append(("C-1", "chilled-glycol"))
    plain.text = text + "\nunit U-1 is pair\n"
    return plain


def _lay(plain: Plain, items: list[str], at: int, number: Iterator[int], tees: dict[str, int]) -> tuple[str, int]:
    """Items one after the other from a point on; their lines, and the point at the end."""
    body = ""

    def step(**more: object) -> int:
        end = plain.point()
        plain.ways.append(Way(at, end, **more))  # type: ignore[arg-type]
        return end

    for item in items:
        tag = ""
        if item in ("up", "down"):
            at = step(rise=1 if item == "up" else -1)
            body += f"        {item} 1 ft\n        left 1 ft\n"
            continue
        if item.startswith("T-"):
            at = step()
            tees[item] = at
            body += f"        tee {item}\n"
            continue
        if item in ("drain", "vent"):
            at = step()
            plain.opens.setdefault(at, set()).add(item)
            body += f"        {item} {'3/4' if item == 'drain' else '1/2'}\n"
            continue
        closed = item == "closed valve"
        if item.endswith("valve"):
            tag = f"BV-{next(number)}"
            at = step(tag=tag, valve=True, closed=closed)
            body += f"        ball valve {tag}{', normally closed' if closed else ''}\n"
        elif item == "check":
            tag = f"CV-{next(number)}"
            at = step(tag=tag, check=True)
            body += f"        check valve {tag}\n"
        else:
            tag = f"ST-{next(number)}"
            at = step(tag=tag)
            body += f"        strainer {tag}\n"
    return body, at
