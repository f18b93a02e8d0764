"""Older data are brought forward: a backup first, counts compared, the old state back where it fails; newer data are left alone."""

import hashlib
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from alembic.script import ScriptDirectory
from pysqlite3 import dbapi2 as sqlite
from sqlalchemy import text
from tests.saying import raises_saying
from tests.store.full import everything, state

from threequarter.golf.errors import UserError
from threequarter.language import say, say_error
from threequarter.store.backup.backup import check_backup
from threequarter.store.backup.restore import restore
from threequarter.store.database import engines, upgrade
from threequarter.store.store import Store

pytestmark = pytest.mark.real_migrations  # a fresh database walks them here

EARLIER = Path(__file__).parents[1] / "data" / "stores" / "schema_0002.sql"
SHIPPED = Path(engines.__file__).parent.parent / "migrations"


def earlier(folder: Path) -> Path:
    """A data folder as schema 0002 left it."""
    folder.mkdir()
    base = sqlite.connect(str(folder / engines.FILE_NAME))
    base.executescript(EARLIER.read_text(encoding="utf-8"))
    base.execute("PRAGMA journal_mode = wal")
    base.close()
    return folder


def rows(folder: Path) -> str:
    base = sqlite.connect(str(folder / engines.FILE_NAME))
    try:
        found = [base.execute("SELECT name, sql FROM sqlite_master ORDER BY name").fetchall()]
        found += [
            base.execute(f'SELECT * FROM "{name}" ORDER BY rowid').fetchall()
            for name, sql in found[0]
            if sql and sql.startswith("CREATE TABLE")
        ]
        return hashlib.sha256(repr(found).encode()).hexdigest()
    finally:
        base.close()


@pytest.fixture
def planted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Puts one more migration behind those that are shipped."""

    def plant(body: str, head: str = "") -> None:
        last = ScriptDirectory.from_config(engines.migrations()).get_current_head()
        shutil.copytree(SHIPPED, tmp_path / "migrations", ignore=shutil.ignore_patterns("__pycache__"))
        text = f"import sqlalchemy as sa\nfrom alembic import op\n\nrevision = 'planted'\ndown_revision = {last!r}\n{head}\n\ndef upgrade():\n    {body}\n"
        (tmp_path / "migrations" / "versions" / "9999_planted.py").write_text(text)
        usual = engines.migrations

        def with_planted() -> Any:
            config = usual()
            config.set_main_option("script_location", str(tmp_path / "migrations"))
            return config

        monkeypatch.setattr(engines, "migrations", with_planted)
        monkeypatch.setattr(upgrade, "migrations", with_planted)

    return plant


def test_an_upgrade_makes_a_backup_first_and_says_where(tmp_path: Path) -> None:
    with Store(earlier(tmp_path / "a")) as store:
        done = store.upgraded
        assert done is not None
        assert (done.before, done.after) == ("0002", engines.head())
        assert done.backup.parent == tmp_path / "a" / "backups"
        assert str(done.backup) in say(done.in_words())
        now = state(store)
    assert check_backup(done.backup)["schema"] == "0002"
    assert check_backup(done.backup)["counts"]["ball"] > 0
    restore(done.backup, tmp_path / "b")
    with Store(tmp_path / "b") as store:
        assert store.upgraded is None
        assert state(store) == now
    with Store(tmp_path / "a") as store:
        assert store.upgraded is None  # once


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("op.add_column('ball', sa.Column('x', sa.Text)); op.execute('UPDATE ball SET nonsense = 1')", "nonsense"),
        (
            "op.drop_table('note'); op.execute('DELETE FROM edit'); op.execute('DELETE FROM ball WHERE id = 1')",
            "rows and would have",
        ),
        ("op.execute('UPDATE import SET session_id = 999')", "without their parents"),
    ],
    ids=["breaks half-way", "loses rows", "loses what rows belong to"],
)
def test_an_upgrade_that_fails_leaves_the_old_state(
    tmp_path: Path, planted: Callable[..., None], body: str, words: str
) -> None:
    folder = earlier(tmp_path / "a")
    before = rows(folder)
    planted(body)
    with raises_saying(UserError, match=words) as told:
        Store(folder)
    assert rows(folder) == before
    (kept,) = (folder / "backups").glob("before-upgrade-0002-*.zip")
    assert str(kept) in say_error(told.value)
    assert "They are unchanged" in say_error(told.value)


def test_an_upgrade_that_fails_on_postgresql_leaves_the_old_state(
    tmp_path: Path, planted: Callable[..., None], postgres_url: str
) -> None:
    Store(tmp_path / "a", postgres_url).close()
    with Store(tmp_path / "a", postgres_url) as store:
        with store.engine.begin() as connection:
            connection.execute(text("INSERT INTO shape VALUES ('k', '{}', now())"))
        was = state(store)
    planted("op.execute('ALTER TABLE note ADD COLUMN x TEXT'); op.execute('DELETE FROM shape')")
    with raises_saying(UserError, match="shape had 1 rows and would have 0"):
        Store(tmp_path / "a", postgres_url)
    engine = engines.postgres.open_server(engines.postgres.parse(postgres_url))
    with engine.connect() as connection:
        assert not [c for c in engines.inspect(connection).get_columns("note") if c["name"] == "x"]
        assert upgrade.counts_of(connection)["shape"] == 1
    engine.dispose()
    assert was


def test_a_migration_that_drops_rows_on_purpose_says_so(tmp_path: Path, planted: Callable[..., None]) -> None:
    folder = earlier(tmp_path / "a")
    planted("op.execute('DELETE FROM edit')", head="COUNTS_CHANGE = ('edit',)")
    with Store(folder) as store:
        assert store.upgraded is not None
        with store.engine.connect() as connection:
            assert upgrade.counts_of(connection)["edit"] == 0


def test_without_a_backup_nothing_is_changed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = earlier(tmp_path / "a")
    before = rows(folder)
    (folder / "backups").write_text("a file where the folder should be")
    with raises_saying(UserError, match="A backup comes before the upgrade, and that failed"):
        Store(folder)
    assert rows(folder) == before


def test_data_and_backups_of_a_newer_version_are_refused_by_name_and_unchanged(tmp_path: Path) -> None:
    Store(tmp_path / "a").close()
    base = sqlite.connect(str(tmp_path / "a" / engines.FILE_NAME))
    base.execute("UPDATE alembic_version SET version_num = '9999'")
    base.commit()
    base.close()
    before = everything(tmp_path / "a")
    with raises_saying(UserError, match=r"newer version of threequarter \(schema 9999"):
        Store(tmp_path / "a")
    assert everything(tmp_path / "a") == before
