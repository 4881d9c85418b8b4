"""What stands on every cover. Common practice, no source, where none is named."""

from __future__ import annotations

#: Who decides; stands before everything else.
DEFERENCE = (
    "Local codes, the engineer of record and licensed practice decide. This pack is worked out from a text and is no "
    "design, no permit and no approval; it claims no compliance with anything, and a page without findings is no "
    "approval either. `not measured` and `not in the tables` mean that nobody knows it yet: measure or ask."
)

#: What hurts people: the name of each, and what to do about it.
CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        "Pressure test",
        "With water, not with air. Take out or shut off what does not bear the test. Keep everyone away from piping "
        "under test, and let the pressure out before anything is touched.",
    ),
    (
        "Hot work",
        "Permit, fire watch and extinguisher by the site's rules. Never weld, braze or cut on a line that is closed, "
        "filled or held glycol until it is open, empty and rinsed.",
    ),
    (
        "Lifting",
        "Weights are worked out from tables and leave out what they name as missing. Rig by a competent person's plan; "
        "nobody under the load; no line hangs on a coil's connection.",
    ),
    (
        "Glycol",
        "Ethylene glycol is poisonous. Catch it in a container; nothing to a floor drain where that is not permitted. "
        "Read the safety data sheet of what is in the drum.",
    ),
    (
        "Stored energy",
        "A valve shown shut is not a lock. Isolate, drain, vent, lock, tag and verify zero pressure by the site's "
        "procedure (29 CFR 1910.147 in the United States) before any joint is opened. Water shut in and warmed bursts "
        "what holds it.",
    ),
    (
        "Hot surfaces",
        "Water above 140 degF scalds; bare heating pipe, heat trace and fresh welds burn. Let them cool or cover them.",
    ),
)
