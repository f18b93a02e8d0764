"""Out and in again: export, backup, restore, erase; nothing lost, nothing left."""

import base64
import json
import threading
import zipfile
from pathlib import Path

import pytest

from threequarter.golf.errors import UserError
from threequarter.intake.load import read_content
from threequarter.intake.options import ReadOptions
from threequarter.store.backup import backup, check_backup, restore
from threequarter.store.bucket import Bucket
from threequarter.store.clips import Clips
from threequarter.store.erasing import erase
from threequarter.store.exporting import export_all, import_all
from threequarter.store.roster import Roster
from threequarter.store.store import Store

TABLE = b"Player,Club,Swing,Carry (yd)\nWren Sedge,54,waist,41\nWren Sedge,54,waist,43\nIvo Quill,58,chest,44\n"


def filled(folder: Path) -> Store:
    store = Store.open(folder)
    for name in ("Wren Sedge", "Ivo Quill"):
        options = ReadOptions(player=name)
        store.keep_reading(read_content(TABLE, "t.csv", "table", options), TABLE, name=f"{name}.csv", options=options)
    clips = Clips(store)
    clip = clips.begin("swing.mp4", 11, session_id=1)
    clips.take(clip, 0, b"film of Wren"[:11])
    clips.agree(1, "a guardian")
    return store


def everything(folder: Path) -> bytes:
    return b"".join(path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file())


def test_an_export_comes_back_bit_for_bit(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    out = json.dumps(export_all(store), sort_keys=True)
    other = Store.open(tmp_path / "b")
    assert import_all(other, json.loads(out)) == len(store.session_balls(1)) + len(store.session_balls(2))
    assert json.dumps(export_all(other), sort_keys=True) == out
    assert other.session_balls(1) == store.session_balls(1)
    import_all(other, json.loads(out))  # a second time nothing changes
    assert json.dumps(export_all(other), sort_keys=True) == out
    with pytest.raises(UserError, match="no export"):
        import_all(other, {"format": "x"})


def test_an_export_of_one_player_holds_nothing_of_another(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    text = json.dumps(export_all(store, "wren sedge"), ensure_ascii=False)
    assert "Wren" in text
    assert [row["name"] for row in export_all(store, "Wren Sedge")["tables"]["player"]] == ["Wren Sedge"]
    assert b"Ivo" not in base64.b64decode(export_all(store, "Wren Sedge")["tables"]["import"][0]["content"] or "")
    assert all(row["session_id"] == 1 for row in export_all(store, "Wren Sedge")["tables"]["import"])
    with pytest.raises(UserError, match="no player"):
        export_all(store, "Nobody")


def test_a_backup_restores_to_a_state_that_existed_while_balls_come_in(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    bucket, stop = Bucket(store), threading.Event()
    session = bucket.begin("Wren Sedge")
    sent: list[int] = []

    def write() -> None:
        while not stop.is_set():
            n = len(sent)
            bucket.take(
                session,
                [
                    {"key": f"ball-{n:06d}-{k}", "club": "54", "swing": "waist", "carry": 40 + k, "unit": "yd"}
                    for k in range(2)
                ],
            )
            sent.append(n)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for i in range(4):
            before = len(sent)
            backup(store, tmp_path / f"b{i}.zip")
            restore(tmp_path / f"b{i}.zip", tmp_path / f"r{i}")
            with Store.open(tmp_path / f"r{i}") as again:
                balls = again.session_balls(session)
            assert len(balls) % 2 == 0  # a batch is whole or not there
            assert 2 * before <= len(balls) <= 2 * len(sent) + 2
    finally:
        stop.set()
        writer.join()
    assert next((tmp_path / "r0" / "clips").rglob("clip.mp4")).read_bytes() == b"film of Wre"


def test_a_damaged_backup_is_refused_and_leaves_nothing(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    whole = tmp_path / "b.zip"
    backup(store, whole)
    assert check_backup(whole)["counts"]["ball"] == 3
    content = bytearray(whole.read_bytes())
    content[len(content) // 2] ^= 0xFF
    (tmp_path / "bad.zip").write_bytes(content)
    (tmp_path / "cut.zip").write_bytes(whole.read_bytes()[:-40])
    with zipfile.ZipFile(tmp_path / "evil.zip", "w") as pack:
        pack.writestr("../x", "x")
        pack.writestr(
            "manifest.json",
            json.dumps({"sha256": {"../x": "2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881"}}),
        )
    for name in ("bad.zip", "cut.zip", "evil.zip"):
        with pytest.raises(UserError):
            restore(tmp_path / name, tmp_path / "new")
        assert not list((tmp_path / "new").glob("*")) if (tmp_path / "new").exists() else True
    with pytest.raises(UserError, match="holds something"):
        restore(whole, tmp_path / "a")


def test_an_erased_player_is_found_nowhere_and_leaves_older_backups_too(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    backup(store, tmp_path / "old.zip")
    proof = erase(store, "WREN sedge")
    assert proof["removed"]["ball"] == 2
    assert proof["removed"]["films"] == 1
    store.close()
    left = everything(tmp_path / "a")
    for trace in (b"Wren", b"wren sedge", b"film of Wre"):
        assert trace not in left
    (tmp_path / "erased.json").write_bytes((tmp_path / "a" / "erased.json").read_bytes())
    restore(tmp_path / "old.zip", tmp_path / "again")
    with Store.open(tmp_path / "again") as again:
        assert [player.name for player in Roster(again).players()] == ["Ivo Quill"]
    assert b"Wren" not in everything(tmp_path / "again")
    with pytest.raises(UserError, match="no player"):
        erase(Store.open(tmp_path / "a"), "Wren Sedge")
