"""The `rules` block: severities of the file's own, accepted findings, a shop's own rules."""

from __future__ import annotations

import re

from ..model.declared import Acceptance, RuleSettings
from ..model.finding import SEVERITIES, Findings
from ..source import tree
from ..source.tree import Atom, Fact
from .facts import unknown_words, words_of

GRADES = tuple(s for s in SEVERITIES if s != "error")
_DATE = re.compile(r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])\Z")


def read_rules(node: tree.Rules, settings: RuleSettings, findings: Findings) -> None:
    """Add a block's lines to `settings`.

    The lines: `drain-missing is should`; `accept vent-missing at PRE, because "…", by "…", until "2027-06-30"`; `also
    shop-rules`. Finds: an acceptance without a reason or a name, a date that is none, unknown severities. Whether a
    rule of a name exists is not known here.
    """
    for fact in node.block:
        atoms = fact.phrases[0].atoms
        if atoms[0].text == "accept":
            _accept(fact, atoms[1:], settings, findings)
        elif atoms[0].text == "also" and len(atoms) == 2:
            settings.packs.append((atoms[1].text, atoms[1].span))
        elif len(atoms) == 3 and atoms[1].text == "is":
            if atoms[2].text in GRADES:
                settings.severities[atoms[0].text] = (atoms[2].text, atoms[0].span)
            else:
                message = f"`{atoms[2].text}` is no severity"
                findings.items.append(unknown_words("unknown-severity", atoms[2:], GRADES, message))
        else:
            known = ("RULE is should", "accept RULE at TAG", "also PACK")
            message = f"`{words_of(atoms)}` says nothing of rules"
            findings.items.append(unknown_words("unknown-fact", atoms, known, message))


def _accept(fact: Fact, atoms: tuple[Atom, ...], settings: RuleSettings, findings: Findings) -> None:
    said = {"because": "", "by": "", "until": ""}
    for phrase in fact.phrases[1:]:
        word = phrase.atoms[0].text
        if word in said and len(phrase.atoms) == 2:
            said[word] = phrase.atoms[1].text
        else:
            message = f"`{phrase.text}` says nothing of an acceptance"
            findings.items.append(unknown_words("unknown-detail", phrase.atoms, said, message))
    if len(atoms) != 3 or atoms[1].text != "at":
        help = 'write `accept vent-missing at PRE, because "…", by "…"`'
        findings.add("acceptance-unclear", "what is accepted, and where, is not said", fact.span, help=help)
        return
    if not said["because"].strip():
        help = 'add `because "…"`: the next reader has to judge it'
        findings.add("reason-missing", f"why `{atoms[0].text}` is accepted is not said", fact.span.after(), help=help)
        return
    if not said["by"].strip():
        help = 'add `by "…"`: somebody answers for it'
        findings.add("name-missing", f"who accepts `{atoms[0].text}` is not said", fact.span.after(), help=help)
        return
    if said["until"] and not _DATE.match(said["until"]):
        help = 'write the year first: `until "2027-06-30"`'
        findings.add("no-such-date", f"`{said['until']}` is no date", fact.span, help=help)
        return
    settings.accepted.append(
        Acceptance(atoms[0].text, atoms[2].text, said["because"], said["by"], said["until"], fact.span)
    )
