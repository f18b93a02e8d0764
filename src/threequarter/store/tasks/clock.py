"""Whether the clock can be believed when something is to be deleted for good: it is compared with when the server was last here.

A clock that jumps ahead by a year would empty the bin, delete films and the record. So after a jump nothing is deleted for good for two
weeks, and the doctor says so: time enough to set the clock right. Where a laptop was shut for months it waits the same two weeks.
"""

import contextlib
import datetime
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from sqlalchemy import func, select

from threequarter.store.database.schema import HistoryRow, ImportRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store

FILE: Final = "clock.json"
JUMP: Final = datetime.timedelta(days=60)
"""Ahead by more than this since the server was last here, or"""
BACK: Final = datetime.timedelta(days=1)
"""back by more than this, is a jump."""
DOUBT: Final = datetime.timedelta(days=14)
"""So long nothing is deleted for good after one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Jump:
    """The clock went from one time to another; `until` nothing is deleted for good."""

    before: datetime.datetime
    after: datetime.datetime

    @property
    def until(self) -> datetime.datetime:
        return self.after + DOUBT

    def doubted(self, now: datetime.datetime) -> bool:
        """Whether it is still too early to believe the clock."""
        return now < self.until


def note_clock(store: Store, now: datetime.datetime | None = None) -> Jump | None:
    """Notes when the server is here; returns the jump for which nothing may be deleted for good now, None where there is none."""
    now = now or now_utc()
    seen, jump = _read(store.data_dir)
    seen = seen or _newest(store) or now
    if now - seen > JUMP or seen - now > BACK:
        jump = Jump(before=seen, after=now)
    elif jump is not None and not jump.doubted(now):
        jump = None
    told = {"seen": now.isoformat(), "jump": [jump.before.isoformat(), jump.after.isoformat()] if jump else None}
    with contextlib.suppress(OSError):  # a full disk: it is noted the next day
        (store.data_dir / FILE).write_text(json.dumps(told), encoding="utf-8")
    return jump


def last_jump(data_dir: Path) -> Jump | None:
    """The jump that was noted last and still counts, None where there is none."""
    return _read(data_dir)[1]


def _read(data_dir: Path) -> tuple[datetime.datetime | None, Jump | None]:
    with contextlib.suppress(OSError, ValueError, TypeError, KeyError):
        told = json.loads((data_dir / FILE).read_text(encoding="utf-8"))
        seen, jump = datetime.datetime.fromisoformat(told["seen"]), None
        if told["jump"]:
            before, after = map(datetime.datetime.fromisoformat, told["jump"])
            jump = Jump(before=before, after=after)
        return seen, jump
    return None, None


def _newest(store: Store) -> datetime.datetime | None:
    """When something was last done here, where the server never noted that it was."""
    with store.reading() as session:
        newest = [session.scalar(select(func.max(row.made_at))) for row in (ImportRow, HistoryRow)]
    return max((one for one in newest if one is not None), default=None)
