"""The columns of a ball say what its JSON says, however it came in, and a rest distance never stands as a carry."""

import dataclasses
from pathlib import Path

import pytest
from sqlalchemy import select
from tests.store.full import fill

from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy, Place, Strike
from threequarter.golf.ball_codec import ball_from, ball_to
from threequarter.store.backup.restore import restore
from threequarter.store.balls.ball_columns import NAMES, columns_of
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.database.schema import BallRow, EditRow
from threequarter.store.exchange.export_json import export_all, import_all
from threequarter.store.store import Store

pytestmark = pytest.mark.slow

KEPT = sorted((Path(__file__).parents[1] / "data" / "stores").glob("backup_*.zip"))


def columns(store: Store) -> list[tuple[str | None, dict[str, object]]]:
    """The JSON and the columns of every ball and every change of one."""
    with store.reading() as session:
        rows = [*session.scalars(select(BallRow)), *session.scalars(select(EditRow))]
        return [(row.body, {name: getattr(row, name) for name in NAMES}) for row in rows]


def agree(store: Store) -> bool:
    """Whether each row's columns are those of its JSON."""
    found = columns(store)
    assert any(told["club"] for _body, told in found)
    return all(told == columns_of(body) for body, told in found)


def test_what_was_measured_where_a_ball_lay_is_no_carry(tmp_path: Path, database_url: str | None) -> None:
    with Store(tmp_path / "a", database_url) as store:
        session = PhoneBalls(store).begin("Wren Sedge", "m")
        told = {"club": "54", "swing": "waist", "unit": "m"}
        balls = [
            {"key": "a-device-ball", "carry": 40, **told},
            {"key": "a-laser-ball", "carry": 44, "by": "laser", "strike": "thin", **told},
        ]
        assert {one.state for one in PhoneBalls(store).take(session, balls)} == {"saved"}
        found = [(one["carry_m"], one["rest_m"], one["good"]) for _body, one in columns(store)]
        assert found == [(40.0, None, None), (None, 44.0, 0)]
        assert agree(store)


def test_imports_changes_and_exports_keep_columns_and_json_together(tmp_path: Path, database_url: str | None) -> None:
    with Store(tmp_path / "a", database_url) as store:
        fill(store)
        assert agree(store)
        exported = export_all(store)
    for name in ("ball", "edit"):  # as an earlier release wrote it
        exported["tables"][name] = [
            {column: value for column, value in row.items() if column not in NAMES} for row in exported["tables"][name]
        ]
    with Store(tmp_path / "b") as other:
        import_all(other, exported)
        assert agree(other)


@pytest.mark.parametrize("file", KEPT, ids=lambda path: path.stem)
def test_data_of_every_earlier_release_get_their_columns(tmp_path: Path, file: Path, database_url: str | None) -> None:
    restore(file, tmp_path / "new", url=database_url)
    with Store(tmp_path / "new", database_url) as store:
        assert agree(store)


def test_a_ball_comes_back_from_plain_json_as_it_was() -> None:
    plain = Ball(number=3, club="PW", swing="", distance_m=61.5)
    assert ball_to(plain) == {"number": 3, "club": "PW", "swing": "", "distance_m": 61.5}
    full = dataclasses.replace(
        plain,
        loft_deg=46.0,
        measured_as=MeasuredAs.REST,
        measured_by=MeasuredBy.LASER,
        strike=Strike.HEAVY,
        use=False,
        place=Place(file="a.csv", row=4, col=2),
    )
    assert ball_from(ball_to(full)) == full
    with pytest.raises(ValueError, match="distance_m"):
        ball_from({"number": 1, "club": "54", "swing": "waist"})
