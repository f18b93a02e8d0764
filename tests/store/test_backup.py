"""Backup and restore on both databases: whole, proved, or not at all."""

import io
import json
import stat
import threading
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.postgres_support import Server
from tests.saying import raises_saying
from tests.store.full import FILM, add_film, fill, state

from threequarter import __version__
from threequarter.golf.errors import UserError
from threequarter.store.backup import backup as backups
from threequarter.store.backup.archive import MANIFEST, opened
from threequarter.store.backup.backup import backup, check_backup
from threequarter.store.backup.restore import restore
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.database.engines import head
from threequarter.store.media.media_files import part_of
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store

pytestmark = pytest.mark.slow

KEPT = sorted((Path(__file__).parents[1] / "data" / "stores").glob("backup_*.zip"))
WORDS = "four words are good"


def filled(folder: Path, url: str | None = None) -> Store:
    store = Store(folder, url)
    fill(store)
    return store


@pytest.mark.parametrize("file", KEPT, ids=lambda path: path.stem)
def test_a_backup_of_every_earlier_version_restores(tmp_path: Path, file: Path, database_url: str | None) -> None:
    done = restore(file, tmp_path / "new", url=database_url)
    with Store(tmp_path / "new", database_url) as store:
        assert [player.name for player in Roster(store).players()] == [
            "Bo 🦊 Fennimore",
            "Ivo Quill",
            "Wren Sedge",
            "Åsa Ljung",
        ]
        assert [(info.title, info.balls) for info in store.sessions()] == [
            ("bucket", 6),
            ("asa.csv", 4),
            ("two.csv", 1),
            ("two.csv", 2),
        ]
        left_out = [(kept.left_out_why, kept.edited) for kept in store.kept_balls(3)]
        assert left_out == [(None, True), (None, False), ("wind gust", False), (None, False)]
        assert store.kept_balls(3)[0].ball.distance_m == 60.125
        assert Roster(store).bag("Åsa Ljung")[0].full_carry_m == 92.5
        assert [note.text for note in Roster(store).notes("Wren Sedge")] == ["Tempo too quick; left heel up."]
        assert store.facts(3).wind_mps == 2.25
        assert Clips(store).file(1).read_bytes() == FILM
        half = Clips(store).file(2)
        assert (half if half.exists() else part_of(half)).read_bytes() == FILM[:1200]
        assert Clips(store).clip(2).received == 1200
        PhoneBalls(store).begin("A new one")  # the next numbers follow those that came
    assert done.manifest["counts"]["ball"] == 13


def test_a_backup_made_by_this_release_is_kept() -> None:
    assert __version__ in {check_backup(file)["made_by"] for file in KEPT}, "make one: python tests/store/full.py FILE"


@pytest.mark.parametrize("first", ["sqlite", "postgresql"])
def test_it_moves_between_the_two_databases_and_back_bit_for_bit(tmp_path: Path, postgres: Server, first: str) -> None:
    urls = [None, postgres.url()] if first == "sqlite" else [postgres.url(), None]
    with filled(tmp_path / "a", urls[0]) as store:
        was = state(store)
        backup(store, tmp_path / "1.zip")
    restore(tmp_path / "1.zip", tmp_path / "b", url=urls[1])
    with Store(tmp_path / "b", urls[1]) as store:
        assert state(store) == was
        backup(store, tmp_path / "2.zip")
    restore(tmp_path / "2.zip", tmp_path / "c")
    with Store(tmp_path / "c") as store:
        assert state(store) == was


def test_backup_restore_write_backup_restore(tmp_path: Path, database_url: str | None) -> None:
    with filled(tmp_path / "a", database_url) as store:
        first = backup(store, tmp_path / "1.zip")["counts"]
    restore(tmp_path / "1.zip", tmp_path / "b")
    with Store(tmp_path / "b") as store:
        session = PhoneBalls(store).begin("Wren Sedge")
        PhoneBalls(store).take(
            session, [{"key": "later-01", "club": "54", "swing": "waist", "carry": 40, "unit": "yd"}]
        )
        add_film(store, session, FILM[::-1])
        was, second = state(store), backup(store, tmp_path / "2.zip")["counts"]
    changed = {name: second[name] - first[name] for name in first if second[name] != first[name]}
    assert changed == {"session": 1, "import": 1, "ball": 1, "clip": 1, "consent": 1, "restored": 1, "audit": 1}
    restore(tmp_path / "2.zip", tmp_path / "c")
    with Store(tmp_path / "c") as store:
        assert state(store) == was


def test_it_restores_to_a_state_that_existed_while_balls_come_in(tmp_path: Path, database_url: str | None) -> None:
    store = filled(tmp_path / "a", database_url)
    bucket, stop = PhoneBalls(store), threading.Event()
    session = bucket.begin("Wren Sedge")
    sent: list[int] = []

    def write() -> None:
        while not stop.is_set():
            n = len(sent)
            pair = [
                {"key": f"ball-{n:06d}-{k}", "club": "54", "swing": "waist", "carry": 40 + k, "unit": "yd"}
                for k in range(2)
            ]
            bucket.take(session, pair)
            sent.append(n)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for i in range(3):
            before = len(sent)
            backup(store, tmp_path / f"b{i}.zip")
            after = len(sent)
            restore(tmp_path / f"b{i}.zip", tmp_path / f"r{i}")
            with Store(tmp_path / f"r{i}") as again:
                balls = again.session_balls(session)
            assert len(balls) % 2 == 0  # a batch is whole or not there
            assert 2 * before <= len(balls) <= 2 * after + 2
    finally:
        stop.set()
        writer.join()
        store.close()


def test_a_film_that_still_comes_in_is_as_long_as_its_row_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with filled(tmp_path / "a") as store:
        clips = Clips(store)
        clip = clips.begin("half.mov", 3000, session_id=1)
        clips.take(clip, 0, FILM[:1000])
        packing = backups._pack_clips

        def later(*args: Any, **named: Any) -> bool:
            clips.take(clip, 1000, FILM[1000:2000])  # a part comes between the rows and the films
            return packing(*args, **named)

        monkeypatch.setattr(backups, "_pack_clips", later)
        backup(store, tmp_path / "b.zip")
    restore(tmp_path / "b.zip", tmp_path / "r")
    with Store(tmp_path / "r") as again:
        assert Clips(again).clip(clip).received == 1000
        assert part_of(Clips(again).file(clip)).read_bytes() == FILM[:1000]
        Clips(again).take(clip, 1000, FILM[1000:])
        assert Clips(again).file(clip).read_bytes() == FILM


def test_a_film_deleted_meanwhile_is_in_no_backup(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with filled(tmp_path / "a") as store:
        packing, times = backups._pack_clips, []

        def gone(*args: Any, **named: Any) -> bool:
            packed = packing(*args, **named)
            times.append(1)
            if len(times) == 1:
                Clips(store).delete(1)
            return packed

        monkeypatch.setattr(backups, "_pack_clips", gone)
        manifest = backup(store, tmp_path / "b.zip")
    assert len(times) == 2
    assert manifest["counts"]["clip"] == 0
    assert not [name for name in manifest["sha256"] if name.startswith("clips/")]


def test_a_backup_that_does_not_come_back_is_no_backup(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with filled(tmp_path / "a") as store:
        backup(store, tmp_path / "b.zip")
        before = (tmp_path / "b.zip").read_bytes()
        Roster(store).note("Wren Sedge", "one more")
        monkeypatch.setattr(backups, "digests_of", lambda _connection: {"ball": "0" * 64})
        with raises_saying(UserError, match="failed its test"):
            backup(store, tmp_path / "b.zip")
    assert (tmp_path / "b.zip").read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a", "b.zip"]


def test_names_that_cannot_be_written_are_told(tmp_path: Path) -> None:
    with filled(tmp_path / "a") as store:
        with raises_saying(UserError, match="is a folder"):
            backup(store, tmp_path)
        with raises_saying(UserError, match="There is no folder"):
            backup(store, tmp_path / "stick" / "b.zip")


def test_films_can_be_left_out_and_are_taken_from_where_they_lie(tmp_path: Path) -> None:
    with filled(tmp_path / "a") as store:
        was = state(store)
        assert backup(store, tmp_path / "b.zip", films=False)["films"] == "left out"
        Roster(store).note("Wren Sedge", "after the backup")
    done = restore(tmp_path / "b.zip", tmp_path / "a", replace=True)
    assert done.films_missing == 0
    with Store(tmp_path / "a") as store:
        assert state(store) == was
    assert restore(tmp_path / "b.zip", tmp_path / "new").films_missing == 1
    with Store(tmp_path / "new") as store:
        assert Clips(store).clip(1).state == "done"  # what was measured is there, pictures too
        assert (Clips(store).folder(1) / "pictures" / "sheet_1.svg").exists()


def test_nothing_is_replaced_without_being_told_and_what_was_there_is_kept(
    tmp_path: Path, database_url: str | None
) -> None:
    with filled(tmp_path / "a", database_url) as store:
        backup(store, tmp_path / "b.zip")
        Roster(store).add("Someone Else")
        add_film(store, 1, b"another film")
        was = state(store)
    with raises_saying(UserError, match=r"already holds data \(5 players, 13 balls\)"):
        restore(tmp_path / "b.zip", tmp_path / "a", url=database_url)
    with Store(tmp_path / "a", database_url) as store:
        assert state(store) == was
        store.sessions()  # a connection is open, as in a server
        with raises_saying(UserError, match="Somebody is using"):
            restore(tmp_path / "b.zip", tmp_path / "a", url=database_url, replace=True)
    done = restore(tmp_path / "b.zip", tmp_path / "a", url=database_url, replace=True)
    with Store(tmp_path / "a", database_url) as store:
        assert [player.name for player in Roster(store).players()][-1] == "Åsa Ljung"
        assert not (store.clips_dir / "2").exists()
        assert Clips(store).file(1).read_bytes() == FILM
    assert done.kept_before is not None
    restore(done.kept_before, tmp_path / "before")
    with Store(tmp_path / "before") as store:
        assert state(store) == was


def test_an_empty_store_that_was_opened_once_is_empty(tmp_path: Path) -> None:
    with filled(tmp_path / "a") as store:
        backup(store, tmp_path / "b.zip")
    Store(tmp_path / "new").close()
    restore(tmp_path / "b.zip", tmp_path / "new")
    with Store(tmp_path / "new") as store:
        assert len(Roster(store).players()) == 4


def test_a_sealed_backup_opens_with_its_passphrase_only(tmp_path: Path) -> None:
    with filled(tmp_path / "a") as store:
        was = state(store)
        backup(store, tmp_path / "b.zip", passphrase=WORDS)
        with raises_saying(UserError, match="at least 8 letters"):
            backup(store, tmp_path / "c.zip", passphrase="short")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a", "b.zip"]
    assert b"Wren" not in (tmp_path / "b.zip").read_bytes()
    with raises_saying(UserError, match="is encrypted"):
        restore(tmp_path / "b.zip", tmp_path / "new")
    with raises_saying(UserError, match=r"The passphrase does not open b\.zip"):
        restore(tmp_path / "b.zip", tmp_path / "new", passphrase="four other words are")
    content = bytearray((tmp_path / "b.zip").read_bytes())
    content[len(content) // 2] ^= 0xFF
    (tmp_path / "bad.zip").write_bytes(content)
    with raises_saying(UserError, match="damaged"):
        restore(tmp_path / "bad.zip", tmp_path / "new", passphrase=WORDS)
    assert not (tmp_path / "new").exists()
    restore(tmp_path / "b.zip", tmp_path / "new", passphrase=WORDS)
    with Store(tmp_path / "new") as store:
        assert state(store) == was


# Archives that were not made by this tool


Change = Callable[[dict[str, bytes], dict[str, Any]], None]


def changed(whole: Path, change: Change, target: Path) -> Path:
    """A backup with something else in it, its list of hashes made to fit."""
    with zipfile.ZipFile(whole) as pack:
        files = {name: pack.read(name) for name in pack.namelist() if name != MANIFEST}
        manifest = json.loads(pack.read(MANIFEST))
    change(files, manifest)
    import hashlib

    manifest["sha256"] = {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as pack:
        for name, content in files.items():
            pack.writestr(name, content)
        pack.writestr(MANIFEST, json.dumps(manifest))
    return target


def add(name: str, content: bytes = b"x") -> Change:
    return lambda files, _manifest: files.update({name: content})


def edit_rows(table: str, old: bytes, new: bytes) -> Change:
    def change(files: dict[str, bytes], _manifest: dict[str, Any]) -> None:
        name = f"tables/{table}.jsonl"
        assert old in files[name]
        files[name] = files[name].replace(old, new, 1)

    return change


def say(**told: Any) -> Change:
    return lambda _files, manifest: manifest.update(told)


HOSTILE: dict[str, tuple[Change, str]] = {
    "above": (add("../x"), "does not belong there"),
    "deep above": (add("clips/1/../../../x"), "does not belong there"),
    "absolute": (add("/etc/x"), "does not belong there"),
    "drive": (add("C:/x"), "does not belong there"),
    "backslash": (add("clips\\1\\..\\..\\x"), "does not belong there"),
    "hidden": (add("clips/1/.bashrc"), "does not belong there"),
    "other folder": (add("phones/server.key"), "does not belong there"),
    "a table that never was": (add("tables/evil.jsonl"), "does not match"),
    "bomb": (add("clips/1/clip.mkv", bytes(100 * 2**20)), "times its size"),
    "counts": (lambda _f, m: m["counts"].update(ball=12), "holds 13 rows of ball, but its list says 12"),
    "fewer rows": (
        lambda f, _m: f.update({"tables/ball.jsonl": f["tables/ball.jsonl"].split(b"\n", 1)[1]}),
        "holds 12 rows of ball",
    ),
    "a count that is none": (lambda _f, m: m["counts"].update(ball=-1), "its list cannot be read"),
    "newer format": (say(format="threequarter backup 9", made_by="9.0"), r"newer version of threequarter \(9\.0\)"),
    "newer schema": (say(schema="9999"), "newer version of threequarter"),
    "no row": (edit_rows("ball", b"{", b"["), "table ball, row 1 is not a row"),
    "other column": (edit_rows("ball", b'"rank"', b'"rang"'), "other columns"),
    "other kind": (edit_rows("ball", b'"import_id":', b'"import_id":"x'), "is not a row"),
    "points nowhere": (edit_rows("session", b'"player_id":1', b'"player_id":999'), "refer to rows it lacks"),
    "same number twice": (edit_rows("note", b'"id":2', b'"id":1'), "do not fit together"),
}


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("whole")
    with filled(folder / "a") as store:
        backup(store, folder / "b.zip")
    return folder / "b.zip"


@pytest.mark.parametrize("what", HOSTILE)
def test_an_archive_that_was_tampered_with_is_refused_before_anything_is_written(
    tmp_path: Path, whole: Path, what: str
) -> None:
    change, words = HOSTILE[what]
    bad = changed(whole, change, tmp_path / "bad.zip")
    with raises_saying(UserError, match=words):
        restore(bad, tmp_path / "new")
    assert [path.name for path in tmp_path.iterdir()] == ["bad.zip"]


def test_links_doubles_and_locked_files_in_an_archive_are_refused(tmp_path: Path, whole: Path) -> None:
    link = zipfile.ZipInfo("clips/1/clip.mkv")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    for name, entry, words in (("link", link, "not a plain file"), ("twice", "tables/ball.jsonl", "twice")):
        bad = tmp_path / f"{name}.zip"
        bad.write_bytes(whole.read_bytes())
        with (
            zipfile.ZipFile(bad, "a") as pack,
            pytest.warns(UserWarning, match="Duplicate") if name == "twice" else io.StringIO(),
        ):
            pack.writestr(entry, "/etc/passwd")
        with raises_saying(UserError, match=words):
            restore(bad, tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_a_backup_cut_off_or_changed_anywhere_is_refused(tmp_path: Path, whole: Path) -> None:
    content = whole.read_bytes()
    refused = 0
    for place in range(0, len(content), max(1, len(content) // 40)):
        (tmp_path / "cut.zip").write_bytes(content[:place])
        with pytest.raises(UserError):
            check_backup(tmp_path / "cut.zip")
        flipped = bytearray(content)
        flipped[place] ^= 0x55
        (tmp_path / "flipped.zip").write_bytes(flipped)
        try:  # a bit that means nothing (a time stamp) may be different; everything that is restored may not
            with opened(tmp_path / "flipped.zip") as one, opened(whole) as other:
                assert one.manifest == other.manifest
        except UserError:
            refused += 1
    assert refused > 20
    for other in (b"", b"PK", b"x" * 1000, json.dumps({"format": "threequarter export 1"}).encode()):
        (tmp_path / "other.zip").write_bytes(other)
        with raises_saying(UserError, match="not a threequarter backup"):
            restore(tmp_path / "other.zip", tmp_path / "new")
    with raises_saying(UserError, match="cannot be read"):
        restore(tmp_path / "nowhere.zip", tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_one_that_packs_unusually_well_still_restores(tmp_path: Path) -> None:
    with filled(tmp_path / "a") as store:
        with store.engine.begin() as connection:
            connection.exec_driver_sql("UPDATE import SET content = zeroblob(60000000) WHERE id = 1")
        backup(store, tmp_path / "b.zip")
    restore(tmp_path / "b.zip", tmp_path / "r")


def test_the_manifest_names_the_schema(whole: Path) -> None:
    assert check_backup(whole)["schema"] == head()
