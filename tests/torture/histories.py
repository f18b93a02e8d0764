"""Histories of phones that resend, reorder, lose answers and split batches: every ball once, as its phone last had it.

    python tests/torture/histories.py [--histories 10000] [--seed 1] [--plant lost|twice|stale|dropped]

A history is one seed: some phones type, change and take back balls while the network between them and the store loses requests and
answers, delivers old requests late and again, and two phones may send one key with other content. Every other bucket was begun on a
phone without a server: it is begun here under its key again and again, and files that the phones saved of themselves come in too, old
ones after new ones, some twice. At the end all is quiet and each phone has what it wanted acknowledged; then the store is compared
with a plain model. Each planted fault must be found within
1 000 histories.
"""

import argparse
import datetime
import hashlib
import json
import random
import sys
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from threequarter.app.phone_copy import FORMAT, bring_in, read_copy
from threequarter.store.balls.phone_balls import Outcome, PhoneBalls
from threequarter.store.store import Store

YARD_M = 0.9144


@dataclass
class Typed:
    """A ball as its phone has it. `rev` counts changes; `told` is the highest that the store acknowledged."""

    key: str
    carry: int
    rev: int = 0
    back: bool = False
    sent: bool = False
    told: int = 0
    other: int | None = None  # the same key on another phone, with this carry

    def ball(self, carry: int | None = None) -> dict[str, Any]:
        return {"key": self.key, "club": "54", "swing": "waist", "carry": carry or self.carry, "unit": "yd"}


@dataclass
class Request:
    balls: list[dict[str, Any]] = field(default_factory=list)
    changes: list[dict[str, Any]] = field(default_factory=list)


class Phone:
    """Types and sends. What it asked for once may arrive at any later time, or more than once."""

    def __init__(self, name: str, rng: random.Random) -> None:
        self.name, self.rng = name, rng
        self.balls: list[Typed] = []

    def act(self) -> None:
        """A thumb's work: a new ball, a change, one taken back or brought again."""
        ready = [ball for ball in self.balls if ball.sent]
        if not ready or self.rng.random() < 0.5:
            self.balls.append(Typed(f"{self.name}-{len(self.balls):06d}", self.rng.randint(30, 80)))
            return
        ball = self.rng.choice(ready)
        ball.rev += 1
        if self.rng.random() < 0.5:
            ball.back = not ball.back
        else:
            ball.carry = self.rng.randint(30, 80)

    def request(self) -> Request:
        """Some of what is not acknowledged, split as it comes."""
        fresh = [ball.ball() for ball in self.balls if not ball.sent]
        changed = [
            ball.ball() | {"rev": ball.rev, "back": ball.back}
            for ball in self.balls
            if ball.sent and ball.told < ball.rev
        ]
        pick = self.rng.randint
        return Request(self.rng.sample(fresh, pick(0, len(fresh))), self.rng.sample(changed, pick(0, len(changed))))

    def everything(self) -> Request:
        fresh = [ball.ball() for ball in self.balls if not ball.sent]
        changed = [
            ball.ball() | {"rev": ball.rev, "back": ball.back}
            for ball in self.balls
            if ball.sent and ball.told < ball.rev
        ]
        return Request(fresh, changed)

    def saved(self, key: str, player: str) -> bytes:
        """The file that the phone saves of itself: all its balls as it has them now."""
        balls = [ball.ball() | {"edits": ball.rev, "back": ball.back, "at": 0} for ball in self.balls]
        bucket = {
            "key": key,
            "player": player,
            "unit": "yd",
            "clubs": ["54"],
            "swings": ["waist"],
            "at": 0,
            "balls": balls,
        }
        return json.dumps({"format": FORMAT, "buckets": [bucket]}).encode()

    def hear(self, outcomes: list[Outcome]) -> None:
        known = {ball.key: ball for ball in self.balls}
        for outcome in outcomes:
            ball = known.get(outcome.key)
            if ball is None:
                continue
            if outcome.state in ("saved", "known", "conflict"):
                ball.sent = True
            elif outcome.state == "changed":
                ball.told = max(ball.told, outcome.rev)


class Shop:
    """The store, with a fault planted in front of it where asked."""

    def __init__(self, store: Store, plant: str, rng: random.Random) -> None:
        self.bucket, self.plant, self.rng = PhoneBalls(store), plant, rng

    def take(self, session: int, request: Request, phone: str) -> list[Outcome]:
        balls, changes = list(request.balls), list(request.changes)
        faulty = self.rng.random() < 0.02
        if faulty and self.plant == "lost" and balls:
            gone = balls.pop()
            return [
                *self.bucket.take(session, balls, changes=changes, phone=phone),
                Outcome(key=gone["key"], state="saved"),
            ]
        if faulty and self.plant == "twice" and balls:
            balls.append(balls[0] | {"key": balls[0]["key"] + "-again"})
        if faulty and self.plant == "dropped" and changes:
            gone = changes.pop()
            told = self.bucket.take(session, balls, changes=changes, phone=phone)
            return [*told, Outcome(key=gone["key"], state="changed", rev=gone["rev"])]
        if self.plant == "stale" and changes:  # an old change that comes late wins
            changes = [one | {"rev": one["rev"] + (50 if faulty else 0)} for one in changes]
        return self.bucket.take(session, balls, changes=changes, phone=phone)


def history(store: Store, seed: int, plant: str = "") -> list[str]:
    """Runs one history; returns what is wrong, nothing where all is well."""
    rng = random.Random(seed)
    shop = Shop(store, plant, rng)
    player, key = f"Wren {seed}", hashlib.md5(str(seed).encode()).hexdigest() if seed % 2 else None
    session = shop.bucket.begin(player, key=key)
    phones = [Phone(f"h{seed}-{i}", rng) for i in range(rng.randint(1, 3))]
    late: list[tuple[Phone, Request]] = []
    files: list[bytes] = []
    for _ in range(rng.randint(4, 9)):
        phone = rng.choice(phones)
        for _ in range(rng.randint(1, 3)):
            phone.act()
        late.append((phone, phone.request()))
        if key:
            files.append(phone.saved(key, player))
            _come_in(store, rng.choices(files, k=rng.randint(0, 1)), session)
            assert shop.bucket.begin(player, key=key) == session
        if rng.random() < 0.2:
            late.append((phone, _same_key_elsewhere(phone, rng)))
        if rng.random() < 0.6:
            sender, request = rng.choice(late)  # any that is under way, again perhaps
            told = shop.take(session, request, sender.name)
            if rng.random() < 0.6:
                sender.hear(told)
    rng.shuffle(late)
    for sender, request in late:
        shop.take(session, request, sender.name)
        _come_in(store, files[: rng.random() < 0.1], session)
    for phone in phones:
        for _ in range(3):
            phone.hear(shop.take(session, phone.everything(), phone.name))
    return _judge(store, session, phones)


def _come_in(store: Store, files: list[bytes], session: int) -> None:
    for file in files:
        found = bring_in(store, read_copy(file), datetime.datetime.now(datetime.UTC).replace(tzinfo=None))
        assert (found.sessions, found.refused) == ([session], [])


def _same_key_elsewhere(phone: Phone, rng: random.Random) -> Request:
    """A copy of the page on another phone has one of the balls with other content: both have to be kept."""
    if not phone.balls:
        return Request()
    ball = rng.choice(phone.balls)
    ball.other = ball.carry + 100
    return Request([ball.ball(ball.other)])


def _judge(store: Store, session: int, phones: list[Phone]) -> list[str]:
    import pysqlite3.dbapi2 as sqlite

    base = sqlite.connect(store.data_dir / "threequarter.db")
    sql = 'SELECT client_key, body FROM ball JOIN "import" i ON i.id = import_id WHERE i.session_id = ?'
    first = [(key, json.loads(body)) for key, body in base.execute(sql, (session,))]
    aside = [
        row[0]
        for row in base.execute(
            'SELECT text FROM rejected_row JOIN "import" i ON i.id = import_id WHERE i.session_id = ?', (session,)
        )
    ]
    base.close()
    keys = [key for key, _ in first]
    wanted = {ball.key: ball for phone in phones for ball in phone.balls}
    wrong = [f"{key} is there twice" for key in set(keys) if keys.count(key) > 1]
    wrong += [f"{key} was never typed" for key in keys if key not in wanted]
    wrong += [f"{key} is missing" for key in wanted if key not in keys]
    carries = [json.loads(text)["distance_m"] for text in aside] + [body["distance_m"] for _, body in first]
    for ball in wanted.values():
        if ball.other is not None and not any(abs(carry - ball.other * YARD_M) < 1e-6 for carry in carries):
            wrong.append(f"{ball.key}: the other content is nowhere")
    stands = {kept.id: kept for kept in store.kept_balls(session)}
    wrong += _as_last_typed(stands, wanted, store, session)
    return wrong


def _as_last_typed(stands: dict[int, Any], wanted: dict[str, Typed], store: Store, session: int) -> list[str]:
    """Each ball whose key only one phone had stands with the content its phone last gave it, and is out where taken back."""
    import pysqlite3.dbapi2 as sqlite

    base = sqlite.connect(store.data_dir / "threequarter.db")
    ids = dict(
        base.execute(
            'SELECT client_key, ball.id FROM ball JOIN "import" i ON i.id = import_id WHERE i.session_id = ?',
            (session,),
        )
    )
    base.close()
    wrong = []
    for key, ball in wanted.items():
        kept = stands.get(ids.get(key, -1))
        if kept is None or (ball.other is not None and ball.rev == 0):
            continue  # told above; or whichever of the two came first
        out = kept.left_out_why is not None
        if out != ball.back:
            wrong.append(f"{key} is {'out' if out else 'in'}, its phone has it {'out' if ball.back else 'in'}")
        if abs(kept.ball.distance_m - ball.carry * YARD_M) > 1e-6:
            wrong.append(f"{key} has {kept.ball.distance_m / YARD_M:.1f}, its phone {ball.carry}")
    return wrong


def histories(count: int, seed: int, plant: str = "") -> dict[str, Any]:
    """Runs histories seed, seed + 1, …; returns what was counted. Raises AssertionError with the first that went wrong."""
    memory = Path("/dev/shm")
    scratch = tempfile.TemporaryDirectory(prefix="threequarter-phones-", dir=memory if memory.is_dir() else None)
    with scratch as folder, Store.open(Path(folder)) as store:
        for one in range(seed, seed + count):
            if wrong := history(store, one, plant):
                raise AssertionError({"history": one, "after": one - seed + 1, "wrong": wrong[:5]})
    return {"histories": count, "first_seed": seed, "wrong": 0}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--histories", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--plant", choices=["", "lost", "twice", "stale", "dropped"], default="")
    chosen = parser.parse_args()
    sys.stdout.write(json.dumps(histories(chosen.histories, chosen.seed, chosen.plant)) + "\n")


if __name__ == "__main__":
    main()
