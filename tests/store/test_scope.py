"""The filter under every query: each table that is kept has it or a reason why not, and no query goes past it unlisted."""

import ast
import runpy
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import func, select
from tests.store.rows_of_each import fill

from threequarter.golf.errors import NotThereError
from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.current_user import CurrentUser, as_user
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.database.schema import BallRow, Base
from threequarter.store.store import Store

HOUSE = Path(__file__).parents[2] / "scripts" / "check_house.py"
WITHOUT = {
    "account": "people are managed by heads; a coach's part is looked up in resource_lookup",
    "passkey": "by account",
    "second_step": "by account",
    "recovery_code": "by account",
    "half_sign_in": "by account",
    "sign_in": "by account",
    "invitation": "by its secret; only the fingerprint is kept",
    "tie": "by account",
    "challenge": "by account, once",
    "tries": "counts by address and name",
    "audit": "heads only",
    "setting": "of the academy",
    "shape": "how a file with such headings is read; names nobody",
    "task": "by its room, in resource_lookup; heads list all",
    "erased": "marks without names",
    "restored": "of the academy",
}
"""Written down here once more, on purpose."""


def a_coach(store: Store, name: str) -> CurrentUser:
    number = Accounts(store).add("coach", name)
    return CurrentUser(account_id=number, name=name, role="coach", room=number)


def everything(store: Store) -> dict[str, int]:
    """How many rows each mapped table shows."""
    with store.reading() as session:
        return {
            mapper.local_table.name: session.scalar(select(func.count()).select_from(mapper.class_)) or 0  # type: ignore[attr-defined]
            for mapper in Base.registry.mappers
        }


@pytest.fixture
def store(tmp_path: Path, database_url: str | None) -> Any:
    with Store(tmp_path / "a", database_url) as made:
        yield made


def test_of_every_table_somebody_without_players_sees_nothing(store: Store) -> None:
    """Each kept table filled by hand in the other room: nothing of it is counted; those that are not filtered are named above."""
    with store.writing() as writing:
        fill(writing.connection())
    there = everything(store)
    with as_user(CurrentUser(account_id=9999, name="Nobody's", role="coach", room=9999)):
        seen = everything(store)
    assert {name for name, count in there.items() if not count} <= set(WITHOUT)
    assert {name for name, count in seen.items() if count} <= set(WITHOUT)


def test_a_ball_and_a_club_are_not_reached_by_their_number_from_another_room(store: Store) -> None:
    mine, theirs = a_coach(store, "Lee Bent"), a_coach(store, "Ash Marram")
    with as_user(theirs):
        session_id = PhoneBalls(store).begin("Robin Sedge", "m")
        typed = {"key": "d1f0c2a4-0001", "club": "54", "swing": "waist", "carry": 30.2, "unit": "m"}
        PhoneBalls(store).take(session_id, [typed])
        ball = store.kept_balls(session_id)[0].id
    with store.reading() as session, as_user(theirs):
        assert session.get(BallRow, ball) is not None
    with store.reading() as session, as_user(mine):
        assert session.get(BallRow, ball) is None
    with as_user(mine), pytest.raises(NotThereError):
        store.leave_out(ball, "not mine")
    with as_user(theirs):
        assert [one.left_out_why for one in store.kept_balls(session_id)] == [None]


PLANTED = {
    "a plain table": "from threequarter.store.database.schema import BallRow\nBALL = BallRow.__table__\n",
    "plain SQL": "from sqlalchemy import text\nsession.execute(text('SELECT * FROM ball'))\n",
    "a connection": "from threequarter.store.store import Store\nstore.engine.connect()\n",
    "the driver": "from threequarter.store.store import Store\nsession.connection().exec_driver_sql('x')\n",
    "as nobody": "from threequarter.store.accounts.current_user import as_user\nwith as_user(None): pass\n",
    "all tables": "from threequarter.store.database.schema import Base\nBase.metadata.sorted_tables\n",
}


@pytest.mark.parametrize("source", PLANTED.values(), ids=PLANTED)
def test_the_house_check_counts_each_way_past_the_filter(source: str) -> None:
    past_the_room = runpy.run_path(str(HOUSE))["past_the_room"]
    assert past_the_room(ast.parse(source)) > 0
    assert past_the_room(ast.parse("from sqlalchemy import select\nsession.get(BallRow, 1)\nselect(BallRow)\n")) == 0
