"""Codes against the published vectors; and where the secret goes, and where not: backup, move, export, erasure."""

import base64
import datetime
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
import time_machine
from click.testing import CliRunner
from sqlalchemy import text

from threequarter.cli.main import group
from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.second_factor import SecondFactor
from threequarter.store.backup.backup import backup
from threequarter.store.backup.restore import restore
from threequarter.store.erasure.erase import erase
from threequarter.store.exchange.export_json import export_all
from threequarter.store.exchange.migrate_database import migrate_database
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store

VECTORS = (
    (59, "94287082"),
    (1111111109, "07081804"),
    (1111111111, "14050471"),
    (1234567890, "89005924"),
    (2000000000, "69279037"),
    (20000000000, "65353130"),
)
"""RFC 6238, Appendix B, SHA-1, eight digits, secret "12345678901234567890"; six digits are the last six of them (RFC 4226, 5.3)."""
PUBLISHED = base64.b32encode(b"12345678901234567890").decode()


@pytest.fixture
def store(tmp_path: Path, database_url: str | None) -> Iterator[Store]:
    with Store(tmp_path / "here", database_url) as opened:
        yield opened


def with_password(store: Store, role: str = "head", name: str = "Kim Fescue", players: tuple[int, ...] = ()) -> int:
    people = Accounts(store)
    account = people.add(role, name, players=players)
    people.accept(people.invite(account), "mossy gate under lantern")
    return account


def switched_on(store: Store, account: int, secret: str = PUBLISHED) -> list[str]:
    """With a secret that is known, by the code of now."""
    SecondFactor(store).begin(account)
    with store.writing() as session:
        session.execute(text("UPDATE second_step SET secret = :secret"), {"secret": secret})
    with time_machine.travel(datetime.datetime.fromtimestamp(59, datetime.UTC), tick=False):
        with store.writing() as session:
            session.execute(text("UPDATE second_step SET made_at = '1970-01-01 00:00:00'"))
        return SecondFactor(store).switch_on(account, "287082")


@pytest.mark.parametrize(("at", "code"), VECTORS[1:], ids=str)
def test_the_codes_are_those_of_rfc_6238_appendix_b(store: Store, at: int, code: str) -> None:
    account = with_password(store)
    switched_on(store, account)  # by the first vector
    with time_machine.travel(datetime.datetime.fromtimestamp(at, datetime.UTC), tick=False):
        assert SecondFactor(store).check(account, f"{(int(code[2:]) + 1) % 10**6:06}") is None
        assert SecondFactor(store).check(account, code[2:]) == "code"
        assert SecondFactor(store).check(account, code[2:]) is None


@pytest.mark.parametrize(
    "typed",
    ["", "28708", "2870820", "٢٨٧٠٨٢", "28708２", "287 082 ", "-87082", "1e5000", "\0" * 6, "A" * 24, "9" * 4000],
)
def test_what_is_no_code_is_refused_without_an_error(store: Store, typed: str) -> None:
    account = with_password(store)
    switched_on(store, account)
    with time_machine.travel(datetime.datetime.fromtimestamp(1111111109, datetime.UTC), tick=False):
        assert SecondFactor(store).check(account, typed) is None
        assert SecondFactor(store).check(account, " 081 804 ") == "code"


def test_a_backup_and_a_move_carry_it_so_that_no_password_alone_opens_afterwards(store: Store, tmp_path: Path) -> None:
    account = with_password(store)
    codes = switched_on(store, account)
    half = SecondFactor(store).begin_half(account)
    backup(store, tmp_path / "all.zip")
    restore(tmp_path / "all.zip", tmp_path / "restored")
    with Store(tmp_path / "moved") as moved:
        migrate_database(store, moved)
    for folder in ("restored", "moved"):
        with Store(tmp_path / folder) as other:
            steps = SecondFactor(other)
            assert steps.state(account).on
            assert steps.check(account, "287082") is None  # taken before
            assert steps.check(account, codes[0]) == "recovery code"
            assert steps.half(half) is None


def test_a_persons_export_and_erasure_leave_no_secret(store: Store) -> None:
    with_password(store)
    player = Roster(store).add("Robin Sedge")
    account = with_password(store, "player", "Robin", (player,))
    switched_on(store, account)
    SecondFactor(store).begin_half(account)
    told = export_all(store, "Robin Sedge")
    assert told["tables"]["account"][0]["name"] == "Robin"
    assert told["tables"]["second_step"] == told["tables"]["recovery_code"] == told["tables"]["half_sign_in"] == []
    assert PUBLISHED not in json.dumps(told, default=str)
    erase(store, "Robin Sedge")
    with store.reading() as session:
        for table in ("second_step", "recovery_code", "half_sign_in"):
            assert session.execute(text(f"SELECT count(*) FROM {table}")).scalar_one() == 0


def test_what_was_begun_and_not_ended_goes_by_itself(store: Store) -> None:
    from threequarter.store.tasks.daily_maintenance import run_maintenance

    account = with_password(store)
    SecondFactor(store).begin(account)
    SecondFactor(store).begin_half(account)
    run_maintenance(store)
    assert SecondFactor(store).begun(account) is not None
    with time_machine.travel(datetime.datetime.now(datetime.UTC) + datetime.timedelta(minutes=31)):
        assert SecondFactor(store).begun(account) is None
        run_maintenance(store)
    with store.reading() as session:
        for table in ("second_step", "half_sign_in"):
            assert session.execute(text(f"SELECT count(*) FROM {table}")).scalar_one() == 0


def test_a_link_from_the_command_line_says_that_it_clears_it(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        account = with_password(store)
        link = ["account", "link", "kim fescue", "--data", str(tmp_path)]
        switched_on(store, account)
        said = CliRunner().invoke(group, link)
        assert said.exit_code == 0
        assert "ends every other way in: browsers, passkeys, script tokens and the second step" in said.output
        Accounts(store).accept(said.output.split("/invitation/")[1].split()[0], "three spoons of honey")
        assert not SecondFactor(store).state(account).on
