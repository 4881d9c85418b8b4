"""Take-outs: how far an end lies from the mark of its component, and from the end it is joined to. Inches.

The mark of an elbow, tee or valve is its centre, that of a coil's or main's connection its face. What no table has is
NOT_IN_TABLES; nothing is guessed. Lengths that a file declares stand before those of the tables.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from ..model.declared import Spec
from ..model.hookup import Component, Joint
from ..model.size import Size
from ..model.table import NOT_IN_TABLES, Unknown
from .dimensions import (
    nipple,
    outlet_height,
    pipe_wall,
    solder_cup,
    thread_engagement,
    threaded_fitting,
    valve_length,
    weld_cap,
    weld_elbow,
    weld_reducer,
    weld_tee,
)
from .flanges import flange
from .pieces import standard_of
from .said import Said, said_of, sided

#: Face-to-face lengths that the files declare (centre to end for elbows and tees), by kind, form of ends and size.
Lengths = Said[Fraction]

#: Pipe ends this much short of the face of a slip-on flange, beyond its own wall: room for the weld inside. Common
#: practice, no source.
_SET_BACK = Fraction(1, 16)
#: Pipe that nobody measured between two fittings is as long as its size, and at least this. Common practice, no source.
_LEAST_PUP = Fraction(3)
_ELBOWS = {"elbow": ("elbow_90", 90), "45 elbow": ("elbow_45", 45)}
_HUBS = {
    "weld neck flange": "weld neck",
    "slip-on flange": "slip-on",
    "threaded flange": "threaded",
    "bronze threaded flange": "threaded",
}


class Length(NamedTuple):
    """A length in inches, and where it comes from."""

    value: Fraction | Unknown
    source: str

    @property
    def known(self) -> bool:
        """Whether it is a number."""
        return isinstance(self.value, Fraction)


_NONE = Length(NOT_IN_TABLES, "")
_FACE = Length(Fraction(0), "measured to its face")


def body_length(body: Component, lengths: Lengths) -> Fraction | None:
    """Face to face of a valve or other body in line, from the files or the catalogue; None if neither knows it."""
    end = body.ends["in"]
    own = lengths.get((body.kind.name, end.form, body.size)) or lengths.get((body.kind.name, "", body.size))
    if own is not None:
        return own
    choice = next((c for c in body.kind.choices if c.form == end.form and c.low <= body.size <= c.high), None)
    key = (choice.length if choice is not None else "") or body.kind.length
    return valve_length(key, end.form, end.rating, body.size) if key else None


def reach(component: Component, port: str, spec: Spec, lengths: Lengths) -> Length:
    """From the mark of a component to the end face of one of its ports.

    Butt-weld fittings: ASME B16.9. Threaded ones: B16.3 or B16.11, by their material. Outlets: MSS SP-97. Valves:
    B16.10, API 609, or the file. Needs: settled ends.
    """
    ports = component.kind.ports
    if ports in ("coil", "main", "end"):
        return _FACE
    if ports == "tee":
        return _tee(component, port, spec, lengths)
    if component.kind.name in _ELBOWS:
        return _elbow(component, lengths)
    if port not in ("in", "out"):
        return _side(component, lengths)
    whole = length_of(component, spec, lengths)
    return whole if not isinstance(whole.value, Fraction) else Length(whole.value / 2, whole.source)


def _side(component: Component, lengths: Lengths) -> Length:
    """From the middle of a three-way valve to the face of its side port: by its maker alone."""
    name = sided(component.kind.name, "branch")
    forms = (component.ends["in"].form, "") if "in" in component.ends else ("",)
    own = next((found for form in forms if (found := lengths.get((name, form, component.size))) is not None), None)
    return _NONE if own is None else Length(own, "the file's `lengths`")


def length_of(component: Component, spec: Spec, lengths: Lengths) -> Length:
    """End to end of a component in line that is no pipe: a valve, reducer, flange, nipple, coupling."""
    name = component.kind.name
    end = component.ends.get("in")
    if end is None:
        return _NONE
    own = _declared(component, lengths)
    if own is not None:
        return own
    if name in _HUBS:
        return _flange(component)
    if "nipple" in name and component.pipe is None:
        if spec.nipples is not None:
            return Length(spec.nipples, f"nipples of spec `{spec.name}`")
        found = nipple(component.size)
        return _found(found and found.short, "ASTM A733, short")
    if "reducer" in name and component.branch_size is not None and end.form == "bevel":
        return _found(weld_reducer(component.size, component.branch_size), "ASME B16.9")
    if name == "coupling" and end.form == "female thread":
        return _threaded(component, "coupling")
    if name == "cap" and end.form == "bevel":
        return _found(weld_cap(component.size), "ASME B16.9")
    found_body = body_length(component, lengths)
    return _found(found_body, component.kind.standard or "valve table")


def makeup(a: Component, b: Component, joint: Joint, spec: Spec) -> Length:
    """From one end face to the other in a joint: a gap (above zero), or how far one goes into the other (below it).

    Threads: the make-up of the trade's table beside ASME B1.20.1. Solder cups: ASME B16.22. Gaskets at their nominal
    thickness.
    """
    end_a = joint.end_a
    if joint.kind == "same piece":
        return Length(Fraction(0), "one piece")
    if joint.kind == "butt weld":
        return Length(spec.weld_gap, f"weld gap of spec `{spec.name}`")
    if joint.kind == "threaded":
        found = thread_engagement(end_a.size)
        return _found(found and -found.makeup, "ASME B1.20.1, thread make-up")
    if joint.kind == "soldered":
        depth = solder_cup(end_a.size)
        return _found(depth and -depth, "ASME B16.22, depth of the cup")
    if joint.kind == "bolted":
        return _bolted(a, b, spec)
    if joint.kind == "grooved":
        return _found(spec.groove_gap, f"groove gap of spec `{spec.name}`")
    if joint.kind == "clamped":
        return Length(Fraction(0), "the adapter is measured with the groove in it")
    if joint.kind == "slip-on weld":
        body = a if end_a.form == "slip bore" else b
        return _slipped(body, spec)
    return _NONE


def pup(size: Size, spec: Spec) -> Length:
    """Pipe that stands between two fittings where the file gives no length."""
    if spec.pups is not None:
        return Length(spec.pups, f"pups of spec `{spec.name}`")
    least = max(_LEAST_PUP, Fraction(-(-size.inches // 1)))
    return Length(least, "short piece, common practice")


def _found(value: Fraction | None, source: str) -> Length:
    return _NONE if value is None else Length(value, source)


def _declared(component: Component, lengths: Lengths, port: str = "") -> Length | None:
    own = said_of(component, lengths, port)
    return None if own is None else Length(own, "the file's `lengths`")


def _elbow(component: Component, lengths: Lengths) -> Length:
    end = component.ends.get("in")
    if end is None:
        return _NONE
    own = _declared(component, lengths)
    if own is not None:
        return own
    shape, angle = _ELBOWS[component.kind.name]
    if end.form == "bevel":
        radius = "short" if "short radius" in component.remarks else "long"
        return _found(weld_elbow(component.size, angle, radius), "ASME B16.9")
    return _threaded(component, shape) if end.form == "female thread" else _NONE


def _threaded(component: Component, shape: str) -> Length:
    standard = standard_of(component.made_of, False)
    if standard not in ("ASME B16.3", "ASME B16.11"):
        return _NONE
    return _found(threaded_fitting(standard, shape, component.size), standard)


def _tee(component: Component, port: str, spec: Spec, lengths: Lengths) -> Length:
    end = component.ends.get("in")
    if end is None:
        return _NONE
    run, branch = component.size, component.branch_size or component.size
    if end.form in ("pipe", "tube"):
        if port != "branch":
            return Length(Fraction(0), "an outlet on the pipe")
        return _outlet(component, run, branch, spec)
    own = _declared(component, lengths, "branch" if port == "branch" else "")
    if own is not None:
        return own
    if end.form == "bevel":
        tee = weld_tee(run, branch)
        return _found(tee and (tee.outlet if port == "branch" else tee.run), "ASME B16.9")
    return _threaded(component, "tee") if end.form == "female thread" and branch is run else _NONE


def _outlet(component: Component, run: Size, branch: Size, spec: Spec) -> Length:
    wall = pipe_wall(spec.row(run), run)
    height = outlet_height(branch, "butt_weld" if component.ends["branch"].form == "bevel" else "threaded")
    if wall is None or height is None:
        return _NONE
    return Length(wall.od / 2 + height, "MSS SP-97")


def _flange(component: Component) -> Length:
    end = next(e for e in component.ends.values() if e.form == "flange")
    dims = flange(end.size, end.rating, end.facing, end.metal)
    return _found(dims and dims.takeout(_HUBS[component.kind.name]), dims.standard if dims else "")


def _bolted(a: Component, b: Component, spec: Spec) -> Length:
    """The gasket; a resilient seat is the gasket itself and adds nothing."""
    for body in (a, b):
        seat = (body.ask.seat if body.ask is not None else "") or body.kind.seat
        form = body.ends["in"].form if "in" in body.ends else ""
        if form in ("lug", "wafer") and seat == "resilient":
            return Length(Fraction(0), "the seat is the gasket")
    return Length(spec.gasket_in, f"gasket of spec `{spec.name}`")


def _slipped(body: Component, spec: Spec) -> Length:
    """How far pipe goes into a slip-on flange: through its hub, less the set-back from the face."""
    whole = _flange(body)
    wall = pipe_wall(spec.row(body.size), body.size)
    if not isinstance(whole.value, Fraction) or wall is None:
        return _NONE
    back = Fraction(-(-wall.wall * 16 // 1), 16) + _SET_BACK
    return Length(back - whole.value, f"{whole.source}, pipe set back {back} in")
