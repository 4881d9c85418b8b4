"""Small hookups for the tests of passes: one coil, one supply line, and what stands on it."""

from __future__ import annotations

from coilwright import Compilation, compile_text
from coilwright.model.hookup import Component, Hookup

SERVICE = """
service chilled
    water
    design 125 psi, 42 degF to 100 degF
    spec {spec}
"""

RETURN = """
    return from CC, {size}
        vent 1/2
        {valve}
        to main CHR
"""


def hookup_text(
    steps: str, port: str = "4 flanged", size: str = "4", spec: str = "steel-welded", headers: str = "steel",
    extra: str = "",
) -> str:  # fmt: skip
    """A whole file with one coil, its supply line made of `steps` (from main to coil), and a plain return."""
    body = "\n".join("        " + line for line in steps.strip().splitlines())
    return f"""{extra}
service chilled
    water
    spec {spec}

typical one, drawn with airflow left to right
    coil CC on chilled
        supply low, {port}
        return high, {port}
        headers {headers}
    supply to CC, {size}
        from main CHS
{body}
    return from CC, {size}
        to main CHR
unit AH-1 is one, number 1
"""


def compiled(steps: str, **options: str) -> Compilation:
    """The compilation of `hookup_text`, which must have no errors."""
    made = compile_text(hookup_text(steps, **options), name="test.hookup")
    errors = [f"{f.span}: {f.message}" for f in made.findings if f.severity == "error"]
    assert not errors, errors
    return made


def chain(made: Compilation, line: str = "supply to CC") -> list[str]:
    """What stands along a line in flow order, joints between: `slip-on flange 4`, `= bolted`, `butterfly valve 4` …"""
    hookup = made.hookups[0]
    at = "main CHS" if line.startswith("supply") else "CC"
    said = [name(hookup.component(at))]
    seen = {at}
    while True:
        ways = [
            (v, d["joint"]) for _, v, d in hookup.graph.out_edges(at, data=True)
            if v not in seen and d["joint"].line == line and d["joint"].port_a not in ("branch", "bypass")
        ]  # fmt: skip
        if not ways:
            return said
        at, joint = ways[0]
        seen.add(at)
        said += [f"= {joint.kind}{' with kit' if joint.kit else ''}", name(hookup.component(at))]


def name(component: Component) -> str:
    """Kind and sizes of a component."""
    if component.kind.ports in ("coil", "main"):
        return component.kind.name
    sizes = str(component.size)
    if component.branch_size not in (None, component.size) and component.kind.group == "fittings":
        sizes += f" x {component.branch_size}"
    return f"{component.kind.name} {sizes}"


def only(made: Compilation, kind: str) -> list[Component]:
    """All components of a kind, over all hookups."""
    return [c for hookup in made.hookups for c in hookup.components() if c.kind.name == kind]


def rules(made: Compilation) -> list[str]:
    """The names of all findings, sorted."""
    return sorted(f.rule for f in made.findings)


__all__ = ["Hookup", "chain", "compiled", "hookup_text", "name", "only", "rules"]
