"""Each credential has one life: every event ends what the table says, no more and no less, and links never change hands."""

from collections.abc import Callable
from pathlib import Path
from typing import get_args
from unittest.mock import patch

import pytest
from sqlalchemy import func, select
from tests.saying import raises_saying

from threequarter.golf.errors import NotThereError, UserError
from threequarter.store.accounts import second_factor
from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.credentials import ENDS, Credential, Event
from threequarter.store.accounts.current_user import as_user
from threequarter.store.accounts.second_factor import SecondFactor
from threequarter.store.accounts.secrets import new_secret
from threequarter.store.accounts.shares import Shares
from threequarter.store.accounts.sign_ins import SignIns
from threequarter.store.accounts.tables import (
    InvitationRow,
    PasskeyRow,
    PendingSignInRow,
    SecondFactorRow,
    SignInRow,
)
from threequarter.store.accounts.tokens import Tokens
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.database.schema import TokenRow
from threequarter.store.history.history import History
from threequarter.store.imports.save_import import now_utc
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store

PASSWORD = "four quiet herons wade"
OTHER = "seven slow barges turn"


def furnish(store: Store, account_id: int) -> str:
    """An account with one credential of each kind; returns the cookie of the browser that acts."""
    accounts = Accounts(store)
    accounts.accept(accounts.invite(account_id), PASSWORD)
    cookie = SignIns(store).begin(account_id)
    SignIns(store).begin(account_id)
    SecondFactor(store).begin_half(account_id)
    with store.writing() as session, as_user(None):
        session.add(
            PasskeyRow(
                account_id=account_id,
                key=new_secret(),
                credential="c",
                public_key="k",
                sign_count=0,
                name="a passkey",
                made_at=now_utc(),
                used_at=None,
            )
        )
        session.add(
            TokenRow(
                name="nightly",
                fingerprint=new_secret(),
                rights="write",
                account_id=account_id,
                made_at=now_utc(),
                used_at=None,
            )
        )
    SecondFactor(store).begin(account_id)
    accounts.invite(account_id)
    return cookie


def alive(store: Store, account_id: int) -> dict[Credential, int]:
    open_invitation = (InvitationRow.used_at.is_(None), InvitationRow.revoked_at.is_(None))
    counted = {
        "sign-ins": select(func.count()).select_from(SignInRow).where(SignInRow.account_id == account_id),
        "pending sign-ins": select(func.count())
        .select_from(PendingSignInRow)
        .where(PendingSignInRow.account_id == account_id),
        "passkeys": select(func.count()).select_from(PasskeyRow).where(PasskeyRow.account_id == account_id),
        "tokens": select(func.count()).select_from(TokenRow).where(TokenRow.account_id == account_id),
        "invitations": select(func.count())
        .select_from(InvitationRow)
        .where(InvitationRow.account_id == account_id, *open_invitation),
        "second factor": select(func.count())
        .select_from(SecondFactorRow)
        .where(SecondFactorRow.account_id == account_id),
    }
    with store.reading() as session, as_user(None):
        return {name: session.scalar(query) or 0 for name, query in counted.items()}  # type: ignore[misc]


def take_invitation(store: Store, account_id: int, cookie: str) -> None:
    Accounts(store).accept(Accounts(store).invite(account_id), OTHER)


def change_password(store: Store, account_id: int, cookie: str) -> None:
    this = SignIns(store).who(cookie)
    assert this is not None
    SignIns(store).change_password(account_id, PASSWORD, OTHER, this=this.id)


def switch_second_step_on(store: Store, account_id: int, cookie: str) -> None:
    this = SignIns(store).who(cookie)
    assert this is not None
    with patch.object(second_factor, "_take_code", return_value=True):
        SecondFactor(store).switch_on(account_id, "123456", this=this.id)


HAPPENS: dict[Event, Callable[[Store, int, str], object]] = {
    "invitation made": lambda store, account_id, _cookie: Accounts(store).revoke_invitation(account_id),
    "invitation taken": take_invitation,
    "password changed": change_password,
    "second step switched on": switch_second_step_on,
    "role changed": lambda store, account_id, _cookie: Accounts(store).set_role(account_id, "head"),
    "account ended": lambda store, account_id, _cookie: Accounts(store).end(account_id),
}


@pytest.mark.parametrize("event", get_args(Event))
def test_an_event_ends_what_the_table_says_and_nothing_else(event: Event, tmp_path: Path) -> None:
    with Store(tmp_path / "a") as store:
        Accounts(store).add("head", "Hedda Moss")
        kim = Accounts(store).add("coach", "Kim Alder")
        other = Accounts(store).add("coach", "Jo Reed")
        furnish(store, other)
        cookie = furnish(store, kim)
        before, others = alive(store, kim), alive(store, other)
        assert all(before.values()), before
        HAPPENS[event](store, kim, cookie)
        after = alive(store, kim)
        kept = 1 if event in ("password changed", "second step switched on") else 0  # the browser in which it was done
        expected = {
            name: (kept if name == "sign-ins" else 0) if name in ENDS[event] else count
            for name, count in before.items()
        }
        assert after == expected
        assert alive(store, other) == others


def test_the_table_in_the_docs_is_the_one_that_is_used() -> None:
    page = (Path(__file__).parents[2] / "docs" / "academy.md").read_text(encoding="utf-8")
    for event, ended in ENDS.items():
        row = next(line for line in page.splitlines() if line.startswith(f"| {event} |"))
        assert {name.strip() for name in row.split("|")[2].split(",")} == set(ended), event


def test_a_link_ends_when_its_day_becomes_somebody_elses_and_does_not_come_back(tmp_path: Path) -> None:
    with Store(tmp_path / "a") as store:
        day = PhoneBalls(store).begin("Wren Sedge")
        Roster(store).add("Ada Quill")
        secret = Shares(store).make(day, "report")
        assert Shares(store).who(secret) is not None
        act = Roster(store).give_session(day, "Ada Quill")
        assert Shares(store).who(secret) is None
        assert act is not None
        History(store).take_back("whose", act)
        assert Shares(store).who(secret) is None
        again = Shares(store).make(day, "report")
        Roster(store).move_sessions("Wren Sedge", "Ada Quill")
        assert Shares(store).who(again) is None


def test_a_token_of_somebody_who_was_invited_anew_or_changed_the_password_opens_nothing(tmp_path: Path) -> None:
    with Store(tmp_path / "a") as store:
        kim = Accounts(store).add("head", "Kim Alder")
        cookie = furnish(store, kim)
        signed_in = SignIns(store).who(cookie)
        assert signed_in is not None
        with as_user(signed_in.who):
            secret = Tokens(store).add("nightly 2", "write")
            assert Tokens(store).rights_of(secret) == "write"
        change_password(store, kim, cookie)
        with as_user(signed_in.who):
            assert Tokens(store).rights_of(secret) is None


def test_an_account_is_found_by_the_beginning_of_its_sign_in_name_where_only_one_begins_so(tmp_path: Path) -> None:
    with Store(tmp_path / "a") as store:
        kim = Accounts(store).add("head", "Kim Fescue")
        Accounts(store).add("coach", "Jo Reed")
        assert Accounts(store).called("kim").id == kim
        Accounts(store).add("coach", "Kim Alder")
        with raises_saying(UserError, match="kim alder, kim fescue"):
            Accounts(store).called("kim")
        assert Accounts(store).called("Kim Fescue").id == kim
        with pytest.raises(NotThereError):
            Accounts(store).called("nobody")
