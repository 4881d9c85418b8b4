"""The lists by name."""

from __future__ import annotations

from collections.abc import Callable

from ..model.table import Table
from .bill import bill
from .bolting import bolting, joints
from .changeover import changeover
from .charge import charge, charge_to_buy
from .closing import closing
from .coil_work import drain_and_fill, lockout, pressure_test
from .condensate import condensate
from .consumables import consumables
from .cuts import cuts
from .hands import hands
from .hangers import hangers
from .heat_trace import heat_trace
from .insulation import insulation
from .job import Job
from .lineups import lineups, positions, separation, standing
from .made_up import made_up_joints
from .nozzle_loads import nozzle_loads
from .penetrations import penetrations
from .schedules import coils, instruments, valves
from .spool_lists import spool_pieces, spools
from .stock import stock, stock_to_buy
from .tags import tags
from .weights import weights
from .welds import filler, weld_totals, welds

_MAKERS: dict[str, Callable[[Job], Table]] = {
    "bill": bill,
    "joints": joints,
    "bolting": bolting,
    "hands": hands,
    "lineups": lineups,
    "positions": positions,
    "standing": standing,
    "separation": separation,
    "changeover": changeover,
    "drain-and-fill": drain_and_fill,
    "pressure-test": pressure_test,
    "lockout": lockout,
    "closing": closing,
    "cuts": cuts,
    "welds": welds,
    "weld-totals": weld_totals,
    "filler": filler,
    "made-up-joints": made_up_joints,
    "spools": spools,
    "spool-pieces": spool_pieces,
    "stock": stock,
    "stock-to-buy": stock_to_buy,
    "weights": weights,
    "hangers": hangers,
    "nozzle-loads": nozzle_loads,
    "charge": charge,
    "charge-to-buy": charge_to_buy,
    "consumables": consumables,
    "valves": valves,
    "instruments": instruments,
    "coils": coils,
    "tags": tags,
    "insulation": insulation,
    "heat-trace": heat_trace,
    "penetrations": penetrations,
    "condensate": condensate,
}


def make(name: str, job: Job) -> Table:
    """The list called `name`; KeyError if there is none."""
    return _MAKERS[name](job)
