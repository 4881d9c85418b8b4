"""`docs/rules.md`, written from the registry: `python -m coilwright.rules.document > docs/rules.md`."""

from __future__ import annotations

from .registry import Rule, all_rules

_HEAD = """# Rules

Written from the registry by `python -m coilwright.rules.document > docs/rules.md`; a test fails when it is stale.

`must`: the hookup does not do its work, or somebody can be hurt. `should`: the trade asks for it. `note`: worth
knowing. Local codes, the engineer of record and licensed practice decide; a rule that finds nothing is no approval.
The sources were read second-hand in public documents; `docs/sources.md` says where.
"""


def document() -> str:
    """The page."""
    return "\n".join([_HEAD, *(_section(rule) for rule in all_rules().values())])


def _section(rule: Rule) -> str:
    sources = "\n".join(f"- {source}" for source in rule.sources)
    return (
        f"## {rule.name}\n\n**{rule.severity}**: {rule.asks}.\n\n{rule.why}\n\nTo mend it: {rule.mend}.\n\n"
        f"Sources ({rule.agreement}):\n\n{sources}\n"
    )


if __name__ == "__main__":
    print(document(), end="")
