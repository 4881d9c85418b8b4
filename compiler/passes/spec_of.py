"""How a service is piped."""

from __future__ import annotations

from ..catalogue.declare import Declared
from ..catalogue.read_service import UNREAD
from ..model.declared import Spec
from ..model.finding import Finding, Findings
from ..model.nearest import nearest
from ..model.span import Span


def spec_of(service: str, declared: Declared, findings: Findings) -> Spec | None:
    """The spec of a service; a service with no spec or an unknown one is found once, at the service."""
    known = declared.services.get(service)
    if known is None or known.spec == UNREAD:
        return None
    if not known.spec:
        message = f"service `{service}` does not say how it is piped"
        _once(findings, "spec-missing", message, known.origin[0], "add a line such as `spec steel-welded`")
        return None
    if known.spec not in declared.specs:
        close = nearest(known.spec, list(declared.specs))
        help = f"`{close}` is known" if close else "known: " + ", ".join(sorted(declared.specs))
        _once(findings, "unknown-spec", f"there is no spec `{known.spec}`", known.origin[-1], help)
        return None
    return declared.specs[known.spec]


def _once(findings: Findings, rule: str, message: str, span: Span, help: str) -> None:
    finding = Finding(rule, "error", message, span, help=help)
    if finding not in findings.items:
        findings.items.append(finding)
