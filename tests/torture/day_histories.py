"""Histories of days joined, parted and moved, taken back and done again while phones send: every ball once, as last typed.

    python -m tests.torture.day_histories [--histories 1000] [--seed 1] [--on sqlite|postgresql|both] [--plant lost|twice]

A history is one seed: a player's days, each with a phone that types, changes, resends late and out of order, while somebody at the
desk joins days, parts balls into new ones, moves them, takes acts back and does them again. At the end all is quiet, each phone has
what it wanted acknowledged, and the balls of all days together are compared with what the phones have.
"""

import argparse
import json
import random
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import select
from tests.postgres_support import Server
from tests.torture.histories import YARD_M, Phone, Request, Shop

from threequarter.golf.errors import UserError
from threequarter.store.balls.days import Days
from threequarter.store.database.schema import BallRow
from threequarter.store.history.history import History
from threequarter.store.store import Store


class Desk:
    """Somebody who puts days right while balls come in. What cannot be is refused, and is nothing done."""

    def __init__(self, store: Store, days: list[int], rng: random.Random) -> None:
        self.store, self.days, self.rng = store, days, rng
        self.acts: list[tuple[str, int]] = []
        self.done: Counter[str] = Counter()

    def act(self) -> None:
        kind = self.rng.choice(("join", "part", "move", "move", "back", "back", "again"))
        try:
            self._act(kind)
        except UserError:
            self.done["refused"] += 1
        else:
            self.done[kind] += 1

    def _act(self, kind: str) -> None:
        days, history = Days(self.store), History(self.store)
        one, other = (self.rng.choice(self.days) for _ in range(2))
        if kind == "join":
            self.acts.append(("join", days.join(one, other)))
        elif kind in ("part", "move"):
            kept = [ball.id for ball in self.store.kept_balls(one)]
            chosen = self.rng.sample(kept, self.rng.randint(0, len(kept)))
            if kind == "part":
                made, act = days.part(one, chosen)
                self.days.append(made)
            else:
                act = days.move(one, other, chosen)
            self.acts.append(("move balls", act))
        elif self.acts:
            what, act = self.rng.choice(self.acts)
            (history.take_back if kind == "back" else history.again)(what, act)


def history(store: Store, seed: int, plant: str = "") -> tuple[list[str], Counter[str]]:
    """Runs one history; returns what is wrong, nothing where all is well, and what was done."""
    rng = random.Random(seed)
    shop = Shop(store, plant, rng)
    player = f"Wren {seed}"
    days = [shop.bucket.begin(player) for _ in range(rng.randint(2, 3))]
    phones = [(Phone(f"d{seed}-{i}", rng), day) for i, day in enumerate(days)]
    desk = Desk(store, list(days), rng)
    late: list[tuple[Phone, int, Request]] = []
    for _ in range(rng.randint(6, 12)):
        phone, day = rng.choice(phones)
        for _ in range(rng.randint(1, 3)):
            phone.act()
        late.append((phone, day, phone.request()))
        if rng.random() < 0.6:
            sender, where, request = rng.choice(late)
            told = shop.take(where, request, sender.name)
            if rng.random() < 0.6:
                sender.hear(told)
        if rng.random() < 0.5:
            desk.act()
    rng.shuffle(late)
    for sender, where, request in late:
        shop.take(where, request, sender.name)
        if rng.random() < 0.2:
            desk.act()
    for phone, day in phones:
        for _ in range(3):
            phone.hear(shop.take(day, phone.everything(), phone.name))
    return _judge(store, player, desk.days, [phone for phone, _day in phones]), desk.done


def _judge(store: Store, player: str, days: list[int], phones: list[Phone]) -> list[str]:
    wanted = {ball.key: ball for phone in phones for ball in phone.balls}
    found: dict[str, list[Any]] = {}
    with store.reading() as session:
        mine = f"{phones[0].name.partition('-')[0]}-%"
        rows = session.execute(select(BallRow.id, BallRow.client_key).where(BallRow.client_key.like(mine)))
        keys = {row.id: row.client_key for row in rows}
    for day in dict.fromkeys(days):
        for kept in store.kept_balls(day):
            found.setdefault(keys.get(kept.id, f"ball {kept.id} without a key"), []).append(kept)
    listed = sum(info.balls for info in store.sessions([player]))
    wrong = [f"{key} is there {len(kept)} times" for key, kept in found.items() if len(kept) > 1]
    wrong += [f"{key} was never typed" for key in found if key not in wanted]
    wrong += [f"{key} is missing" for key in wanted if key not in found]
    if listed != len(wanted):
        wrong.append(f"the lists count {listed} balls, the phones {len(wanted)}")
    for key, ball in wanted.items():
        for kept in found.get(key, ())[:1]:
            if (kept.left_out_why is not None) != ball.back:
                wrong.append(f"{key}: in or out is not as its phone has it")
            if abs(kept.ball.distance_m - ball.carry * YARD_M) > 1e-6:
                wrong.append(f"{key} has {kept.ball.distance_m / YARD_M:.1f}, its phone {ball.carry}")
    return wrong


def histories(count: int, seed: int, plant: str = "", on: str = "sqlite") -> dict[str, Any]:
    """Runs histories seed, seed + 1, ...; returns what was counted. Raises AssertionError with the first that went wrong."""
    done = Counter[str]()
    with _store(on) as store:
        for one in range(seed, seed + count):
            wrong, did = history(store, one, plant)
            if wrong:
                raise AssertionError({"on": on, "history": one, "after": one - seed + 1, "wrong": wrong[:5]})
            done += did
    return {"on": on, "histories": count, "first_seed": seed, "wrong": 0, "done": dict(done)}


@contextmanager
def _store(on: str) -> Iterator[Store]:
    """An empty store that goes away, in memory where that is possible."""
    memory, database = Path("/dev/shm"), Server() if on == "postgresql" else None
    try:
        if database:
            database.start()
        url = database.url() if database else None
        scratch = tempfile.TemporaryDirectory(prefix="threequarter-days-", dir=memory if memory.is_dir() else None)
        with scratch as folder, Store.open(Path(folder), url) as store:
            yield store
    finally:
        if database:
            database.remove()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--histories", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--on", choices=["sqlite", "postgresql", "both"], default="both")
    parser.add_argument("--plant", choices=["", "lost", "twice"], default="")
    chosen = parser.parse_args()
    for on in ("sqlite", "postgresql") if chosen.on == "both" else (chosen.on,):
        sys.stdout.write(json.dumps(histories(chosen.histories, chosen.seed, chosen.plant, on)) + "\n")


if __name__ == "__main__":
    main()
