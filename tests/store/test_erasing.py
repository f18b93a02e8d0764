"""Erasing: marker strings in every field and a film, then a search of all bytes, and of an older backup that is restored."""

import dataclasses
import hashlib
import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pysqlite3 import dbapi2 as sqlite
from sqlalchemy import LargeBinary, String, Table, select, update
from tests.postgres_support import Server
from tests.saying import raises_saying
from tests.store.full import add_film, everything, fill, state

from threequarter.golf.errors import UserError
from threequarter.golf.player import name_key
from threequarter.language import lines
from threequarter.store.backup.backup import backup
from threequarter.store.backup.restore import restore
from threequarter.store.clips.clips import Clips
from threequarter.store.database import vacuum
from threequarter.store.database.postgres import open_server, parse
from threequarter.store.database.schema import Base, HistoryRow, RejectedRow
from threequarter.store.erasure import erase as erasing
from threequarter.store.erasure.erase import erase, proof_in_words
from threequarter.store.erasure.personal_data import personal_data_of
from threequarter.store.erasure.tombstones import ERASED
from threequarter.store.imports.save_import import now_utc
from threequarter.store.people.roster import Roster
from threequarter.store.results import Club
from threequarter.store.store import Store
from threequarter.web.pending import Pending

pytestmark = pytest.mark.slow

WREN = "Wren Sedge"
MARK = "QzMarker"
FIXED = {
    "name_key",
    "slot",
    "place",
    "key",
    "unit",
    "ground",
    "suffix",
    "state",
    "sha256",
    "head",
    "client_key",
    "kind",
    "role",
}
"""Columns that a marker would break; the marked ones are found by their row being gone."""


def marked(store: Store) -> list[bytes]:
    """Puts a marker of its own into every text of every row of Wren Sedge, wherever one fits, and into files beside; the markers."""
    markers: list[str] = []
    tables: set[str] = set()

    def marker() -> str:
        markers.append(f"{MARK}{len(markers):04d}z")
        return markers[-1]

    clip = add_film(store, 1, f"film {marker()} bytes".encode(), f"{marker()}.mp4")
    (Clips(store).folder(clip) / "pictures" / "sheet_2.svg").write_text(f"<svg><text>{marker()}</text></svg>")
    (Clips(store).folder(clip) / "answer.json").write_text(json.dumps({"who": marker()}))
    Roster(store).set_bag(WREN, [Club(label="54", loft_deg=54.0)])
    (first, second) = store.kept_balls(1)
    store.edit_ball(first.id, dataclasses.replace(first.ball, club="56"))
    store.leave_out(second.id, "flag")
    with store.writing() as session:
        made_at = now_utc()
        session.add(RejectedRow(import_id=first.import_id, sheet=None, row=9, col=1, why="no ball", text="mean"))
        session.add(HistoryRow(kind="archive", player_id=1, session_id=1, body="{}", made_at=made_at, undone_at=None))
        session.flush()
        for kind, mine in personal_data_of(session, WREN).rows:
            table = kind.__table__
            assert isinstance(table, Table)
            for column in table.columns:
                if (
                    column.name in FIXED
                    or not isinstance(column.type, String | LargeBinary)
                    or (getattr(column.type, "length", None) or 99) < 16
                ):
                    continue
                if session.execute(select(kind).where(mine).limit(1)).first() is None:
                    continue
                tables.add(table.name)
                text = marker()
                value: Any = text.encode() if isinstance(column.type, LargeBinary) else text
                if table.name in ("ball", "edit") and column.name == "body":
                    value = json.dumps({"number": 1, "club": text, "swing": "waist", "distance_m": 37.0})
                if column.name in ("plan", "options", "layout", "answer", "marks"):
                    value = json.dumps({"text": text, "swings": []})
                session.execute(update(kind).where(mine).values({column.name: value}))
                if table.name == "player" and column.name == "name":
                    session.execute(update(kind).where(mine).values(name=f"{WREN} {text}"))
    assert tables >= {
        "player",
        "session",
        "import",
        "ball",
        "edit",
        "rejected_row",
        "clip",
        "consent",
        "club",
        "note",
        "history_entry",
    }
    Pending(store.data_dir / "pending").put(f"{marker()}.csv", f"Player\n{marker()}\n".encode(), "table")
    jobs = sqlite.connect(str(store.data_dir / "jobs.db"))
    if not store.on_postgres:
        jobs.execute("CREATE TABLE workflow_status (workflow_uuid TEXT PRIMARY KEY, inputs TEXT, output TEXT)")
        jobs.execute("CREATE TABLE operation_outputs (workflow_uuid TEXT, output TEXT)")
        jobs.execute("INSERT INTO workflow_status VALUES (?, ?, ?)", (f"clip-{clip}-2026", marker(), marker()))
        jobs.execute("INSERT INTO operation_outputs VALUES (?, ?)", (f"clip-{clip}-2026", marker()))
        jobs.execute("INSERT INTO workflow_status VALUES ('clip-1', 'of another', 'stays')")
        jobs.commit()
    jobs.close()
    return [text.encode() for text in markers]


def name_of(store: Store) -> str:
    """The marked player, who kept the key of the name."""
    with store.reading() as session:
        table = Base.metadata.tables["player"]
        return str(session.scalar(select(table.c.name).where(table.c.name_key == name_key(WREN))))


def found(content: bytes, markers: list[bytes]) -> list[bytes]:
    hits = [text for text in markers if text in content or text.lower() in content.lower()]
    wide = [text for text in markers if text.decode().encode("utf-16-le") in content]
    return [*hits, *wide, *(name for name in (b"Wren Sedge", b"wren sedge") if name in content)]


def of_server(postgres: Server, url: str) -> bytes:
    """All files of one database of a server, after a checkpoint."""
    engine = open_server(parse(url))
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        connection.exec_driver_sql("CHECKPOINT")
        number = connection.exec_driver_sql("SELECT oid FROM pg_database WHERE datname = current_database()").scalar()
    engine.dispose()
    return everything(postgres.data / "base" / str(number))


def test_an_erased_player_is_found_nowhere(
    tmp_path: Path, database_url: str | None, request: pytest.FixtureRequest
) -> None:
    folder = tmp_path / "a"
    with Store(folder, database_url) as store:
        fill(store)
        markers = marked(store)
        assert len(markers) >= 30
        backup(store, tmp_path / "old.zip")
        before = everything(folder)
        if database_url is not None:
            server: Server = request.getfixturevalue("postgres")
            before += of_server(server, database_url)
        assert {text for text in markers if text in before} == set(markers), "each marker is there to be found"
        proof = erase(store, WREN)
        assert proof["free_pages_emptied"]
        live = everything(folder)  # while the store is open: with its log and shared memory
        with Store(folder, database_url) as reading:
            assert [player.name for player in Roster(reading).players()] == [
                "Bo 🦊 Fennimore",
                "Ivo Quill",
                "Åsa Ljung",
            ]
            assert Clips(reading).clip(1).state == "done"  # of another player
    assert found(live, markers) == []
    assert found(everything(folder), markers) == []
    if database_url is not None:
        assert found(of_server(server, database_url), markers) == []
    else:
        left = sqlite.connect(str(folder / "jobs.db")).execute("SELECT workflow_uuid FROM workflow_status").fetchall()
        assert left == [("clip-1",)]
    assert found(json.dumps(proof).encode(), markers) == []
    # an older backup forgets too: by the list in the place, ...
    restore(tmp_path / "old.zip", folder, url=database_url, replace=True)
    assert found(everything(folder / "clips") + (folder / ERASED).read_bytes(), markers) == []
    if database_url is None:
        (folder / "backups").rename(
            tmp_path / "backups"
        )  # what was there before the restore has nothing of them either
        assert found(everything(folder), markers) == []
    else:
        assert found(of_server(server, database_url), markers) == []
    # ... by a list beside it, ...
    (tmp_path / ERASED).write_bytes((folder / ERASED).read_bytes())
    done = restore(tmp_path / "old.zip", tmp_path / "b")
    assert done.erased_again["player"] == 1
    assert found(everything(tmp_path / "b"), markers) == []
    # ... and without any list it does not know
    (tmp_path / ERASED).unlink()
    restore(tmp_path / "old.zip", tmp_path / "c")
    with Store(tmp_path / "c") as store:
        assert WREN in name_of(store)


@pytest.fixture
def full(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "a") as store:
        fill(store)
        yield store


def test_the_proof_counts_and_names_nobody(full: Store) -> None:
    Roster(full).note("Ivo Quill", "Hit with Wren Sedge today.")
    proof = erase(full, "WREN sedge")
    removed = proof["removed"]
    assert (removed["player"], removed["session"], removed["ball"], removed["note"]) == (1, 1, 2, 1)
    assert removed["files shared with others"] == 1
    assert proof["still_mentioned"] == {"note": 1}
    text = "\n".join(lines(proof_in_words(proof)))
    assert "Wren" not in text
    assert "balls: 2" in text
    assert "notes: 1" in text
    assert proof["backups_forget_by"] in text
    with raises_saying(UserError, match="no player"):
        erase(full, WREN)


def test_nobody_comes_back_who_was_merged_or_whose_sessions_were_moved(tmp_path: Path, full: Store) -> None:
    backup(full, tmp_path / "old.zip")
    roster = Roster(full)
    roster.move_sessions("Ivo Quill", WREN)  # the same person, entered twice
    erase(full, WREN)
    full.close()
    done = restore(tmp_path / "old.zip", tmp_path / "a", replace=True)
    with Store(tmp_path / "a") as store:
        names = [player.name for player in Roster(store).players()]
        assert names == [
            "Bo 🦊 Fennimore",
            "Ivo Quill",
            "Åsa Ljung",
        ]  # a taken-back note of Ivo's is left: not all of them was erased
        assert [info.player for info in store.sessions()] == ["Bo 🦊 Fennimore", "Åsa Ljung"]
    assert done.erased_again["session"] == 2


def test_lists_of_earlier_versions_hold(tmp_path: Path) -> None:
    kept = Path(__file__).parents[1] / "data" / "stores" / "backup_1_schema_0003.zip"
    (tmp_path / "b.zip").write_bytes(kept.read_bytes())
    (tmp_path / ERASED).write_text(json.dumps({"fingerprints": [hashlib.sha256(b"wren sedge").hexdigest()]}))
    restore(tmp_path / "b.zip", tmp_path / "new")
    assert b"Wren" not in everything(tmp_path / "new")
    assert "fingerprints" in (tmp_path / "new" / ERASED).read_text()
    (tmp_path / ERASED).write_text("{not json")
    with raises_saying(UserError, match="list of erased players, cannot be read"):
        restore(tmp_path / "b.zip", tmp_path / "other")
    with Store(tmp_path / "other") as store:
        assert store.sessions() == []


def test_an_erasure_that_fails_changes_nothing(full: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    add_film(full, 1, b"film of Wren")
    was = state(full)

    def fails(*_args: object) -> None:
        raise RuntimeError("half-way")

    monkeypatch.setattr(erasing, "remember", fails)
    with pytest.raises(RuntimeError, match="half-way"):
        erase(full, WREN)
    assert state(full) == was


def test_a_reader_in_the_way_is_told_and_tidying_later_empties_the_pages(
    tmp_path: Path, full: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(vacuum, "PATIENCE_S", 0.2)
    with Store(tmp_path / "a") as other, other.reading() as session:
        session.execute(select(Base.metadata.tables["player"])).all()
        proof = erase(full, WREN)
    assert not proof["free_pages_emptied"]
    assert "erase --tidy" in "\n".join(lines(proof_in_words(proof)))
    full.close()
    command = [sys.executable, "-m", "threequarter", "erase", "--tidy", "--data", str(tmp_path / "a")]
    subprocess.run(command, check=True, capture_output=True)
    assert b"Wren" not in everything(tmp_path / "a")


def test_a_person_entered_anew_after_an_erasure_is_another_one(tmp_path: Path, full: Store) -> None:
    erase(full, WREN)
    Roster(full).note(WREN, "Back again, and agreed.")
    backup(full, tmp_path / "new.zip")
    restore(tmp_path / "new.zip", tmp_path / "b")
    with Store(tmp_path / "b") as store:
        assert Roster(store).notes(WREN)[0].text == "Back again, and agreed."
