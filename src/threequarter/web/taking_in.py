"""Large tables are taken in as an errand: what the preview showed is kept, by the same reading, though the server
should end."""

from dataclasses import dataclass
from typing import Any, Final

from threequarter.intake.options import ReadOptions
from threequarter.intake.reader import read_safely
from threequarter.intake.shape import shape_key
from threequarter.store.imports import import_batch
from threequarter.store.store import Store
from threequarter.store.tasks.tasks import Task, Tasks

LARGE: Final = 200_000
"""Bytes; a table of fewer is kept while one waits (about 4 000 balls, a second or two)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dropped:
    """A file with the answers it is to be read by."""

    name: str
    content: bytes
    kind: str
    options: ReadOptions


def is_large(files: list[Dropped]) -> bool:
    """Whether taking them in is worth an errand."""
    return sum(len(one.content) for one in files) > LARGE


def ask(errands: Tasks, files: list[Dropped], *, ground: str, player: str | None) -> int:
    """Keeps files with how they are to be read; returns the errand that takes them in."""
    asked: dict[str, Any] = {
        "files": [{"name": one.name, "kind": one.kind, "options": one.options.to_json()} for one in files],
        "ground": ground,
        "player": player,
    }
    return errands.add("import", asked, [one.content for one in files])


def take_in(errands: Tasks, errand: Task) -> None:
    """Takes in what an errand holds, all or none, and notes in the same act that it is done.

    Raises UserError for a file that cannot be read, or leaves a question open.
    """
    files = _files(errands, errand)
    found = []
    for number, one in enumerate(files, start=1):
        found.append(
            import_batch.inspect_file(
                one.content,
                one.name,
                one.kind,
                one.options,
                ground=errand.asked["ground"],
                player=errand.asked["player"],
                reader=read_safely,
            )
        )
        errands.progress(errand.id, 0.5 * number / len(files))
    import_batch.save_batch(
        errands.store, found, also=lambda session, done: errands.done(session, errand.id, {"to": address_of(done)})
    )
    for one, seen in zip(files, found, strict=True):
        if seen.reading is not None:
            remember_reading(errands.store, one)


def remember_reading(store: Store, file: Dropped) -> None:
    """Keeps how a table was read, for the next that looks alike."""
    if file.kind == "table" and file.options != ReadOptions():
        store.remember_shape(shape_key(file.content, file.name), file.options)


def address_of(done: import_batch.SavedBatch) -> str:
    """The page that shows what came in."""
    if len(done.kept) == 1:
        kept = done.kept[0]
        return f"/sessions/{kept.session_id}?kept={kept.what.replace(' ', '-')}&added={kept.added}"
    return f"/?shared={len(done.sessions)}&added={done.added}&batch={done.batch or ''}"


def _files(errands: Tasks, errand: Task) -> list[Dropped]:
    return [
        Dropped(name=one["name"], content=content, kind=one["kind"], options=ReadOptions.from_json(one["options"]))
        for one, content in zip(errand.asked["files"], errands.files(errand.id), strict=True)
    ]
