"""The fluid charge against open libraries: bores of `fluids`, densities of CoolProp."""

from fractions import Fraction
from math import pi
from pathlib import Path

import pytest
from coilwright import compile_file
from coilwright.catalogue.fluids import mixed_from
from coilwright.model.declared import Service
from coilwright.model.hookup import Component, Hookup
from CoolProp.CoolProp import PropsSI
from fluids.piping import nearest_pipe

EXAMPLE = Path(__file__).parents[2] / "examples" / "aquarium-pair.hookup"
AT_40, AT_60 = (40 + 459.67) / 1.8, (60 + 459.67) / 1.8
#: The library's names: ASHRAE data by volume, and Melinder's by mass.
BY_VOLUME = {"ethylene glycol": "AEG", "propylene glycol": "APG"}
BY_MASS = {"ethylene glycol": "MEG", "propylene glycol": "MPG"}
#: Specific gravity of the pure glycols at 60 F (expertctr.com).
GRAVITY = {"ethylene glycol": 1.1155, "propylene glycol": 1.038}


def service(fluid: str, share: float | None, basis: str) -> Service:
    return Service("loop", fluid, share, basis, None, None, None, "", None, False, None, ())


def density(mixture: str, kelvin: float) -> float:
    return float(PropsSI("D", "T", kelvin, "P", 3e5, mixture))


def bought(fluid: str, share: float, basis: str) -> tuple[float, float]:
    """Kilograms of glycol and water bought for one cubic metre, by CoolProp's water."""
    parts = mixed_from(service(fluid, share, basis))
    assert parts is not None
    water = density("Water", AT_60)
    return parts.glycol * GRAVITY[fluid] * water, parts.water * water


@pytest.mark.parametrize("fluid", BY_VOLUME)
@pytest.mark.parametrize("percent", range(10, 61, 5))
def test_what_is_bought_weighs_what_fills_the_system(fluid: str, percent: int) -> None:
    """By volume: the mass of glycol and water is that of the mixture at 40 F, and their volumes have the share."""
    glycol, water = bought(fluid, percent / 100, "volume")
    mixture = density(f"INCOMP::{BY_VOLUME[fluid]}[{percent / 100}]", AT_40)
    assert glycol + water == pytest.approx(mixture, rel=1e-3)
    parts = mixed_from(service(fluid, percent / 100, "volume"))
    assert parts is not None
    assert parts.glycol / (parts.glycol + parts.water) == pytest.approx(percent / 100, rel=1e-9)
    assert 1.0 < parts.glycol + parts.water < 1.035  # they shrink in mixing and in the cold


@pytest.mark.parametrize("fluid", BY_MASS)
@pytest.mark.parametrize("percent", range(15, 56, 5))
def test_shares_by_mass_against_other_data(fluid: str, percent: int) -> None:
    """Melinder's data, composition by mass: pounds of glycol in a volume, within 1 %."""
    glycol, water = bought(fluid, percent / 100, "mass")
    mixture = density(f"INCOMP::{BY_MASS[fluid]}[{percent / 100}]", AT_40)
    assert glycol / (glycol + water) == pytest.approx(percent / 100, rel=1e-9)
    assert glycol == pytest.approx(percent / 100 * mixture, rel=0.01)


def test_water_at_60_is_a_little_more_than_at_its_densest() -> None:
    parts = mixed_from(service("water", None, ""))
    assert parts is not None
    assert parts == (0.0, pytest.approx(1000 / density("Water", AT_60), rel=1e-4))


def test_beyond_the_table_nothing_is_known() -> None:
    assert mixed_from(service("propylene glycol", 0.7, "volume")) is None
    assert mixed_from(service("steam", None, "")) is None


def run(hookup: Hookup, component: Component) -> float:
    """Inches of pipe as cut, else as the file gives it: of a run, a nipple, or what an outlet sits on."""
    cut = hookup.measured.cuts.get(component.id) if hookup.measured is not None else None
    given = component.pipe.length if component.pipe is not None else component.length
    length = cut if isinstance(cut, Fraction) else given
    return float(length) if isinstance(length, Fraction) else 0.0


def short_pieces(hookup: Hookup) -> dict[str, float]:
    """By uncut run: inches of the short pieces in its straight. They are counted themselves, in their own bore, and
    lie in the length that the file gives for the run.
    """
    assert hookup.measured is not None
    found: dict[str, float] = {}
    for straight in hookup.measured.straights:
        if straight.run and not isinstance(hookup.measured.cuts.get(straight.run), Fraction):
            ids = {part.id for part in straight.parts if part.sort == "piece"} - {straight.run}
            pieces = [piece for piece in map(hookup.component, sorted(ids)) if is_pipe(piece)]
            found[straight.run] = sum(run(hookup, piece) for piece in pieces)
    return found


def is_pipe(component: Component) -> bool:
    return component.pipe is not None or "nipple" in component.kind.name or "outlet" in component.kind.name


def test_volume_of_pipe_against_the_fluids_library() -> None:
    """All pipe of the example by that library's bores: schedule 40, and 80 to NPS 2, as its spec says."""
    made = compile_file(EXAMPLE)
    hookup = made.hookups[0]
    (table,) = made.tables(["charge"])
    within = short_pieces(hookup)
    # By hand: behind the control valves, whose lengths are not in the tables, 10 in to the next fitting each, of which
    # the tables give the pup of NPS 3 three inches and the nipple of NPS 2 two and a half.
    assert sorted(inches for inches in within.values() if inches) == [2.5, 3.0]
    for row in table.rows:
        gallons = 0.0
        for component in hookup.components():
            if component.service == row.cells["service"] and is_pipe(component):
                inches = run(hookup, component) - within.get(component.id, 0.0)
                nps = float(component.size.inches)
                *_, bore, _, _ = nearest_pipe(NPS=nps, schedule="40" if nps > 2 else "80")
                gallons += pi / 4 * (bore / 0.0254) ** 2 * inches / 231
        assert gallons > 1
        assert row.cells["pipe"] == pytest.approx(gallons, rel=2e-3)
