"""The disk is full while everything that a coach may do is done: words and 507, never a fault of ours, and what it says is true."""

import sqlite3
from collections import Counter
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from sqlalchemy import event
from tests.web.asked_of_rooms import Asker
from tests.web.two_rooms import two_rooms

from threequarter.store.accounts import audit
from threequarter.store.database.row_dump import digests_of
from threequarter.web.security.policy import Level, allows

pytestmark = pytest.mark.slow
RECORD = audit.record
BESIDE = {"audit", "sign_in", "tries", "challenge", "half_sign_in", "touched", "task"}
"""The record, counts of tries, and long work that ends beside."""


def full(connection: Any, _record: Any) -> None:
    """No page more than there are."""
    connection.execute("PRAGMA max_page_count = 1")


def test_nothing_is_a_fault_of_ours_and_what_was_not_saved_is_not_there(tmp_path: Path) -> None:
    with two_rooms(tmp_path) as rooms, patch.object(audit, "record", RECORD):
        engine = rooms.inner.state.store.engine

        def held() -> dict[str, str]:
            with engine.connect() as connection:
                return {name: told for name, told in digests_of(connection).items() if name not in BESIDE}

        engine.dispose()
        for small in (
            "journal_mode = DELETE",
            "page_size = 512",
            "journal_mode = WAL",
        ):  # little fits beside what is there
            rooms.watched.on.execute(f"PRAGMA {small}").fetchall()
            rooms.watched.on.execute("VACUUM")
        rooms.watched.kept = sqlite3.connect(":memory:", check_same_thread=False)
        rooms.watched.kept.execute("PRAGMA page_size = 512")
        rooms.watched.on.backup(rooms.watched.kept)
        event.listen(engine, "connect", full)
        before = held()
        asker, said, wrong = Asker(rooms), Counter[int](), list[str]()
        for method, route in asker.description.routes:
            level = route.need.level
            if level is Level.NEVER or not allows(level, role="coach", coaches=True, script=False):
                continue
            rooms.watched.put_back()
            answer = asker.ask("coach", method, route.path, asker.description.sent(method, route))
            said[answer.status_code] += 1
            if answer.status_code in (500, 503) or "Traceback (most" in answer.text:
                wrong.append(f"{method} {route.path}: {answer.status_code}")
            if answer.status_code == 507:
                changed = [name for name, told in held().items() if told != before.get(name)]
                if changed or "full" not in answer.text:
                    wrong.append(f"{method} {route.path}: not saved, it says, and yet {changed}")
        assert wrong == [], "\n".join(wrong)
        assert said[507] > 8, said
