"""`docs/rules.md`, written from the registry: `python -m coilwright.rules.document > docs/rules.md`."""

from __future__ import annotations

from importlib.resources import files

from .registry import all_rules


def document() -> str:
    """The page."""
    from jinja2 import Environment, StrictUndefined

    text = (files(__package__) / "rules.md.jinja").read_text(encoding="utf-8")
    pages = Environment(trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True, undefined=StrictUndefined)
    return pages.from_string(text).render(rules=all_rules().values())


if __name__ == "__main__":
    print(document(), end="")
