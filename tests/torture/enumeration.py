"""Does the time of an answer tell whether something is there? Each pair of questions is asked in turn, and the ranks are compared.

    python tests/torture/enumeration.py [--tries 1000] [--only TEXT]

Names at the sign-in, links, invitations, script tokens, pairing codes, and sessions, players and keys of balls of another room: one
question of each pair names what is there (and must not be seen), the other what is not. Taken is the processor time of the whole
process, so that others on the machine count less; compared by Mann-Whitney. `auc` is how often the one that is there took longer than
the one that is not: 0.5 where nothing can be told. The limits of tries are lifted, or nothing would be reached.
"""

import argparse
import json
import re
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final
from unittest.mock import patch

from scipy.stats import mannwhitneyu
from sqlalchemy import event

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parents[1]))
from tests.web.academy_support import Academy, academy, who

from threequarter.store.accounts import passwords, rate_limit
from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.current_user import as_user
from threequarter.store.accounts.shares import Shares
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.web.phones.pairing import Pairing

KEY: Final = "ball-of-the-first-coach"
UNSEEN: Final = 0.05
"""How far from a half `auc` may be. With 1 000 tries it lies within 0.025 of it by chance 95 times of 100."""
Ask = Callable[[], Any]


def pairs(made: Academy, folder: Path) -> dict[str, tuple[Ask, Ask]]:
    """What is asked: (there, not there)."""
    ids, people = made.ids, Accounts(made.store)
    with as_user(who(made.store, made.accounts["Ash Marram"])):
        link = Shares(made.store).make(ids["session_id"], "card")
        Shares(made.store).revoke(max(one.id for one in Shares(made.store).of_sessions([ids["session_id"]])))
        typed = {"key": KEY, "club": "54", "swing": "waist", "carry": 30.2, "unit": "m"}
        PhoneBalls(made.store).take(ids["bucket"], [typed])
    with as_user(who(made.store, made.accounts["Lee Bent"])):
        mine = PhoneBalls(made.store).begin("Jo Reed")
    invited = people.invite(made.accounts["Robin"])
    people.invite(made.accounts["Robin"])  # a newer one ends the first
    stranger, other = made.client("nobody"), made.client("other coach")
    pairing, none = Pairing(folder), "A" * len(link)
    code = pairing.code()

    def sign_in(name: str) -> Ask:
        return lambda: stranger.post("/sign-in", data={"name": name, "password": "not the right words"})

    def get(client: Any, path: str) -> Ask:
        return lambda: client.get(path)

    def moved(key: str, to: int) -> Ask:
        return lambda: other.post(f"/api/sessions/{mine}/move", json={"keys": [key], "to": to})

    def paired(typed: str) -> Ask:
        def ask() -> Any:
            pairing._wrong.clear()
            return pairing.pair(typed, "guess", "192.168.1.66")

        return ask

    return {
        "name at the sign-in": (sign_in("Ash Marram"), sign_in("Ida Marram")),
        "link that was ended": (get(stranger, f"/shared/{link}"), get(stranger, f"/shared/{none}")),
        "invitation that was ended": (
            get(stranger, f"/invitation/{invited}"),
            get(stranger, f"/invitation/{'A' * len(invited)}"),
        ),
        "session of another room": (get(other, f"/sessions/{ids['session_id']}"), get(other, "/sessions/99999")),
        "chart of another room": (
            get(other, f"/api/sessions/{ids['session_id']}/chart"),
            get(other, "/api/sessions/99999/chart"),
        ),
        "player of another room": (get(other, "/players/Robin%20Sedge"), get(other, "/players/Corin%20Sedge")),
        "ball's key of another room": (moved(KEY, mine), moved("ball-of-the-third-coach", mine)),
        "session to move to": (moved(KEY, ids["bucket"]), moved(KEY, 0)),
        "pairing code, all but the last digit": (
            paired(code[:7] + str((int(code[7]) + 1) % 10)),
            paired(str((int(code[0]) + 1) % 10) + code[1:]),
        ),
    }


@contextmanager
def rig(folder: Path) -> Iterator[tuple[Academy, dict[str, tuple[Ask, Ask]]]]:
    """An academy with the questions, no limit of tries."""
    most = [name for name in vars(rate_limit) if name.startswith("MOST_")]
    with patch.multiple(rate_limit, **dict.fromkeys(most, 10**9)), academy(folder) as made:
        yield made, pairs(made, folder / "phones")


def said(answer: Any) -> tuple[int, str]:
    """What an answer says, without the id of its request and the numbers and secrets that were asked about."""
    if not hasattr(answer, "text"):
        return 0, repr(answer)
    text = answer.text.replace(answer.headers.get("x-request-id", "-"), "ID")
    return answer.status_code, re.sub(r"\d+", "N", re.sub(r"[\w-]{30,}", "SECRET", text))


def work_of(made: Academy, ask: Ask) -> tuple[list[str], int]:
    """The statements that a question has the database do, and how many passwords are hashed: work, not time."""
    done: list[str] = []

    def note(_connection: Any, _cursor: Any, statement: str, *_rest: Any) -> None:
        done.append(statement)

    event.listen(made.store.engine, "before_cursor_execute", note)
    try:
        with patch.object(passwords, "_hasher", wraps=passwords._hasher) as hashed:
            ask()
        return done, hashed.call_count
    finally:
        event.remove(made.store.engine, "before_cursor_execute", note)


def compared(there: Ask, none: Ask, tries: int) -> dict[str, float]:
    """Ranks of processor times, each question in turn, who begins changes."""
    times: tuple[list[float], list[float]] = ([], [])
    for number in range(tries + 5):
        for which in (0, 1) if number % 2 else (1, 0):
            begun = time.process_time()
            (there, none)[which]()
            if number >= 5:  # the first ones only warm up
                times[which].append(time.process_time() - begun)
    found = mannwhitneyu(*times)
    return {
        "auc": round(float(found.statistic) / tries**2, 3),
        "p": round(float(found.pvalue), 4),
        "median_ms": round(1000 * sorted(times[0])[tries // 2], 2),
    }


def enumerate_all(tries: int, only: str = "") -> dict[str, Any]:
    """Runs the rig; under "bad" each pair that time tells apart."""
    with tempfile.TemporaryDirectory(prefix="threequarter-ranks-") as scratch, rig(Path(scratch)) as (_made, asked):
        found = {name: compared(*pair, tries) for name, pair in asked.items() if only in name}
    bad = [name for name, told in found.items() if abs(told["auc"] - 0.5) > UNSEEN and told["p"] < 0.001]
    return {"tries": tries, "pairs": found, "bad": bad}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--tries", type=int, default=1000)
    parser.add_argument("--only", default="", help="Only pairs whose name holds this.")
    chosen = parser.parse_args()
    told = enumerate_all(chosen.tries, chosen.only)
    sys.stdout.write(json.dumps(told) + "\n")
    sys.exit(1 if told["bad"] else 0)


if __name__ == "__main__":
    main()
