"""threequarter: distance charts for partial wedge swings, with honest doubt.

`import threequarter as tq` gives a call for each job, loaded when it is first asked for: `read`, `chart`, `next_shots`, `day`,
`shot`, `recheck`, `fly`, `swing`, `card` (see `threequarter.library` and docs/python.md).
"""

from __future__ import annotations

import sys
from importlib import import_module
from types import ModuleType

TYPE_CHECKING = False  # as a type checker reads it; `typing` itself would be most of the time that this import takes
if TYPE_CHECKING:
    from typing import Any

    from threequarter.library import (
        Limits,
        Plan,
        PlannedClub,
        PlannedSwing,
        ReadOptions,
        UserError,
        Weather,
        card,
        chart,
        day,
        fly,
        next_shots,
        read,
        recheck,
        shot,
        swing,
    )

__version__ = "0.2.0"

__all__ = [
    "Limits",
    "Plan",
    "PlannedClub",
    "PlannedSwing",
    "ReadOptions",
    "UserError",
    "Weather",
    "__version__",
    "card",
    "chart",
    "day",
    "fly",
    "next_shots",
    "read",
    "recheck",
    "shot",
    "swing",
]

_ROOMS = frozenset({"chart", "swing"})
"""Calls that share their name with a room of the package."""


def __getattr__(name: str) -> Any:
    if name in _ROOMS:
        return import_module(f"threequarter.{name}")
    if name in __all__:
        return getattr(import_module("threequarter.library"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})


class _Room(ModuleType):
    """A room that is a call as well: `threequarter.chart(...)` beside `threequarter.chart.fit`."""

    def __call__(self, *given: Any, **named: Any) -> Any:
        name = self.__name__.rpartition(".")[2]
        return getattr(import_module("threequarter.library"), name)(*given, **named)


class _Package(ModuleType):
    """An imported room becomes an attribute of its package and would hide the call of its name, so it is made callable."""

    def __setattr__(self, name: str, value: Any) -> None:
        if name in _ROOMS and isinstance(value, ModuleType):
            value.__class__ = _Room
        super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Package
