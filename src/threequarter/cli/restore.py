"""`threequarter restore`: a backup into an empty folder."""

from pathlib import Path

import click

from threequarter.cli.output import JSON, write_json
from threequarter.cli.store_commands import DATA


@click.command(epilog="Example: threequarter restore threequarter-2026-11-25.zip --data newfolder")
@click.argument("file", type=click.Path(path_type=Path))
@DATA
@JSON
def command(file: Path, data: Path | None, json_to: str | None) -> None:
    """Put the backup FILE into an empty data folder. It is checked first; a folder that holds something is left alone."""
    from threequarter.store import default_data_dir
    from threequarter.store.backup import restore

    target = data or default_data_dir()
    manifest = restore(file, target)
    if json_to:
        write_json({"data": str(target), **manifest}, json_to)
        return
    click.echo(f"Restored {manifest['counts']['ball']} balls of {manifest['counts']['player']} players into {target}.")
