"""Out and in again: export and import; nothing lost."""

import base64
import json
from pathlib import Path

from tests.saying import raises_saying

from threequarter.golf.errors import UserError
from threequarter.intake.load import read_content
from threequarter.intake.options import ReadOptions
from threequarter.store.clips.clips import Clips
from threequarter.store.exchange.export_json import export_all, import_all
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


def test_an_export_comes_back_bit_for_bit(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    out = json.dumps(export_all(store), sort_keys=True)
    other = Store.open(tmp_path / "b")
    assert import_all(other, json.loads(out)) == len(store.session_balls(1)) + len(store.session_balls(2))
    assert json.dumps(export_all(other), sort_keys=True) == out
    assert other.session_balls(1) == store.session_balls(1)
    import_all(other, json.loads(out))  # a second time nothing changes
    assert json.dumps(export_all(other), sort_keys=True) == out
    with raises_saying(UserError, match="not a threequarter export"):
        import_all(other, {"format": "x"})


def test_an_export_of_one_player_holds_nothing_of_another(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    text = json.dumps(export_all(store, "wren sedge"), ensure_ascii=False)
    assert "Wren" in text
    assert [row["name"] for row in export_all(store, "Wren Sedge")["tables"]["player"]] == ["Wren Sedge"]
    assert b"Ivo" not in base64.b64decode(export_all(store, "Wren Sedge")["tables"]["import"][0]["content"] or "")
    assert all(row["session_id"] == 1 for row in export_all(store, "Wren Sedge")["tables"]["import"])
    with raises_saying(UserError, match="no player"):
        export_all(store, "Nobody")
