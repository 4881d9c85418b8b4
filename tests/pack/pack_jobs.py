"""Jobs whose packs are looked at."""

from pathlib import Path

from coilwright.batch import Batch, compile_files

EXAMPLES = Path(__file__).parents[2] / "examples"
AQUARIUM = EXAMPLES / "aquarium-pair.hookup"

#: What must stay text wherever it stands, in HTML, in typst, in a style sheet and in an attribute.
WICKED = [
    "<script>alert(1)</script>",
    "</style><img src=x onerror=alert(1)>",
    "a & b &amp; 'q'",
    "#panic() $x$ *b* _i_ @ref // /* \\",
    "\\u{41} ` ]] [#x]",
    "\u202egnp.exe",
    "{{ c }} << c >> {% raw %}",
]

#: PROJECT and NOTE are to be replaced.
TEXT = """\
project "PROJECT"
service water-1
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
typical one, drawn with airflow left to right
    coil CC on water-1
        supply low at leaving side, 3 flanged
        return high at entering side, 3 flanged
        headers steel
    supply to CC, 3
        from main CHS
        butterfly valve BV-*01, lug, "NOTE"
        drain 3/4
    return from CC, 3
        butterfly valve BV-*02, lug
        to main CHR
    lineup "NOTE"
        closed BV-*01
unit AH-1 is one, number 1
unit AH-2 is one, number 2, airflow right to left
"""


def compiled(text: str, name: str = "job.hookup") -> Batch:
    return compile_files([name], texts={name: text})


def wicked_job(note: str) -> Batch:
    batch = compiled(TEXT.replace("PROJECT", note).replace("NOTE", note))
    assert not batch.broken, batch.findings
    return batch
