"""Writes the constants of the chart for the phone's engine, so that no number of it stands in two places.

    python scripts/engine_constants.py            writes constants.js and run_outs.js in src/threequarter/web/static/engine
    python scripts/engine_constants.py --check    says whether both are current

Every constant (a name in capitals) that a module of `MODULES` itself sets is written under the module's name: numbers, texts, arrays,
tables, patterns. The run-outs that `measurement/carry.py` finds by flying are written by ground and loft, a degree apart; between two
lofts the phone takes the line (within 2 cm of carry).
"""

import ast
import dataclasses
import importlib
import inspect
import json
import math
import re
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import numpy as np

ROOT: Final = Path(__file__).parents[1]
ENGINE: Final = ROOT / "src/threequarter/web/static/engine"
LOFTS_DEG: Final = range(20, 71)
GROUNDS: Final = ("soft", "normal", "firm")
MODULES: Final = (
    *("golf.units", "golf.club", "golf.swing_length", "chart.priors", "chart.prepare", "chart.strike_signs"),
    *("chart.posterior", "chart.result", "chart.fit", "chart.two_swings", "chart.checks", "chart.units_check"),
    *(
        "chart.verdicts",
        "chart.mishits",
        "chart.gaps",
        "chart.meaning",
        "chart.design",
        "chart.goal",
        "chart.next_ball",
    ),
    *("measurement.errors", "practice.call", "practice.games", "practice.recheck"),
)
NAME: Final = re.compile(r"_?[A-Z][A-Z0-9_]*$")


def plain(value: Any) -> Any:
    """A constant as JSON. Raises TypeError for what is none."""
    if value is None or isinstance(value, bool | str | int):
        return value
    if isinstance(value, float):
        if not math.isfinite(value):
            raise TypeError(value)
        return value
    if isinstance(value, re.Pattern):
        return value.pattern
    if isinstance(value, np.ndarray):
        return [float(one) for one in value.ravel()]
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, frozenset):
        return sorted(plain(one) for one in value)
    if isinstance(value, tuple | list):
        return [plain(one) for one in value]
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    raise TypeError(value)


def assigned(module: Any) -> list[str]:
    """Names in capitals that a module sets itself, in their order."""
    found = []
    for node in ast.parse(inspect.getsource(module)).body:
        targets = (
            node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
        )
        names = [one for target in targets for one in ast.walk(target) if isinstance(one, ast.Name)]
        found += [one.id for one in names if NAME.fullmatch(one.id)]
    return found


def constants() -> dict[str, dict[str, Any]]:
    """Every module's constants, by the last part of its name."""
    found: dict[str, dict[str, Any]] = {}
    for name in MODULES:
        module = importlib.import_module(f"threequarter.{name}")
        mine = found[name.rpartition(".")[2]] = {}
        for one in assigned(module):
            try:
                mine[one] = plain(getattr(module, one))
            except TypeError:
                continue
    return found


def run_outs(lofts: Sequence[int] = LOFTS_DEG) -> dict[str, Any]:
    """By ground: for each club (a loft, or a label's loft and its doubt) run-out, its shared and its own SD by carry, metres."""
    from threequarter.golf.club import LOFT_PRIOR_DEG, UNKNOWN_LOFT_DEG
    from threequarter.measurement.carry import CARRIES_M, run_out_table

    clubs = [(float(loft), 0.0) for loft in lofts] + [*LOFT_PRIOR_DEG.values(), UNKNOWN_LOFT_DEG]

    def rows(club: tuple[float, float], ground: Any) -> list[list[float]]:
        table = run_out_table(*club, ground)
        return [[round(float(one), 3) for one in part] for part in (table.run_m, table.shared_sd_m, table.ball_sd_m)]

    carries = [0.0, *(float(one) for one in CARRIES_M)]
    return {"carry_m": carries} | {
        ground: {f"{loft:g} {sd:g}": rows((loft, sd), ground) for loft, sd in clubs} for ground in GROUNDS
    }


def written(*, tables: bool = True) -> dict[str, str]:
    """The scripts as they should stand; without `tables` the constants alone, since the run-outs take seconds."""
    lines = [f"  {name}: {json.dumps(values, ensure_ascii=False)}," for name, values in constants().items()]
    head = "// Made by scripts/engine_constants.py out of the Python modules of these names. Not written by hand.\n"
    kind = "/** @type {Record<string, any>} */\nexport const "
    found = {"constants.js": head + kind + "K = {\n" + "\n".join(lines) + "\n};\n"}
    if tables:
        found["run_outs.js"] = head + kind + f"RUN_OUTS = {json.dumps(run_outs(), separators=(',', ':'))};\n"
    return found


def main(wanted: list[str]) -> int:
    """Writes, or with `--check` returns 1 where it is not current."""
    for name, text in written().items():
        if "--check" not in wanted:
            (ENGINE / name).write_text(text, encoding="utf-8")
        elif (ENGINE / name).read_text(encoding="utf-8") != text:
            return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
