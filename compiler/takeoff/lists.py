"""The lists by name."""

from __future__ import annotations

from collections.abc import Callable

from ..model.table import Table
from .bill import bill
from .bolting import bolting, joints
from .hands import hands
from .job import Job

_MAKERS: dict[str, Callable[[Job], Table]] = {"bill": bill, "joints": joints, "bolting": bolting, "hands": hands}


def make(name: str, job: Job) -> Table:
    """The list called `name`; KeyError if there is none."""
    return _MAKERS[name](job)
