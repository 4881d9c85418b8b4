"""Settling the ends of every component: what the file asks for, else what the catalogue and the spec's row say."""

from __future__ import annotations

from collections.abc import Iterable

from ..catalogue.declare import Declared
from ..catalogue.dimensions import weld_tee
from ..catalogue.pieces import FITTING_FORM, fittings_text, piece_kinds
from ..model.declared import Spec, SpecRow
from ..model.ends import End
from ..model.finding import Findings
from ..model.hookup import Ask, Component, Hookup
from ..model.kind import EndChoice, Kind
from ..model.size import Size
from .level_side import say_level_side
from .run import Run

#: The word under which a kind's ends fit a row's way of joining.
_AT_HOME = {"welded": "welded", "threaded": "threaded", "soldered": "solder", "grooved": "grooved"}
#: Fittings take the form of their row; everything else is bought with the ends its kind lists.
_FITTINGS = ("elbow", "45 elbow", "reducer")
#: What a reducer is called in a row, in a level line and in a plumb one.
_REDUCERS = {
    "welded": ("eccentric reducer", "concentric reducer"),
    "grooved": ("eccentric grooved reducer", "concentric grooved reducer"),
    "threaded": ("reducing coupling", "reducing coupling"),
    "soldered": ("solder reducer", "solder reducer"),
}


def settle(hookup: Hookup, run: Run) -> None:
    """Give every port its end.

    Needs: components with sizes and what they ask. Adds: `ends`, `made_of`; tees become the fitting that their
    spec's branch table names.
    Finds: kinds that are not made so.
    """
    declared, findings = run.declared, run.findings
    for component in hookup.components():
        line = hookup.lines.get(component.line)
        if line is None or component.kind.ports in ("coil", "main"):
            continue
        row = line.spec.row(component.size)
        if row is None:
            continue  # its ports stay without ends; rule `size-not-in-spec` says so
        if component.kind.name in _FITTINGS or component.kind.ports == "tee":
            _settle_fitting(component, line.spec, row, declared)
            say_level_side(hookup, component)
        else:
            _settle_item(component, row, findings)


def _settle_fitting(component: Component, spec: Spec, row: SpecRow, declared: Declared) -> None:
    home = FITTING_FORM[row.joined]
    end = End(home, component.size, row.fitting_metal)
    component.made_of = fittings_text(row, home)
    if component.kind.ports == "tee":
        _settle_tee(component, spec, row, end, declared)
    elif component.kind.name == "reducer" and component.branch_size is not None:
        _settle_reducer(component, spec)
    else:
        component.ends |= {"in": end, "out": end}


def _settle_reducer(component: Component, spec: Spec) -> None:
    """A reducer written in the file: `size` and `branch_size` are those before and behind it, in flow order."""
    before, behind = component.size, component.branch_size or component.size
    large, small = max(before, behind), min(before, behind)
    row = spec.row(large)
    if row is None:
        return
    end = End(FITTING_FORM[row.joined], before, row.fitting_metal)
    component.ends |= {"in": end, "out": end._replace(size=behind)}
    level, plumb = _REDUCERS[row.joined]
    asked = next((f"{word} reducer" for word in ("eccentric", "concentric") if word in component.remarks), "")
    name = plumb if component.heading in ("up", "down") else level
    component.kind = piece_kinds()[asked if asked and row.joined == "welded" else name]
    component.remarks = tuple(r for r in component.remarks if r not in ("eccentric", "concentric"))
    component.size, component.branch_size = large, small
    component.made_of = fittings_text(row, end.form)


def _settle_tee(component: Component, spec: Spec, row: SpecRow, end: End, declared: Declared) -> None:
    """The spec's branch table: a tee, a reducing tee or an outlet on the pipe."""
    run, branch = component.size, component.branch_size or component.size
    component.branch_size = branch
    branch_row = spec.row(branch) or row
    written = component.kind.name
    if written != "tee":
        case, fitting = "the file says so", "welded outlet" if written.endswith("outlet") else written
    elif branch is run:
        case, fitting = "the branch has the size of the line", spec.branch_same
    elif branch.inches * 2 >= run.inches:
        case, fitting = "the branch is at least half the size of the line", spec.branch_half
    else:
        case, fitting = "the branch is smaller than half the line", spec.branch_small
    if row.joined in ("threaded", "soldered") and written == "tee":
        fitting = "tee" if branch is run else "reducing tee"
    elif row.joined == "welded" and written == "tee" and fitting != "welded outlet" and weld_tee(run, branch) is None:
        fitting = "welded outlet"
        case += ", and ASME B16.9 lists no tee of these sizes"
    component.why = component.why or "branch"
    component.why += f": {fitting}, since {case} (spec `{spec.name}`)"
    if fitting != "welded outlet":
        component.kind = declared.kinds[fitting]
        component.ends |= {"in": end, "out": end, "branch": end._replace(size=branch)}
        return
    pipe = End("pipe", run, row.metal)
    threaded = branch_row.joined != "welded"
    component.kind = declared.kinds["threaded outlet" if threaded else "welded outlet"]
    component.made_of = row.metal
    form = "female thread" if threaded else "bevel"
    component.ends |= {"in": pipe, "out": pipe, "branch": End(form, branch, row.metal)}


def _settle_item(component: Component, row: SpecRow, findings: Findings) -> None:
    ask = component.ask or Ask()
    choice = choose(component.kind, component.size, ask, row)
    if choice is None:
        _not_made(component, ask, findings)
        return
    end = end_of(choice, component.size, ask, row)
    component.made_of = f"{end.metal} class {end.rating}" if end.rating else end.metal
    if choice.metal == "line" and end.form not in ("flange", "lug", "wafer") and not ask.metal:
        component.made_of = fittings_text(row, end.form)  # bought as the line's own fittings are
    if component.kind.ports == "end":
        component.ends["in"] = end
        return
    component.ends |= {"in": end, "out": end}
    if component.kind.ports == "three-way":
        component.ends["bypass"] = end._replace(size=component.branch_size or component.size)
    elif component.branch_size is not None:  # a tapping of the body's own, such as a strainer's blowdown
        component.ends["branch"] = End("female thread", component.branch_size, end.metal)


def choose(kind: Kind, size: Size, ask: Ask, row: SpecRow) -> EndChoice | None:
    """The ends that a component is bought with: those asked for, else those at home in the row, else the default."""
    if ask.word:
        wanted = [c for c in kind.choices if c.low <= size <= c.high and c.word == ask.word]
        return next((c for c in wanted if not ask.metal or c.metal == ask.metal), wanted[0] if wanted else None)
    home = _AT_HOME[row.joined]
    fitting = kind.group in ("ends", "fittings") or home != "welded"
    at_home = kind.choice(size, home) if fitting else None
    if at_home is not None and (not ask.metal or at_home.metal == ask.metal):
        return at_home
    made = [c for c in kind.choices if c.low <= size <= c.high]
    return next((c for c in made if ask.metal and c.metal == ask.metal), made[0] if made else None)


def end_of(choice: EndChoice, size: Size, ask: Ask, row: SpecRow) -> End:
    """The end itself; a flange asked for in steel is class 150 raised face unless said otherwise."""
    metal = ask.metal or ("" if choice.metal == "line" else choice.metal) or row.fitting_metal
    rating, facing = choice.rating, choice.facing
    if choice.form in ("flange", "lug", "wafer"):
        steel = metal in ("carbon steel", "stainless steel", "ductile iron")
        if ask.metal and steel and choice.metal != ask.metal:
            rating, facing = "150", "RF"
        rating = ask.rating or rating or row.rating or "150"
        facing = ask.facing or facing or (row.facing if choice.form == "flange" else "")
    else:
        rating = ask.rating or rating
    return End(choice.form, size, metal, rating, facing)


def _merged(ranges: Iterable[tuple[Size, Size]]) -> list[tuple[Size, Size]]:
    """Ranges of sizes without overlap, in order."""
    made: list[tuple[Size, Size]] = []
    for low, high in sorted(ranges):
        if made and low.rank <= made[-1][1].rank + 1:
            made[-1] = (made[-1][0], max(high, made[-1][1]))
        else:
            made.append((low, high))
    return made


def _not_made(component: Component, ask: Ask, findings: Findings) -> None:
    kind, size = component.kind, component.size
    words = sorted({c.word for c in kind.choices if c.low <= size <= c.high})
    ranges = _merged((c.low, c.high) for c in kind.choices if not ask.word or c.word == ask.word)
    said = f" with {ask.word} ends" if ask.word else ""
    if ask.word and words:
        help = f"in size {size} it comes as: {', '.join(words)}"
    elif ranges:
        help = "it comes in size " + ", ".join(f"{low} to {high}" if low < high else str(low) for low, high in ranges)
    else:
        help = "declare it with a `kind` block of your own"
    findings.add(
        "not-made-so",
        f"no {kind.name}{said} in size {size} is in the catalogue",
        component.origin[0],
        help=help,
    )
