"""How a component reads in a list: size, description, standard."""

from __future__ import annotations

from ..catalogue.pieces import standard_of
from ..catalogue.standards import bought_to
from ..model.hookup import Component
from ..model.quantity import format_feet_inches

#: The order in which groups stand in the bill.
GROUPS = (
    "pipe",
    "fittings",
    "flanges",
    "gaskets",
    "bolting",
    "valves",
    "specialties",
    "instruments",
    "equipment",
    "ends",
)

_ENDS = {
    "female thread": "threaded",
    "male thread": "male thread",
    "cup": "solder",
    "tube": "solder",
    "groove": "grooved",
    "bevel": "butt weld",
    "pipe": "",
    "flange": "flanged",
    "lug": "lug",
    "wafer": "wafer",
    "hose thread": "hose thread",
}
_NAMES = {
    ("elbow", "bevel"): "90 elbow, long radius",
    ("elbow", ""): "90 elbow",
    ("45 elbow", "bevel"): "45 elbow, long radius",
    ("45 elbow", ""): "45 elbow",
}
_FORGED = ("elbow", "45 elbow", "tee", "reducing tee", "reducer", "coupling", "reducing coupling", "cap")


def size_text(component: Component) -> str:
    """`4`, or `4 x 2-1/2` where a second size matters; of a reducing tee run, run and branch, as ASME B16.9, B16.3 and
    B16.22 name them: `4 x 4 x 2-1/2`. Of an outlet, the pipe it sits on and its own.
    """
    second = component.branch_size
    if second is None or second is component.size or component.kind.group != "fittings":
        return component.size.label
    run = f"{component.size} x " if component.kind.name == "reducing tee" else ""
    return f"{run}{component.size} x {second}"


def description(component: Component) -> str:
    """Name, ends, material and remarks, as one line."""
    kind = component.kind
    form = next(iter(component.ends.values())).form if component.ends else ""
    name = _NAMES.get((kind.name, form)) or _NAMES.get((kind.name, "")) or kind.name
    words = [name]
    if kind.group in ("valves", "specialties", "instruments", "equipment", "ends") and component.ends:
        end = next(iter(component.ends.values()))
        ends = _ENDS.get(end.form, end.form)
        face = {"RF": " raised face", "FF": " flat face"}.get(end.facing, "") if end.form == "flange" else ""
        words.append(ends + face)
    elif kind.group == "flanges":
        end = next(e for e in component.ends.values() if e.form == "flange")
        faces = {"RF": " raised face", "FF": " flat face"}
        words.append(f"class {end.rating}{faces.get(end.facing, '')}")
    if component.made_of not in name:  # a brass nipple is of brass
        words.append(component.made_of)
    if component.kind.group == "specialties" and "branch" in component.ends:
        words.append(f"tapping {component.ends['branch'].size}")
    if "nipple" in kind.name:
        known = component.length
        words.append(f"{format_feet_inches(known)} long" if known is not None else "length not measured")
    if component.hand:
        words.append(f"{component.hand} hand")
    words.extend(component.remarks)
    if component.closed:
        words.append("normally closed")
    return ", ".join(dict.fromkeys(w for w in words if w))


def ends_text(component: Component) -> str:
    """Its ends as they are bought, each once: `flanged raised face`, `threaded`."""
    faces = {"RF": " raised face", "FF": " flat face"}
    ends = (f"{_ENDS.get(end.form, end.form)}{faces.get(end.facing, '')}" for end in component.ends.values())
    return " x ".join(dict.fromkeys(text for text in ends if text))


def standard(component: Component) -> str:
    """The dimensional standard, empty where none is known here."""
    if component.kind.name in _FORGED and component.ends:
        form = next(iter(component.ends.values())).form
        return "ASME B16.9" if form == "bevel" else standard_of(component.made_of, False)
    if component.kind.name == "union":
        return standard_of(component.made_of, True)
    if component.pipe is not None:
        return standard_of_pipe(component.made_of)
    end = next(iter(component.ends.values()), None)
    return component.kind.standard if end is None else bought_to(component.kind.standard, end)


def standard_of_pipe(material: str) -> str:
    """The standard that pipe of a material is bought to, empty where none is known here."""
    return next((standard for metal, standard in _PIPE_STANDARDS.items() if material.startswith(f"{metal} ")), "")


#: The standard that pipe of a material is bought to. Carbon steel: ASTM A53, dimensions ASME B36.10M; stainless: ASTM
#: A312; copper: ASTM B88. From memory.
_PIPE_STANDARDS = {
    "carbon steel": "ASTM A53, ASME B36.10M",
    "stainless steel": "ASTM A312, ASME B36.19M",
    "copper": "ASTM B88",
}
