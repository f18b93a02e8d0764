"""PostgreSQL by URL: what is asserted at the start, and one clear line for each way it can be wrong."""

from pathlib import Path

import pytest
from sqlalchemy import text
from tests.postgres_support import PASSWORD, Server
from tests.saying import raises_saying
from tests.store.sheets import as_bytes, read

from threequarter.golf.errors import UserError
from threequarter.language import say_error
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.database import engines, postgres
from threequarter.store.store import Store


def test_the_url_opens_the_store_on_postgresql_and_the_data_stay(tmp_path: Path, postgres_url: str) -> None:
    with Store.open(tmp_path, postgres_url) as store:
        assert store.on_postgres
        assert PASSWORD not in store.place
        store.keep_reading(read([50, 51]), as_bytes([50, 51]), name="a.csv")
    assert not (tmp_path / engines.FILE_NAME).exists()
    with Store.open(tmp_path, postgres_url) as store:
        assert [ball.distance_m for ball in store.session_balls(1)] == pytest.approx([50, 51])


def test_a_url_from_the_environment_counts_where_none_is_given(
    tmp_path: Path, postgres_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(engines.URL_VARIABLE, f" {postgres_url} ")
    with Store.open(tmp_path) as store:
        assert store.on_postgres


@pytest.mark.parametrize(
    "url",
    [
        "mysql://a@b/c",
        "postgresql+psycopg://host",
        "nonsense",
        "postgresql+asyncpg://a/b",
        "postgresql://h:99x/d",
        "sqlite:///x",
    ],
)
def test_a_url_that_is_none_of_postgresql_is_told(tmp_path: Path, url: str) -> None:
    with raises_saying(UserError, match="is not for PostgreSQL"):
        Store.open(tmp_path, url)


def test_a_wrong_password_server_user_and_database_are_each_told_in_one_line_without_the_password(
    tmp_path: Path, postgres: Server, postgres_url: str
) -> None:
    cases = {
        "does not let threequarter in": postgres_url.replace(PASSWORD, "wr0ng"),
        "cannot be reached": postgres_url.replace(f":{postgres.port}/", ":9/"),
        "has no database nosuch. Make it: createdb": postgres_url.rsplit("/", 1)[0] + "/nosuch",
    }
    for words, url in cases.items():
        with raises_saying(UserError, match=words) as told:
            Store.open(tmp_path, url)
        said = say_error(told.value)
        assert "\n" not in said
        assert "wr0ng" not in said
        assert PASSWORD not in said


def test_without_the_extra_the_command_to_run_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(postgres, "find_spec", lambda _: None)
    with raises_saying(UserError, match=r"pip install 'threequarter\[academy\]'"):
        Store.open(tmp_path, "postgresql+psycopg://a@b/c")


def test_an_old_server_is_refused(tmp_path: Path, postgres_url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(postgres, "LEAST", 990_000)
    with raises_saying(UserError, match="is too old; you need 14 or newer"):
        Store.open(tmp_path, postgres_url)


def test_a_database_that_is_not_utf8_is_refused(tmp_path: Path, postgres: Server) -> None:
    url = postgres.url(options="ENCODING 'LATIN1' LC_COLLATE 'C' LC_CTYPE 'C' TEMPLATE template0")
    with raises_saying(UserError, match="uses LATIN1, not UTF-8"):
        Store.open(tmp_path, url)
    postgres.drop(url)


def test_a_server_that_may_lose_commits_is_refused(tmp_path: Path, postgres: Server, postgres_url: str) -> None:
    name = postgres_url.rsplit("/", 1)[1]
    postgres.execute(f'ALTER DATABASE "{name}" SET synchronous_commit = off')
    with raises_saying(UserError, match="synchronous_commit = off"):
        Store.open(tmp_path, postgres_url)


def test_reads_see_one_snapshot_and_cannot_write(tmp_path: Path, postgres_url: str) -> None:
    with Store.open(tmp_path, postgres_url) as one, Store.open(tmp_path, postgres_url) as two:
        one.keep_reading(read([50, 51]), as_bytes([50, 51]), name="a.csv")
        with one.reading() as session:
            before = session.execute(text("SELECT count(*) FROM ball")).scalar()
            two.keep_reading(read([50, 51, 52]), as_bytes([50, 51, 52]), name="a.csv")
            assert session.execute(text("SELECT count(*) FROM ball")).scalar() == before
        with pytest.raises(Exception, match="read-only"), one.reading() as session:
            session.execute(text("DELETE FROM ball"))


def test_the_next_id_follows_rows_that_came_with_theirs(tmp_path: Path, postgres_url: str) -> None:
    from threequarter.store.exchange.export_json import export_all, import_all

    with Store.open(tmp_path) as laptop, Store.open(tmp_path, postgres_url) as academy:
        PhoneBalls(laptop).begin("Ada Wren")
        import_all(academy, export_all(laptop))
        assert PhoneBalls(academy).begin("Ada Wren") == 2
