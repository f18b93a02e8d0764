"""Erasing a player for good: rows, films, pictures, free pages; and again when an older backup is restored."""

import datetime
import hashlib
import json
import shutil
from pathlib import Path
from typing import Any, Final

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from threequarter.store.belongings import ids_of
from threequarter.store.schema import (
    AsideRow,
    BallRow,
    ClipRow,
    ClubRow,
    ConsentRow,
    EditRow,
    ImportRow,
    NoteRow,
    PlayerRow,
    SessionRow,
)
from threequarter.store.store import Store

ERASED: Final = "erased.json"
ENCODINGS: Final = ("utf-8", "utf-16-le", "utf-16-be", "cp1252", "shift_jis", "gb18030", "euc_kr")


def erase(store: Store, player: str) -> dict[str, Any]:
    """Removes a player and everything of them for good: rows, films, pictures, free pages; returns the proof.

    The name's fingerprint is kept in erased.json, so that an older backup loses them too when it is restored.
    Raises UserError for a player who is not there.
    """
    with store.reading() as session:
        key = ids_of(session, player).key
    counts = erase_fingerprint(store, hashlib.sha256(key.encode()).hexdigest())
    place = store.data_dir / ERASED
    keys = sorted(erased_in(store.data_dir) | {hashlib.sha256(key.encode()).hexdigest()})
    place.write_text(json.dumps({"fingerprints": keys}, indent=1), encoding="utf-8")
    return {
        "erased_at": datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds"),
        "fingerprint": hashlib.sha256(key.encode()).hexdigest(),
        "removed": counts,
    }


def erased_in(folder: Path) -> set[str]:
    """Fingerprints of the players erased by the list in a folder; empty where there is none."""
    try:
        return set(json.loads((folder / ERASED).read_text(encoding="utf-8"))["fingerprints"])
    except (OSError, ValueError, KeyError, TypeError):
        return set()


def erase_fingerprint(store: Store, fingerprint: str) -> dict[str, int]:
    """Removes the player of a fingerprint, where there is one; counts by table."""
    counts: dict[str, int] = {}
    with store.writing() as session:
        rows = session.execute(select(PlayerRow.name, PlayerRow.name_key)).all()
        name = next((n for n, key in rows if hashlib.sha256(key.encode()).hexdigest() == fingerprint), None)
        if name is None:
            return counts
        ids = ids_of(session, name)
        digests = set(session.scalars(select(ImportRow.sha256).where(ImportRow.id.in_(ids.imports)))) - {""}
        for table, mine in (
            (EditRow, EditRow.ball_id.in_(ids.balls)), (BallRow, BallRow.id.in_(ids.balls)), (AsideRow, AsideRow.import_id.in_(ids.imports)),
            (ImportRow, ImportRow.id.in_(ids.imports)), (ClipRow, ClipRow.id.in_(ids.clips)), (SessionRow, SessionRow.id.in_(ids.sessions)),
            (ConsentRow, ConsentRow.player_key == ids.key), (ClubRow, ClubRow.player_id == ids.player),
            (NoteRow, NoteRow.player_id == ids.player), (PlayerRow, PlayerRow.id == ids.player),
        ):  # fmt: skip
            counts[table.__tablename__] = session.execute(delete(table).where(mine)).rowcount  # type: ignore[attr-defined]
        counts["shared files"] = _shared_files(session, name, digests)
    for clip_id in ids.clips:
        shutil.rmtree(store.data_dir / "clips" / str(clip_id), ignore_errors=True)
    counts["films"] = len(ids.clips)
    store.compact()
    return counts


def _shared_files(session: Session, name: str, digests: set[str]) -> int:
    """Originals of other players' imports that hold the erased one's rows too are dropped; the balls read from them stay."""
    dropped = 0
    for row in session.scalars(select(ImportRow).where(ImportRow.content.is_not(None))):
        if row.sha256 in digests or _names(row.content or b"", name):
            row.content, dropped = None, dropped + 1
    for aside in session.scalars(select(AsideRow).where(AsideRow.text.ilike(f"%{name}%"))):
        aside.text = ""
    return dropped


def _names(content: bytes, name: str) -> bool:
    """Whether a file holds a name, in any encoding a table comes in."""
    for encoding in ENCODINGS:
        try:
            if name.encode(encoding).lower() in content.lower():
                return True
        except UnicodeEncodeError:
            continue
    return False
