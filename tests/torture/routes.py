"""Every route of the description, asked with what fits it and what does not: no 500, no hang, no traceback.

    python tests/torture/routes.py [--examples 50] [--seed 1] [--only TEXT]

A real server over a folder with the demo in it; forms and uploads too. Numbers and names in addresses are half of the time those of
things that are there, or the routes would mostly say that nothing is.
"""

import argparse
import contextlib
import json
import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any

import hypothesis
import requests
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from schemathesis import GenerationMode

sys.path.insert(0, str(Path(__file__).parents[1]))
from browser_support import Server

LONGEST_S = 180.0
OFTEN = {
    "name": ["Robin Sedge", "Wren", "a/b", "=1+1", "\u202eevil"],
    "act": ["undo", "redo"],
    "form": ["csv", "json", "xlsx", "parquet"],
}
NEVER = ("/pair",)
"""Left out: it counts wrong codes and then lets nobody try, as it should."""


def fill(address: str) -> str:
    """Something of everything; returns the key of a file that was looked at."""
    requests.post(f"{address}/demo", timeout=300).raise_for_status()
    typed = requests.post(
        f"{address}/type",
        data={"text": "54 waist 41 43 fat 30\n58 chest 50 52", "unit": "yd", "by": "laser"},
        timeout=300,
    )
    requests.post(typed.url.replace("/look/", "/keep/"), data={"whose": "Wren"}, timeout=300).raise_for_status()
    requests.post(f"{address}/players/Wren/notes", data={"text": "a note"}, timeout=300)
    looked = requests.post(
        f"{address}/look", files={"file": ("a.csv", b"Club,Swing,Carry (yd)\n54,waist,50\n")}, timeout=300
    )
    return looked.url.rsplit("/", 1)[1]


def made_likely(case: Any, rng: random.Random, key: str) -> None:
    """Some parts of an address as they are of things that are there."""
    for name, value in list((case.path_parameters or {}).items()):
        if rng.random() < 0.5:
            continue
        if name.endswith("_id"):
            case.path_parameters[name] = rng.randint(1, 4)
        elif name == "key":
            case.path_parameters[name] = key
        elif name in OFTEN:
            case.path_parameters[name] = rng.choice(OFTEN[name])
        elif not isinstance(value, str | int):
            case.path_parameters[name] = "x"


def routes(examples: int, seed: int, only: str = "", minutes: float = 1000.0) -> dict[str, Any]:
    """Runs the rig; returns what was counted and, under "bad", each question that broke a promise."""
    answers, bad = Counter[str](), []
    slowest = (0.0, "")
    rng, over = random.Random(seed), time.monotonic() + 60 * minutes
    with tempfile.TemporaryDirectory(prefix="threequarter-routes-") as scratch, Server(Path(scratch)) as server:
        key = fill(server.address)
        schema = schemathesis.openapi.from_dict(requests.get(f"{server.address}/api/openapi.json", timeout=300).json())
        asked = 0
        session = requests.Session()
        operations = [found.ok() for found in schema.get_all_operations()]
        rng.shuffle(operations)  # so that a run that ends early does not always ask the same ones
        for operation in operations:
            if time.monotonic() > over:
                break
            if operation.path.startswith(NEVER) or only not in f"{operation.method.upper()} {operation.path}":
                continue
            asked += 1

            def ask(case: Any) -> None:
                nonlocal slowest
                made_likely(case, rng, key)
                begun = time.perf_counter()
                said = f"{case.method} {case.formatted_path[:120]}"
                try:
                    answer = case.call(
                        base_url=server.address, session=session, allow_redirects=False, timeout=LONGEST_S
                    )
                except requests.Timeout:
                    bad.append(f"{said}: no answer in {LONGEST_S:.0f} s")
                    return
                except (requests.RequestException, ValueError, UnicodeError):
                    answers["could not be sent"] += 1
                    return
                took = time.perf_counter() - begun
                slowest = max(slowest, (took, said))
                answers[str(answer.status_code)] += 1
                if answer.status_code >= 500 or b"Traceback (most" in answer.content:
                    bad.append(f"{said} {str(case.query or '')[:200]} {str(case.body)[:300]}: {answer.status_code}")

            for mode in (GenerationMode.POSITIVE, GenerationMode.NEGATIVE):
                with contextlib.suppress(
                    hypothesis.errors.Unsatisfiable,
                    hypothesis.errors.SkipTest
                    if hasattr(hypothesis.errors, "SkipTest")
                    else hypothesis.errors.Unsatisfiable,
                ):
                    run = settings(
                        max_examples=max(1, examples // 2),
                        database=None,
                        deadline=None,
                        phases=[Phase.generate],
                        suppress_health_check=list(HealthCheck),
                    )(hypothesis.seed(seed)(hypothesis.given(case=operation.as_strategy(generation_mode=mode))(ask)))
                    run()
        alive = requests.get(f"{server.address}/health", timeout=LONGEST_S).status_code
    return {
        "routes": asked,
        "examples": examples,
        "seed": seed,
        "answers": dict(answers),
        "slowest": [round(slowest[0], 2), slowest[1]],
        "alive": alive == 200,
        "bad": sorted(set(bad))[:60],
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--examples", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--minutes", type=float, default=1000.0, help="Stops earlier, after the route that is being asked."
    )
    parser.add_argument("--only", default="", help="Only routes whose way and path hold this.")
    chosen = parser.parse_args()
    told = routes(chosen.examples, chosen.seed, chosen.only, chosen.minutes)
    sys.stdout.write(json.dumps(told) + "\n")
    sys.exit(1 if told["bad"] or not told["alive"] else 0)


if __name__ == "__main__":
    main()
