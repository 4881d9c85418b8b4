"""Small hookups written as items, for cases worked by hand."""

from coilwright import Compilation, compile_text
from coilwright.analysis.lineups import Lineups, worked_out
from coilwright.analysis.sections import Sections
from coilwright.model.hookup import Hookup

HEAD = """\
service chilled-glycol
    propylene glycol, 30 % by volume
    design 125 psi, 24 degF to 100 degF
    spec steel-threaded

service well-water
    water
    design 100 psi, 48 degF to 90 degF
    spec steel-threaded

typical pair
"""
MAINS = {"chilled-glycol": ("CGS", "CGR"), "well-water": ("WWS", "WWR")}


def hookup(coils: dict[str, tuple[str, str, str]], more: str = "", *, size: str = "1", holds: str = "") -> str:
    """The text of a hookup. `coils`: tag -> (service, items of the supply, items of the return), items parted by `; `;
    `more`: further lines of the typical, as they stand."""
    text = HEAD
    for tag, (service, _, _) in coils.items():
        text += f"    coil {tag} on {service}\n        supply low, {size} male thread\n"
        text += f"        return high, {size} male thread\n{holds}"
    for tag, (service, supply, back) in coils.items():
        first, last = MAINS[service]
        text += f"    supply to {tag}, {size}\n        from main {first}\n{_lines(supply)}"
        text += f"    return from {tag}, {size}\n{_lines(back)}        to main {last}\n"
    return text + more + "\nunit U-1 is pair, number 1\n"


def _lines(items: str) -> str:
    return "".join(f"        {item}\n" for item in items.split("; ") if item)


def compiled(text: str) -> Compilation:
    made = compile_text(text, name="case.hookup")
    assert not made.broken, [f"{f.span}: {f.message}" for f in made.findings if f.severity == "error"]
    return made


def engine(text: str) -> tuple[Hookup, Sections, Lineups]:
    (one,) = compiled(text).hookups
    sections = Sections(one)
    return one, sections, worked_out(one, sections)


#: Glycol and well water, joined by two crossovers of two shut valves with a drain between, and two lineups.
PAIR = hookup(
    {
        "PRE": ("well-water", "ball valve BV-3; tee T-3; drain 3/4", "vent 1/2; tee T-4; ball valve BV-4"),
        "TRIM": ("chilled-glycol", "ball valve BV-1; tee T-1; drain 3/4", "vent 1/2; tee T-2; ball valve BV-2"),
    },
    """\
    crossover from T-1 to T-3, 1
        ball valve XV-1, normally closed
        drain 3/4
        vent 1/2
        ball valve XV-3, normally closed
    crossover from T-2 to T-4, 1
        ball valve XV-2, normally closed
        drain 3/4
        vent 1/2
        ball valve XV-4, normally closed
    lineup "separate"
        expect PRE on well-water
        expect TRIM on chilled-glycol
    lineup "glycol on both"
        closed BV-3, BV-4
        open XV-1, XV-2, XV-3, XV-4
        expect PRE on chilled-glycol
""",
)
