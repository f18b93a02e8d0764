"""`threequarter import`: tables of balls, or exports, into the data folder; several files are one act."""

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from threequarter.cli.output import JSON, ask_on_a_terminal, read_options, reading_options, write_json
from threequarter.cli.store_commands import DATA, opened
from threequarter.golf.errors import UserError
from threequarter.language import lines
from threequarter.language.localize import N_, _, ngettext

if TYPE_CHECKING:
    from threequarter.store.imports.import_batch import InspectedFile
    from threequarter.store.store import Store


@click.command(
    "import",
    help=N_(
        "Save the balls of each TABLE (CSV, text, XLSX, Parquet), or bring an export back. All files or "
        "none.\n\nImporting the same file again changes nothing."
    ),
    epilog="Example: threequarter import balls.csv more.xlsx --player 'Robin Sedge'",
)
@click.argument("tables", type=click.Path(path_type=Path), nargs=-1, metavar="TABLE...")
@click.option("--for", "owner", help=N_("Whose balls they are, if the file does not say (also --player)."))
@click.option("--look", is_flag=True, help=N_("Only say how each file is read and what saving it would do."))
@click.option("--undo", metavar="MARK", help=N_("Undo a whole import by MARK, which was printed when you imported."))
@DATA
@reading_options
@JSON
def command(
    tables: tuple[Path, ...],
    owner: str | None,
    look: bool,
    undo: str | None,
    data: Path | None,
    json_to: str | None,
    **chosen: Any,
) -> None:
    from threequarter.store.exchange.reimport import undo_batch
    from threequarter.store.imports.import_batch import save_batch

    if undo:
        with opened(data) as store:
            count = undo_batch(store, undo)
        click.echo(ngettext("{count} import undone.", "{count} imports undone.", count).format(count=count))
        return
    if not tables:
        raise UserError(_("Name a file to import."))
    if _bring_copies(tables, look=look, data=data):
        return
    owner = owner or chosen.pop("column_player")  # here --player tells whose balls they are, not a column
    with opened(data) as store:
        files = [_looked_at(store, table, owner, chosen) for table in _with_progress(tables)]
        done = save_batch(store, files, dry=look)
    if json_to:
        told = {
            "sessions": [
                {"session": k.session_id, "what": k.what, "added": k.added, "said": lines(k.said)} for k in done.kept
            ]
        }
        write_json(told | {"added": done.added, "changed": done.changed, "undo": None if look else done.batch}, json_to)
        return
    for file, said in zip(files, done.said, strict=True):
        for line in lines((*(file.reading.plan if look and file.reading else ()), *said)):
            click.echo(f"{file.name}: {line}" if len(files) > 1 else line)
    if look:
        click.echo(_("Nothing was saved; leave out --look to save it."))
    elif done.batch and len(files) > 1:
        click.echo(_("To undo all of it: threequarter import --undo {batch}").format(batch=done.batch))


def _bring_copies(tables: tuple[Path, ...], *, look: bool, data: Path | None) -> bool:
    """Keeps what phones saved of themselves; False where these are no such files. Raises UserError where only some are."""
    from datetime import UTC, datetime

    from threequarter.app.phone_copy import bring_in, is_copy, read_copy
    from threequarter.intake.tables.read import file_bytes

    contents = [file_bytes(table) for table in tables if table.suffix.casefold() in (".json", ".txt")]
    copies = [content for content in contents if is_copy(content)]
    if not copies:
        return False
    if len(copies) < len(tables):
        raise UserError(_("Import copies saved by phones on their own, without tables. Nothing was saved."))
    buckets = [bucket for content in copies for bucket in read_copy(content)]
    if look:
        for bucket in buckets:
            click.echo(f"{bucket.player}: {len(bucket.balls)}")
        click.echo(_("Nothing was saved; leave out --look to save it."))
        return True
    with opened(data) as store:
        found = bring_in(store, buckets, datetime.now(UTC).replace(tzinfo=None))
    click.echo(
        _("Balls: {fresh} new, {changed} changed, {known} already here.").format(
            fresh=found.fresh, changed=found.changed, known=found.known
        )
    )
    for line in lines(found.refused):
        click.echo(line)
    return True


def _looked_at(store: "Store", table: Path, owner: str | None, chosen: dict[str, Any]) -> "InspectedFile":
    from threequarter.app.confirmed_tables import learned_of
    from threequarter.intake.load import read_any
    from threequarter.intake.tables.read import file_bytes
    from threequarter.store.imports.import_batch import InspectedFile, inspect_file

    content = file_bytes(table)
    if table.suffix.casefold() == ".json":
        return inspect_file(content, table.name)
    answers = chosen | {"learned": learned_of(store, content, table.name)}
    ask_on_a_terminal(table, answers)
    options = read_options(answers)
    found = inspect_file(content, table.name, options=options, ground=chosen["ground"] or "normal", player=owner)
    if found.error:
        reading = read_any(table, options)  # a text file of typed lines
        found = (
            found
            if reading.error
            else InspectedFile(name=table.name, content=content, reading=reading, options=options, player=owner)
        )
    return found


def _with_progress(tables: tuple[Path, ...]) -> Iterable[Path]:
    if len(tables) < 2 or not sys.stderr.isatty():
        return tables
    from rich.progress import track

    return track(tables, description=_("Reading"), transient=True)
