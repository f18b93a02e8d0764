"""Migrations on both databases with rows in every table: each step back and forward again, two servers at once, never half."""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, inspect, text
from tests.saying import raises_saying
from tests.store.rows_of_each import ROWS, TABLES, columns_of, everything, fill

from threequarter.golf.errors import UserError
from threequarter.store.database import engines, postgres
from threequarter.store.database.schema import Base
from threequarter.store.store import Store

pytestmark = [pytest.mark.slow, pytest.mark.real_migrations]  # a fresh database walks them here

ROOT = Path(__file__).parents[2]
ROUNDS = int(os.environ.get("ROUNDS", "20"))


@pytest.fixture
def engine(tmp_path: Path, database_url: str | None) -> Iterator[Engine]:
    opened = engines.open_database(tmp_path, database_url)
    yield opened
    opened.dispose()


def revisions() -> list[str]:
    """All revisions, the newest first."""
    return [script.revision for script in ScriptDirectory.from_config(engines.migrations()).walk_revisions()]


def test_the_migrations_make_the_schema_that_the_program_uses(engine: Engine) -> None:
    seen = inspect(engine)
    for table in Base.metadata.sorted_tables:
        columns = {column["name"]: bool(column["nullable"]) for column in seen.get_columns(table.name)}
        assert columns == {column.name: bool(column.nullable) for column in table.columns}
        assert {key["constrained_columns"][0] for key in seen.get_foreign_keys(table.name)} == {
            key.parent.name for key in table.foreign_keys
        }
        indexed = {tuple(index["column_names"]) for index in seen.get_indexes(table.name)}
        assert indexed >= {
            tuple(c.name for c in index.columns)
            for index in table.indexes
            if all(hasattr(c, "name") for c in index.expressions)
        }
        kept_single = {tuple(sorted(rule["column_names"])) for rule in seen.get_unique_constraints(table.name)} | {
            tuple(sorted(c for c in i["column_names"] if c)) for i in seen.get_indexes(table.name) if i["unique"]
        }
        assert kept_single >= {
            tuple(sorted(c.name for c in rule.columns))
            for rule in table.constraints
            if type(rule).__name__ == "UniqueConstraint"
        }
    assert set(seen.get_table_names()) == {*Base.metadata.tables, "alembic_version"}


def test_each_step_back_and_forward_keeps_every_row_and_what_the_older_schema_knows_of_it(engine: Engine) -> None:
    with engine.begin() as connection:
        fill(connection)
    for newer, older in zip(revisions(), [*revisions()[1:], "base"], strict=True):
        before = _standing(engine)
        engines.downgrade(engine, older)
        there = columns_of(engine)
        assert _of(before, there) == _standing(engine)
        engines.upgrade(engine, newer)
        assert _of(before, there) == _of(_standing(engine), there)
        with engine.connect() as connection:
            assert engines.revision_of(connection) == newer
        engines.downgrade(engine, older)
    assert set(inspect(engine).get_table_names()) == {"alembic_version"}
    engines.upgrade(engine)
    with engine.begin() as connection:
        fill(connection)
        assert {name: len(rows) for name, rows in everything(connection).items()} == {
            table.name: ROWS for table in TABLES
        }


Rows = dict[str, list[dict[str, object]]]


def _standing(engine: Engine) -> Rows:
    there = columns_of(engine)
    with engine.connect() as connection:
        return everything(connection, there)


def _of(rows: Rows, columns: dict[str, set[str]]) -> Rows:
    return {
        table: [{name: value for name, value in row.items() if name in columns[table]} for row in rows[table]]
        for table in columns
    }


def test_data_of_a_newer_version_are_refused_and_unchanged(
    engine: Engine, tmp_path: Path, database_url: str | None
) -> None:
    with engine.begin() as connection:
        fill(connection)
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
        before = everything(connection)
    with raises_saying(UserError, match="newer version of threequarter"):
        Store.open(tmp_path, database_url)
    with engine.connect() as connection:
        assert everything(connection) == before


def test_a_migration_that_breaks_half_way_leaves_the_old_schema_and_every_row(
    engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    with engine.begin() as connection:
        fill(connection)
    engines.downgrade(engine, "0001")
    before = _standing(engine)

    def breaks(config: object, revision: str) -> None:
        engines.command.upgrade(config, "0003")  # type: ignore[arg-type]
        raise RuntimeError("the power went")

    with pytest.raises(RuntimeError, match="the power went"):
        engines._migrate(engine, "head", breaks)
    assert _standing(engine) == before
    with engine.connect() as connection:
        assert engines.revision_of(connection) == "0001"
    engines.upgrade(engine)


def test_after_a_migration_every_connection_is_as_safe_as_before(tmp_path: Path) -> None:
    engine = engines.open_database(tmp_path)
    with engine.connect() as connection:
        found = {name: connection.execute(text(f"PRAGMA {name}")).scalar() for name in engines.PRAGMAS}
    engine.dispose()
    assert found == engines.PRAGMAS


OPEN = """
import sys
from pathlib import Path
from threequarter.store.database import engines
from threequarter.store.store import Store
print("ready", flush=True)
for folder in sys.stdin:
    with Store.open(Path(folder.strip().split("|")[0]), folder.strip().split("|")[1] or None) as store:
        with store.reading() as session:
            print(engines.revision_of(session.connection()), flush=True)
"""


@pytest.mark.parametrize("database_url", ["sqlite", pytest.param("postgresql", marks=pytest.mark.long)], indirect=True)
def test_two_servers_that_start_at_once_on_an_old_schema_one_migrates_and_the_other_waits(
    tmp_path: Path, request: pytest.FixtureRequest, database_url: str | None
) -> None:
    """Both come up on the newest schema, every row is there; neither ever sees half of it."""
    server = request.getfixturevalue("postgres") if database_url else None
    env = {**os.environ, "PYTHONPATH": f"{ROOT / 'src'}:{ROOT}"}
    running = [
        subprocess.Popen(
            [sys.executable, "-c", OPEN], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=env
        )
        for _ in range(2)
    ]
    try:
        for one in running:
            assert one.stdout is not None
            assert one.stdout.readline() == "ready\n"
        for round_ in range(ROUNDS):
            folder = tmp_path / str(round_)
            url = server.url() if server else None
            engine = engines.open_database(folder, url)
            with engine.begin() as connection:
                fill(connection)
            engines.downgrade(engine, "0001")
            before = _standing(engine)
            for one in running:
                assert one.stdin is not None
                one.stdin.write(f"{folder}|{url or ''}\n")
            for one in running:
                assert one.stdin is not None
                one.stdin.flush()
            assert [one.stdout.readline().strip() for one in running if one.stdout] == [engines.head()] * 2
            there = {name: set(rows[0]) for name, rows in before.items()}
            assert _of(_standing(engine), there) == before
            engine.dispose()
            if server:
                server.drop(url)
    finally:
        for one in running:
            one.kill()
            one.wait()
            for pipe in (one.stdin, one.stdout):
                if pipe:
                    pipe.close()


def test_a_second_server_waits_for_a_long_migration_and_acts_do_not_slip_in_between(
    tmp_path: Path, postgres_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(postgres, "PATIENCE_MS", 300)
    engine = engines.open_database(tmp_path, postgres_url)
    with Store.open(tmp_path, postgres_url) as store, engine.begin() as connection:
        postgres.wait_longer(connection)
        begun = time.monotonic()
        with raises_saying(UserError, match="busy or starting"), store.writing() as session:
            engines.revision_of(session.connection())
        assert 0.2 < time.monotonic() - begun < 5
        with store.reading() as session:  # reading goes on
            assert engines.revision_of(session.connection()) == engines.head()
    engine.dispose()
