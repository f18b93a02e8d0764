"""`threequarter export`: all that is kept, of everybody, a player or a session, in open formats."""

import json
import tempfile
from pathlib import Path

import click

from threequarter.cli.output import write_whole
from threequarter.cli.store_commands import DATA, opened
from threequarter.golf.errors import UserError
from threequarter.language import say
from threequarter.language.localize import N_, _


@click.command(
    help=N_(
        "Write everything into FILE; its ending sets the format.\n\n.csv, .xlsx and .parquet hold one row per "
        "ball, every column with its unit (docs/ways-out.md); .json holds everything, row by row. `threequarter "
        "import FILE` brings any of them back unchanged, without a question."
    ),
    epilog="Example: threequarter export everything.xlsx --player 'Robin Sedge'",
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--player", help=N_("Only this player's data."))
@click.option(
    "--session",
    "session_id",
    type=int,
    help=N_("Only the balls of this session (the number in the page's address)."),
)
@click.option("--balls", is_flag=True, help=N_("Write FILE.json as the table of balls instead of everything."))
@DATA
def command(file: Path, player: str | None, session_id: int | None, balls: bool, data: Path | None) -> None:
    from threequarter.intake.own_format.files import form_of, write_own
    from threequarter.store.exchange.export_json import export_all
    from threequarter.store.exchange.export_table import own_rows

    form = form_of(file.name)
    with opened(data) as store:
        if form == "json" and not balls and session_id is None:
            found = export_all(store, player)
            write_whole(file, (json.dumps(found, ensure_ascii=False, indent=1) + "\n").encode())
            click.echo(
                _("Wrote {file}: {balls} balls, {sessions} sessions.").format(
                    file=file, balls=len(found["tables"]["ball"]), sessions=len(found["tables"]["session"])
                )
            )
            return
        if file.is_dir():
            raise UserError(_("{file} is a folder. Name a file in it.").format(file=file))
        try:
            with tempfile.TemporaryDirectory(prefix=".threequarter-", dir=file.parent or Path()) as scratch:
                partial = Path(scratch, "export")
                count = write_own(own_rows(store, player=player, session_id=session_id), form, partial, say)
                partial.chmod(0o644)
                partial.replace(file)
        except OSError as error:
            raise UserError(
                _("{file} cannot be written: {why}. Nothing was changed.").format(file=file, why=error.strerror)
            ) from error
    click.echo(_("Wrote {file}: {count} rows.").format(file=file, count=count))
