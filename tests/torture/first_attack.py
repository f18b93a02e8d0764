"""What a first attack got through in release 0.1.0, asked again of any release, by its interface alone.

    PYTHONPATH=RELEASE/src python tests/torture/first_attack.py [--quick]

Prints for each whether it still gets through (null: it could not be asked there, with the reason on standard error). What of that attack
is not here (links that follow a day, a head who becomes a coach) has tests of its own; docs/torture.md names them.
"""

import contextlib
import json
import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import requests

sys.path.insert(0, str(Path(__file__).parent))
from first_attack_doors import DOORS

KEY = "d1f0c2a4-0001"
PATIENCE_S = 30.0


def ball(key: str = KEY, **more: Any) -> dict[str, Any]:
    return {"key": key, "club": "54", "swing": "waist", "carry": 30.2, "unit": "m", **more}


class Release:
    """A server of the release on the path."""

    def __init__(self, folder: Path) -> None:
        command = [
            sys.executable,
            "-u",
            "-m",
            "threequarter",
            "serve",
            "--port",
            "0",
            "--no-browser",
            "--data",
            str(folder),
        ]
        self.child = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, env=os.environ
        )
        assert self.child.stdout is not None
        found = re.search(r"http://127\.0\.0\.1:\d+", self.child.stdout.readline())
        assert found, "the server did not come up"
        self.address = found[0]

    def day(self, player: str) -> int:
        answer = requests.post(f"{self.address}/bucket", data={"player": player, "unit": "m"}, timeout=PATIENCE_S)
        found = re.search(r"/bucket/(\d+)", answer.url)
        assert found, answer.text
        return int(found[1])

    def send(self, day: int, timeout: float = PATIENCE_S, **told: Any) -> Any:
        return requests.post(f"{self.address}/api/sessions/{day}/balls", json=told, timeout=timeout)

    def carries(self, day: int) -> list[float]:
        answer = requests.get(f"{self.address}/api/sessions/{day}/balls", timeout=PATIENCE_S)
        return [one["carry_m"] for one in answer.json() if one["use"]]


def a_key_reaches_into_another_session(one: Release) -> bool:
    theirs, mine = one.day("Wren Sedge"), one.day("Ada Quill")
    one.send(theirs, balls=[ball("theirs-only-1")])
    one.send(mine, changes=[ball("theirs-only-1", carry=101.5, rev=1)])
    one.send(mine, back=["theirs-only-1"])
    return one.carries(theirs) != [30.2]


def known_is_said_of_a_ball_that_lies_elsewhere(one: Release) -> bool:
    theirs, mine = one.day("Robin Fern"), one.day("Jo Fern")
    one.send(theirs, balls=[ball("the-same-key")])
    one.send(mine, balls=[ball("the-same-key")])
    return one.carries(mine) != [30.2]


def wrong_types_are_a_fault(one: Release) -> bool:
    day, bad = one.day("Sam Lyme"), []
    for name in ("unit", "by", "strike", "club", "key"):
        for value in ([], {}, ["x"], {"a": 1}):
            bad.append(one.send(day, balls=[ball("of-another-type") | {name: value}]).status_code)
    lone = json.dumps({"balls": [ball("\ud800 alone")]})
    headers = {"content-type": "application/json"}
    bad.append(
        requests.post(
            f"{one.address}/api/sessions/{day}/balls", data=lone, headers=headers, timeout=PATIENCE_S
        ).status_code
    )
    return any(status >= 500 for status in bad)


def many_names_of_swings_silence_the_server(one: Release) -> bool:
    """5 clubs and 90 swing names in 90 balls: the practice page is asked for, and /health beside it."""
    day = one.day("Kit Harrow")
    clubs = ("46", "50", "54", "58", "60")
    one.send(
        day,
        balls=[ball(f"many-names-{n:03}", club=clubs[n % 5], swing=f"name {n}", carry=30 + n % 40) for n in range(90)],
    )
    asked = subprocess.Popen(
        [
            sys.executable,
            "-c",
            f"import requests; requests.post('{one.address}/sessions/{day}/practice', data={{'unit': 'm', 'ended-1': '40', 'called-1': '41'}}, timeout=200)",
        ],
        stderr=subprocess.DEVNULL,
    )
    slowest, over = 0.0, time.monotonic() + 20
    while asked.poll() is None and time.monotonic() < over:
        begun = time.monotonic()
        with contextlib.suppress(requests.RequestException):
            requests.get(f"{one.address}/health", timeout=10)
        slowest = max(slowest, time.monotonic() - begun)
        time.sleep(0.1)
    asked.kill()
    asked.wait()
    return slowest > 5.0


ATTACKS: tuple[Callable[[Release], bool], ...] = (
    a_key_reaches_into_another_session,
    known_is_said_of_a_ball_that_lies_elsewhere,
    wrong_types_are_a_fault,
    many_names_of_swings_silence_the_server,
)


def first_attack(*, quick: bool = False) -> dict[str, bool | None]:
    """Whether each of them gets through, None for one that could not be asked; `quick` leaves out those that other tests hold."""
    told: dict[str, bool | None] = {**_by_keys()}
    for attack in () if quick else DOORS:
        with tempfile.TemporaryDirectory(prefix="threequarter-attack-", ignore_cleanup_errors=True) as scratch:
            name = attack.__name__.replace("_", " ")
            try:
                told[name] = attack(Path(scratch))
            except (AssertionError, requests.RequestException) as error:
                sys.stderr.write(f"{name}: {error!r:.600}\n")
                told[name] = None
    return told


def _by_keys() -> dict[str, bool]:
    with tempfile.TemporaryDirectory(prefix="threequarter-attack-", ignore_cleanup_errors=True) as scratch:
        one = Release(Path(scratch) / "data")
        try:
            return {attack.__name__.replace("_", " "): attack(one) for attack in ATTACKS}
        finally:
            one.child.kill()
            one.child.wait()
            assert one.child.stdout is not None
            one.child.stdout.close()


if __name__ == "__main__":
    told = first_attack(quick="--quick" in sys.argv[1:])
    sys.stdout.write(json.dumps(told) + "\n")
    sys.exit(0 if set(told.values()) == {False} else 1)
