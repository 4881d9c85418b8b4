"""Words of the trade for ends, metals and facings, and what they stand for."""

from __future__ import annotations

#: The word of a file -> the form of the end.
END_FORMS = {
    "flanged": "flange",
    "threaded": "female thread",
    "male thread": "male thread",
    "female thread": "female thread",
    "solder": "cup",
    "grooved": "groove",
    "welded": "bevel",
    "lug": "lug",
    "wafer": "wafer",
}
METAL_WORDS = {
    "steel": "carbon steel",
    "carbon steel": "carbon steel",
    "iron": "iron",
    "cast iron": "iron",
    "ductile iron": "ductile iron",
    "malleable iron": "malleable iron",
    "bronze": "bronze",
    "brass": "brass",
    "copper": "copper",
    "stainless": "stainless steel",
    "stainless steel": "stainless steel",
}
FACINGS = {"flat face": "FF", "raised face": "RF"}
