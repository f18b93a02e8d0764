"""Files that come in, one or many, whatever they are: looked at first, kept as one act, undone as one act."""

import json
import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.intake.load import read_content
from threequarter.intake.options import ReadOptions
from threequarter.intake.own_format.columns import OwnRow
from threequarter.intake.own_format.files import holds_own, read_own
from threequarter.intake.reading import Reading
from threequarter.store.exchange.export_json import import_all, is_empty, is_export, rows_of
from threequarter.store.exchange.reimport import Back, Originals, bring_in
from threequarter.store.imports.save_import import ImportFile, Prepared, save_import
from threequarter.store.results import Saved
from threequarter.store.store import Store

Reader = Callable[[bytes, str, str, ReadOptions], Reading]


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectedFile:
    """A file that was looked at: somebody's table (`reading`), or one of our own (`rows`), or an export of everything (`export` too).

    `error` says why nothing of it can be kept, `open` whether it waits for an answer.
    """

    name: str
    content: bytes
    reading: Reading | None = None
    rows: tuple[OwnRow, ...] = ()
    originals: Originals | None = None
    export: Any = None
    error: Message | str | None = None
    options: ReadOptions = field(default_factory=ReadOptions)
    ground: str = "normal"
    player: str | None = None

    @property
    def open(self) -> bool:
        """Whether the file leaves a question open."""
        return bool(self.reading and self.reading.questions)


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedBatch:
    """What keeping files did: one line or more a file, the sessions it touched, and the batch that undoes all of it."""

    batch: str | None
    sessions: tuple[int, ...]
    added: int
    changed: int
    said: tuple[tuple[Message | str, ...], ...]
    kept: tuple[Saved, ...]


def inspect_file(
    content: bytes,
    name: str,
    kind: str = "table",
    options: ReadOptions | None = None,
    *,
    ground: str = "normal",
    player: str | None = None,
    reader: Reader = read_content,
) -> InspectedFile:
    """What a file is. Never raises for what it holds: `error` tells. `reader` reads a table of somebody else."""
    options = options or ReadOptions()
    about: dict[str, Any] = {"name": name, "content": content, "options": options, "ground": ground, "player": player}
    try:
        if kind == "table" and content[:400].lstrip(b"\xef\xbb\xbf \r\n\t").startswith(b"{"):
            return InspectedFile(**about, **_json(content, name))
        if kind == "table" and not options.columns and holds_own(content, name):
            return InspectedFile(**about, rows=tuple(read_own(content, name) or ()))
        reading = reader(content, name, kind, options)
        return InspectedFile(**about, reading=reading, error=reading.error)
    except UserError as error:
        why = error.args[0] if error.args else ""
        named = str(why).startswith(name) or (isinstance(why, Message) and "file" in why.values)
        return InspectedFile(**about, error=why if named else Message("store.of_file", file=name, why=why))


def _json(content: bytes, name: str) -> dict[str, Any]:
    rows = read_own(content, name)
    if rows is not None:
        return {"rows": tuple(rows)}
    try:
        told = json.loads(content)
    except (ValueError, RecursionError):
        raise UserError(Message("store.it_begins_like_json_but")) from None
    if isinstance(told, dict) and str(told.get("format")).startswith("threequarter phone"):
        raise UserError(Message("phone.copy_alone"))
    if not is_export(told):
        raise UserError(Message("store.this_json_is_no_export"))
    found, originals = rows_of(told)
    return {"rows": tuple(found), "originals": originals, "export": told}


def save_batch(
    store: Store,
    files: Sequence[InspectedFile],
    *,
    dry: bool = False,
    also: Callable[[Session, SavedBatch], None] | None = None,
) -> SavedBatch:
    """Keeps files as one act, all or none; with `dry` says what it would do and changes nothing. `also` belongs to the act.

    Raises UserError for a file with an error or an open question; then nothing was kept.
    """
    for file in files:
        if file.error:
            raise UserError(file.error)
    if len(files) == 1 and files[0].export is not None and not dry and is_empty(store):
        count = import_all(store, files[0].export)
        done = SavedBatch(
            batch=None,
            sessions=(),
            added=count,
            changed=0,
            said=((Message("store.all_imported", count=count),),),
            kept=(),
        )
        if also is not None:  # the same rows again would change nothing
            with store.writing() as session:
                also(session, done)
        return done
    batch = uuid.uuid4().hex
    said_all: list[tuple[Message | str, ...]] = []
    kept: list[Saved] = []
    backs: list[Back] = []
    parts_of = [_parts(file) for file in files]
    with store.writing() as session:
        for file, told in zip(files, parts_of, strict=True):
            if file.reading is None:
                back = bring_in(session, file.rows, name=file.name, originals=file.originals or {}, batch=batch)
                backs.append(back)
                said_all.append(back.say())
                continue
            parts = [
                save_import(
                    session,
                    part,
                    ImportFile(
                        content=file.content,
                        name=file.name,
                        options=file.options,
                        ground=file.ground,
                        player=whose or file.player,
                        batch=batch,
                    ),
                    prepared,
                )
                for whose, part, prepared in told
            ]
            kept += parts
            said_all.append(_said(file.reading, parts))
        done = _done(batch, said_all, kept, backs)
        if dry:
            session.rollback()
        elif also is not None:
            also(session, done)
    return done


def _parts(file: InspectedFile) -> list[tuple[str | None, Reading, Prepared]]:
    """The reading of a file by player, each with what can be worked out before anybody has to wait."""
    if file.reading is None:
        return []
    parts = file.reading.by_player() or ((file.player, file.reading),)
    return [(whose, part, Prepared.of(part)) for whose, part in parts]


def _done(
    batch: str, said_all: Sequence[tuple[Message | str, ...]], kept: Sequence[Saved], backs: Sequence[Back]
) -> SavedBatch:
    sessions = {day for one in kept for day in one.days or (one.session_id,)} | {
        number for back in backs for number in back.touched
    }
    did = any(one.import_id for one in kept) or any(back.batch for back in backs)
    return SavedBatch(
        batch=batch if did else None,
        sessions=tuple(sorted(sessions)),
        said=tuple(said_all),
        kept=tuple(kept),
        added=sum(one.added for one in kept) + sum(back.balls for back in backs),
        changed=sum(one.changed for one in kept) + sum(back.changed for back in backs),
    )


def _said(reading: Reading, parts: Sequence[Saved]) -> tuple[Message | str, ...]:
    """What was decided of a file; of a shared one with the player's name before each line."""
    names = [whose for whose, _part in reading.by_player()]
    if len(parts) < 2:
        return parts[0].said
    return tuple(
        Message("store.of_player", player=whose, line=line) if whose else line
        for whose, one in zip(names, parts, strict=True)
        for line in one.said
    )
