"""Histories of everything that happens to ways in, drawn at random, against a plain model: alive is what the tables in docs/academy.md
leave alive, asked of the real doors. What once ended never opens again, whatever comes after, an older backup included."""

import random
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

import pytest

from threequarter.store.accounts import passwords, second_factor
from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.credentials import ENDS, Event
from threequarter.store.accounts.current_user import as_user
from threequarter.store.accounts.second_factor import SecondFactor
from threequarter.store.accounts.shares import Shares
from threequarter.store.accounts.sign_ins import SignIns
from threequarter.store.accounts.tokens import Tokens
from threequarter.store.backup.backup import backup
from threequarter.store.backup.restore import restore
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store
from threequarter.web.pending import Pending
from threequarter.web.security.resource_lookup import ResourceLookup

PASSWORD = "four quiet herons wade"
EVENTS = 60


@dataclass
class Way:
    """A way in that was made: its secret, whose, and whether the model says that it opens."""

    kind: str
    secret: str
    account: int
    day: int = 0
    alive: bool = True


class Life:
    """A store with two coaches, what was made in it, and what the tables say of it."""

    def __init__(self, folder: Path, rng: random.Random) -> None:
        self.folder, self.rng, self.ways, self.kept = folder, rng, list[Way](), 0
        self.open()
        people = Accounts(self.store)
        self.head = people.add("head", "Hedda Moss")
        self.accounts = [people.add("coach", name) for name in ("Kim Alder", "Jo Reed")]
        for account in self.accounts:
            people.accept(people.invite(account), PASSWORD)
        with as_user(None):
            self.day = PhoneBalls(self.store).begin("Wren Sedge")
            Roster(self.store).add("Ada Quill")
        self.owner = ["Wren Sedge", "Ada Quill"]

    def open(self) -> None:
        self.store = Store(self.folder / "data")
        self.lookup = ResourceLookup(self.store, Pending(self.folder / "pending"))

    def made(self, kind: str, secret: str, account: int) -> None:
        self.ways.append(Way(kind, secret, account))

    def ended(self, event: Event, account: int, but: str = "") -> None:
        for way in self.ways:
            if way.account == account and way.kind in ENDS[event] and way.secret != but:
                way.alive = False

    def opens(self, way: Way) -> bool:
        """What the door says."""
        if way.kind == "sign-ins":
            return SignIns(self.store).who(way.secret) is not None
        if way.kind == "pending sign-ins":
            return SecondFactor(self.store).half(way.secret) is not None
        if way.kind == "tokens":
            return self.lookup.script(second_factor.fingerprint(way.secret)) is not None
        if way.kind == "invitations":
            return Accounts(self.store).invited(way.secret) is not None
        return Shares(self.store).who(way.secret) is not None

    def cookie(self, account: int) -> str:
        """A browser of somebody that is signed in now."""
        found = [way.secret for way in self.ways if way.kind == "sign-ins" and way.account == account and way.alive]
        if not found:
            found = [SignIns(self.store).begin(account)]
            self.made("sign-ins", found[0], account)
        return self.rng.choice(found)

    # what happens

    def sign_in(self, account: int) -> None:
        self.made("sign-ins", SignIns(self.store).begin(account), account)

    def half(self, account: int) -> None:
        self.made("pending sign-ins", SecondFactor(self.store).begin_half(account), account)

    def token(self, account: int) -> None:
        signed_in = SignIns(self.store).who(self.cookie(account))
        assert signed_in
        with as_user(signed_in.who):
            self.made("tokens", Tokens(self.store).add(f"script {len(self.ways)}"), account)

    def invite(self, account: int) -> None:
        secret = Accounts(self.store).invite(account)
        self.ended("invitation made", account)
        self.made("invitations", secret, account)

    def accept(self, account: int) -> None:
        found = [way for way in self.ways if way.kind == "invitations" and way.account == account and way.alive]
        if found:
            Accounts(self.store).accept(found[0].secret, PASSWORD)
            self.ended("invitation taken", account)

    def password(self, account: int) -> None:
        cookie = self.cookie(account)
        this = SignIns(self.store).who(cookie)
        assert this
        SignIns(self.store).change_password(account, PASSWORD, PASSWORD, this=this.id)
        self.ended("password changed", account, cookie)

    def second_step(self, account: int) -> None:
        factor, cookie = SecondFactor(self.store), self.cookie(account)
        this = SignIns(self.store).who(cookie)
        assert this
        if factor.state(account).on:
            factor.switch_off(account)
            for way in self.ways:
                way.alive &= not (way.kind == "pending sign-ins" and way.account == account)
            return
        factor.begin(account)
        with patch.object(second_factor, "_take_code", return_value=True):
            factor.switch_on(account, "123456", this=this.id)
        self.ended("second step switched on", account, cookie)

    def role(self, account: int) -> None:
        Accounts(self.store).set_role(account, self.rng.choice(("head", "coach")))
        self.ended("role changed", account)

    def end(self, account: int) -> None:
        Accounts(self.store).end(account)
        self.ended("account ended", account)
        Accounts(self.store).reopen(account)

    def link(self, account: int) -> None:
        with as_user(None):
            self.ways.append(Way("links", Shares(self.store).make(self.day, "report"), 0, self.day))

    def give(self, account: int) -> None:
        with as_user(None):
            self.owner.reverse()
            Roster(self.store).give_session(self.day, self.owner[0])
        for way in self.ways:
            way.alive &= way.kind != "links"

    def back_up(self, account: int) -> None:
        self.kept += 1
        backup(self.store, self.folder / f"{self.kept}.zip")

    def go_back(self, account: int) -> None:
        """To any of the backups that were made: nobody is in, and nothing that was ended comes back."""
        if self.kept:
            self.store.close()
            restore(self.folder / f"{self.rng.randint(1, self.kept)}.zip", self.folder / "data", replace=True)
            self.open()
            with as_user(None):
                self.owner = ["Wren Sedge", "Ada Quill"]
                if self.store.session(self.day).player != "Wren Sedge":
                    self.owner.reverse()
            for way in self.ways:
                way.alive = False


ACTS: list[tuple[Callable[[Life, int], None], int]] = [
    (Life.sign_in, 6),
    (Life.half, 4),
    (Life.token, 5),
    (Life.invite, 5),
    (Life.accept, 3),
    (Life.password, 2),
    (Life.second_step, 2),
    (Life.role, 2),
    (Life.end, 1),
    (Life.link, 5),
    (Life.give, 1),
    (Life.back_up, 2),
    (Life.go_back, 3),
]


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(3))
def test_what_is_alive_is_what_the_tables_leave_alive(tmp_path: Path, seed: int) -> None:
    rng = random.Random(seed)
    with patch.multiple(passwords, PASSES=1, MEMORY_KIB=8):  # what a password costs is not asked here
        life, happened = Life(tmp_path, rng), list[str]()
        try:
            for _event in range(EVENTS):
                act = rng.choices([one for one, _often in ACTS], [often for _one, often in ACTS])[0]
                happened.append(act.__name__)
                act(life, rng.choice(life.accounts))
                wrong = [way for way in life.ways if life.opens(way) is not way.alive]
                assert wrong == [], (happened, wrong)
        finally:
            life.store.close()
        assert {"tokens", "links", "invitations", "sign-ins"} <= {way.kind for way in life.ways if not way.alive}


def test_a_used_invitation_and_an_ended_link_do_not_come_back_with_an_older_backup(tmp_path: Path) -> None:
    with Store(tmp_path / "a") as store:
        kim = Accounts(store).add("head", "Kim Alder")
        day = PhoneBalls(store).begin("Wren Sedge")
        link, invitation = Shares(store).make(day, "report"), Accounts(store).invite(kim)
        backup(store, tmp_path / "b.zip")
        Accounts(store).accept(invitation, PASSWORD)
        Shares(store).revoke(1)
    restore(tmp_path / "b.zip", tmp_path / "a", replace=True)
    with Store(tmp_path / "a") as store:
        assert Accounts(store).invited(invitation) is None
        assert Shares(store).who(link) is None
        assert Accounts(store).invited(Accounts(store).invite(kim)) is not None
