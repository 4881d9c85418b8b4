"""The ends of a coil's connections, from what the file says of them and of the headers."""

from __future__ import annotations

from ..model.ends import End
from ..model.hookup import Ask
from ..model.size import Size

_FORMS = {
    "flanged": "flange",
    "male thread": "male thread",
    "threaded": "male thread",
    "female thread": "female thread",
    "solder": "tube",
    "grooved": "groove",
    "welded": "pipe",
}


def coil_end(ask: Ask, size: Size, header_metal: str) -> End:
    """The end of a coil connection.

    Where the file says nothing: class 150; raised face, but flat face on copper or bronze headers, since bronze
    flanges (ASME B16.24) are flat-faced; the metal of the headers, or carbon steel. Common practice, no source.
    """
    metal = ask.metal or header_metal or "carbon steel"
    form = _FORMS.get(ask.word, "pipe")
    if form != "flange":
        return End(form, size, metal)
    facing = ask.facing or ("FF" if metal in ("copper", "bronze", "brass") else "RF")
    return End(form, size, metal, ask.rating or "150", facing)
