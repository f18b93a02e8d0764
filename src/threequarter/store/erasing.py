"""Erasing a player for good: rows, films, pictures, free pages; and again when an older backup is restored."""

import datetime
import hashlib
import json
import shutil
from pathlib import Path
from typing import Any, Final

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from threequarter.golf.player import name_key
from threequarter.store.belongings import belongings
from threequarter.store.schema import AsideRow, ImportRow, PlayerRow
from threequarter.store.store import Store

ERASED: Final = "erased.json"
ENCODINGS: Final = ("utf-8", "utf-16-le", "utf-16-be", "cp1252", "shift_jis", "gb18030", "euc_kr")


def erase(store: Store, player: str) -> dict[str, Any]:
    """Removes a player and everything of them for good: rows, films, pictures, free pages; returns the proof.

    The name's fingerprint is kept in erased.json, so that an older backup loses them too when it is restored.
    Raises UserError for a player who is not there.
    """
    with store.reading() as session:
        belongings(session, player)  # says where there is no such player
    fingerprint = _fingerprint(name_key(player))
    counts = erase_fingerprint(store, fingerprint)
    keys = sorted(erased_in(store.data_dir) | {fingerprint})
    (store.data_dir / ERASED).write_text(json.dumps({"fingerprints": keys}, indent=1), encoding="utf-8")
    return {
        "erased_at": datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds"),
        "fingerprint": fingerprint,
        "removed": counts,
    }


def _fingerprint(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()


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
        names = session.execute(select(PlayerRow.name, PlayerRow.name_key)).all()
        name = next((name for name, key in names if _fingerprint(key) == fingerprint), None)
        if name is None:
            return counts
        theirs = belongings(session, name)
        digests = set(session.scalars(select(ImportRow.sha256).where(ImportRow.id.in_(theirs.imports)))) - {""}
        for table, mine in theirs.rows:
            counts[table.__tablename__] = session.execute(delete(table).where(mine)).rowcount  # type: ignore[attr-defined]
        counts["shared files"] = _shared_files(session, name, digests)
    for clip_id in theirs.clips:
        shutil.rmtree(store.clips_dir / str(clip_id), ignore_errors=True)
    counts["films"] = len(theirs.clips)
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
