"""A store with one of everything that is kept: players, bags, notes, imports that grew, edits, typed balls, a conflict, films.

    python tests/store/full.py tests/data/stores/backup_2_schema_NNNN.zip

makes a backup of it: one is kept of every release, and the tests restore them all.
"""

import dataclasses
import datetime
import sys
import tempfile
from pathlib import Path

from threequarter.intake.load import read_content
from threequarter.intake.options import ReadOptions
from threequarter.store.backup.backup import backup
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.database.row_dump import digests_of
from threequarter.store.people.roster import Roster
from threequarter.store.results import Club, Facts
from threequarter.store.store import Store

TWO = b"Player,Club,Swing,Carry (yd)\nWren Sedge,54,waist,41\nWren Sedge,54,waist,43\nIvo Quill,58,chest,44\nmean,,,\n"
GROWING = b"Club;Schwung;Carry (m)\n50;chest;61,5\n50;chest;63,25\n50;shoulder;80,0\n"
FILM = bytes((j * 37 + j // 7) % 256 for j in range(3000))


def fill(store: Store) -> None:
    """Puts one of everything in."""
    options = ReadOptions()
    store.keep_shared(read_content(TWO, "two.csv", "table", options), TWO, name="two.csv", options=options)
    options = ReadOptions(player="Åsa Ljung")
    for content in (GROWING, GROWING + b"50;shoulder;82,0\n"):
        reading = read_content(content, "asa.csv", "table", options)
        kept = store.keep_reading(reading, content, name="asa.csv", options=options, player="Åsa Ljung")
    bucket = PhoneBalls(store)
    session = bucket.begin("Bo 🦊 Fennimore", "m")
    bucket.take(
        session,
        [{"key": f"full-{i:04d}", "club": "56", "swing": "waist", "carry": 31 + i, "unit": "m"} for i in range(6)],
    )
    bucket.take(session, [{"key": "full-0001", "club": "56", "swing": "waist", "carry": 77, "unit": "m"}])
    balls = store.kept_balls(kept.session_id)
    store.edit_ball(balls[0].id, dataclasses.replace(balls[0].ball, distance_m=60.125))
    store.undo_edit(store.leave_out(balls[1].id, "flag hit"))
    store.leave_out(balls[2].id, "wind gust")
    roster = Roster(store)
    roster.note("Wren Sedge", "Tempo too quick; left heel up.")
    roster.undo_note(roster.note("Ivo Quill", "taken back"))
    roster.set_bag("Åsa Ljung", [Club(label="50", loft_deg=50.0, full_carry_m=92.5), Club(label="56", loft_deg=56.0)])
    store.set_facts(
        kept.session_id,
        Facts(
            held_on=datetime.date(2026, 5, 4), where_held="North range", temp_c=9.5, wind_mps=2.25, wind_from_deg=90.0
        ),
    )
    add_film(store, kept.session_id, FILM)


def keep_backup(file: Path) -> None:
    """A backup of such a store, with a film that still comes in."""
    with tempfile.TemporaryDirectory() as folder, Store(Path(folder, "a")) as store:
        fill(store)
        clips = Clips(store)
        clips.take(clips.begin("half.mov", 5000, session_id=4), 0, FILM[:1200])
        backup(store, file)


def add_film(store: Store, session_id: int, film: bytes, name: str = "swing.mp4") -> int:
    """A film that was measured, with a picture made from it."""
    clips = Clips(store)
    clip = clips.begin(name, len(film), session_id=session_id, felt="waist")
    clips.agree(session_id, "a guardian")
    clips.take(clip, 0, film)
    clips.mark(clip, "done", progress=1.0, answer={"swings": []})
    pictures = clips.folder(clip) / "pictures"
    pictures.mkdir()
    (pictures / "sheet_1.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg'/>")
    return clip


def state(store: Store, *, but: tuple[str, ...] = ("restored", "audit")) -> dict[str, str]:
    """A hash of each table and each film, equal for stores that hold the same."""
    with store.engine.connect() as connection:
        found = {name: digest for name, digest in digests_of(connection).items() if name not in but}
    films = {
        f"clips/{path.relative_to(store.clips_dir)}": path.read_bytes().hex()[:64]
        for path in sorted(store.clips_dir.rglob("*"))
        if path.is_file()
    }
    return found | films


def everything(folder: Path) -> bytes:
    """All bytes of a folder."""
    return b"".join(path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file())


if __name__ == "__main__":
    keep_backup(Path(sys.argv[1]))
