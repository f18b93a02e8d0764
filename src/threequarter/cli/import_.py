"""`threequarter import`: a table of balls, or an export, into the data folder."""

import json
from pathlib import Path
from typing import Any

import click

from threequarter.cli.output import JSON, ask_on_a_terminal, read_options, reading_options, write_json
from threequarter.cli.store_commands import DATA, opened
from threequarter.golf.errors import UserError


@click.command("import", epilog="Example: threequarter import balls.csv --player 'Robin Sedge'")
@click.argument("table", type=click.Path(path_type=Path))
@click.option("--for", "owner", help="Whose balls they are where the file does not tell (also --player).")
@DATA
@reading_options
@JSON
def command(table: Path, owner: str | None, data: Path | None, json_to: str | None, **chosen: Any) -> None:
    """Keep the balls of TABLE, or put an export (JSON) into an empty folder. The same file again changes nothing."""
    if table.suffix.casefold() == ".json":
        _export(table, data, json_to)
        return
    from threequarter.intake.load import read_any

    owner = owner or chosen.pop("column_player")  # here --player tells whose balls they are, not a column
    ask_on_a_terminal(table, chosen)
    options = read_options(chosen)
    reading = read_any(table, options)
    with opened(data) as store:
        kept = store.keep_shared(
            reading, table.read_bytes(), name=table.name, options=options, ground=chosen["ground"], player=owner
        )
    if json_to:
        write_json(
            {
                "sessions": [
                    {"session": k.session_id, "what": k.what, "added": k.added, "said": list(k.said)} for k in kept
                ]
            },
            json_to,
        )
        return
    for (whose, _), one in zip(reading.by_player(), kept, strict=True):
        for line in one.said:
            click.echo(f"{whose}: {line}" if len(kept) > 1 and whose else line)


def _export(file: Path, data: Path | None, json_to: str | None) -> None:
    from threequarter.store.exporting import import_all

    try:
        told = json.loads(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise UserError(f"{file} cannot be read: {error.strerror}.") from None
    except ValueError:
        raise UserError(f"{file} is no JSON.") from None
    with opened(data) as store:
        count = import_all(store, told)
    if json_to:
        write_json({"balls": count}, json_to)
    else:
        click.echo(f"{count} balls are in.")
