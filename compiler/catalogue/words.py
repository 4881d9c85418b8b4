"""Words of the trade for ends, metals and facings, and what they stand for."""

from __future__ import annotations

#: Words for ends, as the trade says them, and the word they stand under in the catalogue.
END_WORDS = {
    "flanged": "flanged",
    "threaded": "threaded",
    "screwed": "threaded",
    "male thread": "male thread",
    "female thread": "female thread",
    "solder": "solder",
    "soldered": "solder",
    "sweat": "solder",
    "grooved": "grooved",
    "welded": "welded",
    "butt weld": "welded",
    "beveled": "welded",
    "lug": "lug",
    "wafer": "wafer",
    "hose thread": "hose thread",
}
#: The word of the catalogue -> the form of the end.
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
    "hose thread": "hose thread",
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
