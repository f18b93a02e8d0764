"""Requests that go well, each with one to three places twisted: what is of another type, endless, broken or no text at all.

    python -m tests.torture.bodies [--requests 10000] [--seed 1] [--minutes 5]

Every route a coach may ask, with things of the coach's own, so that the twisted place is really looked at: parts of the address, query,
form, and bodies in JSON down to each value, whole branches of them, and bytes that are no JSON. Nothing may be a fault of ours.
"""

import argparse
import json
import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]
import httpx2  # noqa: E402
from tests.web.asked_of_rooms import Asker, Sent, places, put, with_value  # noqa: E402
from tests.web.two_rooms import two_rooms  # noqa: E402

from threequarter.web.security.policy import Level, allows  # noqa: E402

DEEP: Any = "x"
for _ in range(60):
    DEEP = [DEEP]
TEXTS = (
    "",
    " ",
    "\x00",
    "\ud800",
    "\u202eevil",
    "³",
    "٣",
    "-1",
    "0",
    "1e308",
    "1e999",
    "nan",
    "-inf",
    "9" * 400,
    "9" * 5000,
    "a" * 70_000,
    "=1+1",
    "' OR 1=1 --",
    "../../etc/passwd",
    "%00",
    "{{7*7}}",
    "2026-02-30",
    "9999-12-31",
    "0000-00-00",
    "名\u0301",
    "a/b",
    "#1",
    "\r\nset-cookie: a=b",
)
VALUES = (
    *TEXTS,
    None,
    True,
    False,
    0,
    -1,
    2**31,
    2**63,
    -(10**30),
    1.5,
    1e308,
    [],
    {},
    [None],
    {"key": "x"},
    DEEP,
    [["a"]] * 50,
)
BROKEN = (
    b"",
    b"{",
    b"\xff\xfe",
    b"[" * 20_000,
    b'{"a":NaN}',
    b'{"a":1e999}',
    b"null",
    b"[]",
    b'"x"',
    b"1",
    b'{"balls":' + b"[" * 500,
)


def twisted(sent: Sent, rng: random.Random) -> Sent:
    """The request with one to three places twisted."""
    for _time in range(rng.choice((1, 1, 2, 3))):
        found = [one for one in places(sent) if one[0] != "all parts"]
        if not found:
            return sent
        place, way, _now = rng.choice(found)
        if place == "json":
            way = way[: rng.randint(1, len(way))] if way else way
            sent = Sent(sent.parts, sent.query, sent.form, sent.files, put(sent.json, way, rng.choice(VALUES)))
        else:
            sent = with_value(sent, place, way, rng.choice(TEXTS) if place != "parts" else rng.choice(TEXTS[4:]))
    return sent


def bodies(requests: int, seed: int, minutes: float) -> dict[str, Any]:
    """Runs the rig; under "bad" each request that was a fault of ours."""
    rng, answers, bad, over = random.Random(seed), Counter[str](), list[str](), time.monotonic() + 60 * minutes
    with tempfile.TemporaryDirectory(prefix="threequarter-bodies-") as scratch, two_rooms(Path(scratch)) as rooms:
        asker = Asker(rooms)
        asked = [
            (method, route)
            for method, route in asker.description.routes
            if allows(route.need.level, role="coach", coaches=True, script=False)
            and route.need.level is not Level.NEVER
        ]
        while sum(answers.values()) < requests and time.monotonic() < over:
            method, route = rng.choice(asked)
            made = twisted(asker.description.sent(method, route), rng)
            try:
                if made.json is not None and rng.random() < 0.1:
                    path = (
                        route.path.format(**{k.split(":")[0]: v for k, v in made.parts.items()})
                        if "{" in route.path and ":path" not in route.path
                        else route.path
                    )
                    answer = rooms.clients["coach"].request(
                        method, path, content=rng.choice(BROKEN), headers={"content-type": "application/json"}
                    )
                else:
                    answer = asker.ask("coach", method, route.path, made)
            except (UnicodeError, ValueError, httpx2.InvalidURL):
                answers["could not be sent"] += 1
                continue
            rooms.watched.put_back()
            answers[str(answer.status_code)] += 1
            if answer.status_code >= 500 or "Traceback (most" in answer.text[:100_000]:
                bad.append(f"{answer.status_code} {method} {route.path} {made!r:.400}")
    return {"requests": sum(answers.values()), "seed": seed, "answers": dict(answers), "bad": bad[:40]}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--requests", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=1000.0)
    chosen = parser.parse_args()
    told = bodies(chosen.requests, chosen.seed, chosen.minutes)
    sys.stdout.write(json.dumps(told) + "\n")
    sys.exit(1 if told["bad"] else 0)


if __name__ == "__main__":
    main()
