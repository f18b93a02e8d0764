"""Settings of the whole installation, kept in the database so that all servers have the same."""

from typing import Final

from sqlalchemy import select

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.accounts.tables import SettingRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store

CLIP_MONTHS: Final = "clip_months"
HEADS_SEE: Final = "heads_see"
SECOND_STEP: Final = "second_step"
USUAL: Final = {CLIP_MONTHS: "12", HEADS_SEE: "yes", SECOND_STEP: "nobody"}
"""`clip_months`: how long films are kept, 0 until somebody deletes them. `heads_see`: whether a head may open a coach's room.
`second_step`: of whom a second step beside the password is demanded ("nobody", "heads", "coaches": heads and coaches)."""
DEMANDED: Final[dict[str, frozenset[str]]] = {
    "nobody": frozenset(),
    "heads": frozenset({"head"}),
    "coaches": frozenset({"head", "coach"}),
}
"""The roles of whom it is demanded."""


def setting(store: Store, key: str) -> str:
    """A setting, as it usually is where nobody chose."""
    with store.reading() as session:
        return session.scalar(select(SettingRow.value).where(SettingRow.key == key)) or USUAL[key]


def set_setting(store: Store, key: str, value: str) -> None:
    """Keeps a setting. Raises UserError for a value that it cannot have."""
    if key == CLIP_MONTHS and not (value.isdecimal() and len(value) < 4 and int(value) <= 240):
        raise UserError(Message("store.films_are_kept_for_1"))
    if key == HEADS_SEE and value not in ("yes", "no"):
        raise UserError(Message("store.heads_may_open_a_coach"))
    if key == SECOND_STEP and value not in DEMANDED:
        raise UserError(Message("store.second_step_is_demanded_of"))
    with store.writing() as session:
        row = session.get(SettingRow, key)
        if row is None:
            session.add(SettingRow(key=key, value=value, changed_at=now_utc()))
        else:
            row.value, row.changed_at = value, now_utc()
