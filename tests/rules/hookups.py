"""Small hookups for the tests of rules: one coil, with what stands on its two legs."""

from collections.abc import Iterable
from textwrap import indent

from coilwright import Compilation, compile_text
from coilwright.model.finding import Finding

#: What small hookups leave out on purpose: the trim that a whole coil has. Rules on it have cases of their own.
LEFT_OUT = frozenset(
    {
        "balancing-missing",
        "blocked-in-liquid",
        "blocked-in-water-indoors",
        "control-valve-missing",
        "disc-hits-neighbour",
        "drain-missing-behind-valve",
        "fill-pair-missing",
        "length-not-in-tables",
        "small-strainer-without-blowdown",
        "strainer-missing",
        "strainer-without-blowdown",
        "test-port-missing",
        "threaded-item-trapped",
    }
)

HEAD = """\
service chilled-water
    water
    design 125 psi, 40 degF to 100 degF
    spec {spec}

typical fan-coil, drawn with airflow left to right
    coil CC on chilled-water
        supply {supply_level} at leaving side, {end}
        return {return_level} at entering side, {end}
"""


def hookup(
    supply: str,
    back: str,
    *,
    size: str = "3/4",
    end: str = "",
    spec: str = "steel-threaded",
    levels: tuple[str, str] = ("low", "high"),
    coil: str = "",
    more: str = "",
) -> str:
    """The text of a hookup. `supply` and `back` are the items between main and coil, in flow order, one a line; `coil`
    holds more lines of the coil's block, `more` more lines of the typical."""
    text = HEAD.format(spec=spec, supply_level=levels[0], return_level=levels[1], end=end or f"{size} male thread")
    text += indent(_lines(coil), " " * 8)
    text += f"    supply to CC, {size}\n        from main CWS\n{indent(_lines(supply), ' ' * 8)}"
    text += f"    return from CC, {size}\n{indent(_lines(back), ' ' * 8)}        to main CWR\n"
    return text + indent(_lines(more), " " * 4) + "\nunit FC-1 is fan-coil, airflow left to right\n"


def _lines(text: str) -> str:
    """Lines parted by `; ` or line ends, each with a line end; `>` at the start of one is a block deeper."""
    rows = [row for row in text.replace("; ", "\n").split("\n") if row.strip()]
    return "".join("    " * (len(row) - len(row.lstrip(">"))) + row.lstrip(">") + "\n" for row in rows)


def compiled(text: str) -> Compilation:
    result = compile_text(text, name="case.hookup")
    assert not result.broken, [f"{f.span}: {f.message}" for f in result.findings]
    return result


def left_in(text: str) -> list[Finding]:
    """The findings of a hookup, without those on trim that it leaves out."""
    return [f for f in compiled(text).findings if f.rule not in LEFT_OUT]


def rules_found(text: str) -> list[str]:
    """The names of the rules that a hookup breaks, sorted, one for each finding, but for the trim it leaves out."""
    return sorted(f.rule for f in left_in(text))


def found_by(text: str, rules: Iterable[str]) -> list[str]:
    """Those among some rules."""
    return [name for name in rules_found(text) if name in set(rules)]
