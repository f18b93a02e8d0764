"""`threequarter export`: all that is kept, or all of one player, as open JSON."""

import json
from pathlib import Path

import click

from threequarter.cli.output import write_whole
from threequarter.cli.store_commands import DATA, opened


@click.command(epilog="Example: threequarter export everything.json --player 'Robin Sedge'")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--player", help="Only what is kept of this player.")
@DATA
def command(file: Path, player: str | None, data: Path | None) -> None:
    """Write what is kept into FILE. `threequarter import FILE` puts it into an empty folder, bit for bit the same."""
    from threequarter.store.exporting import export_all

    with opened(data) as store:
        found = export_all(store, player)
    write_whole(file, (json.dumps(found, ensure_ascii=False, indent=1) + "\n").encode())
    click.echo(f"Wrote {file}: {len(found['tables']['ball'])} balls, {len(found['tables']['session'])} sessions.")
