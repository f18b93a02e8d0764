"""Keeping uploaded tables. Large ones are imported by a background task: what the preview showed, by the same reading."""

from dataclasses import dataclass
from typing import Any, Final

from threequarter.app.confirmed_tables import remember
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading
from threequarter.intake.safe_reading import read_safely
from threequarter.store.imports import import_batch
from threequarter.store.store import Store
from threequarter.store.tasks.tasks import Task, Tasks

LARGE: Final = 200_000
"""Bytes; a table of fewer is kept while one waits (about 4 000 balls, a second or two)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UploadedFile:
    """A file with the answers it is to be read by."""

    name: str
    content: bytes
    kind: str
    options: ReadOptions


def is_large(files: list[UploadedFile]) -> bool:
    """Whether importing them is worth a task."""
    return sum(len(one.content) for one in files) > LARGE


def ask_for_import(
    tasks: Tasks, files: list[UploadedFile], *, ground: str, player: str | None, language: str = "en"
) -> int:
    """Keeps files with how they are to be read; returns the task that imports them."""
    asked: dict[str, Any] = {
        "files": [{"name": one.name, "kind": one.kind, "options": one.options.to_json()} for one in files],
        "ground": ground,
        "player": player,
    }
    return tasks.add("import", asked, [one.content for one in files], language=language)


def import_files(tasks: Tasks, task: Task) -> None:
    """Imports what a task holds, all or none, and notes in the same act that it is done.

    Raises UserError for a file that cannot be read, or leaves a question open.
    """
    files = _files(tasks, task)
    found = []
    for number, one in enumerate(files, start=1):
        found.append(
            import_batch.inspect_file(
                one.content,
                one.name,
                one.kind,
                one.options,
                ground=task.asked["ground"],
                player=task.asked["player"],
                reader=read_safely,
            )
        )
        tasks.progress(task.id, 0.5 * number / len(files))
    import_batch.save_batch(
        tasks.store, found, also=lambda session, done: tasks.done(session, task.id, {"to": address_of(done)})
    )
    for one, seen in zip(files, found, strict=True):
        if seen.reading is not None:
            remember_reading(tasks.store, one, seen.reading)


def remember_reading(store: Store, file: UploadedFile, reading: Reading) -> None:
    """Keeps how a table was read, for the next that looks alike."""
    if file.kind == "table":
        remember(store, file.content, file.name, file.options, reading)


def address_of(done: import_batch.SavedBatch) -> str:
    """The page that shows what came in."""
    if len(done.kept) == len(done.sessions) == 1:
        kept = done.kept[0]
        return f"/sessions/{kept.session_id}?kept={kept.what.replace(' ', '-')}&added={kept.added}"
    return f"/?shared={len(done.sessions)}&added={done.added}&batch={done.batch or ''}"


def _files(tasks: Tasks, task: Task) -> list[UploadedFile]:
    return [
        UploadedFile(name=one["name"], content=content, kind=one["kind"], options=ReadOptions.from_json(one["options"]))
        for one, content in zip(task.asked["files"], tasks.files(task.id), strict=True)
    ]
