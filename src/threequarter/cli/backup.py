"""`threequarter backup`: everything into one file, checked."""

from pathlib import Path

import click

from threequarter.cli.output import JSON, write_json
from threequarter.cli.store_commands import DATA, opened


@click.command(epilog="Example: threequarter backup threequarter-2026-11-25.zip")
@click.argument("file", type=click.Path(path_type=Path))
@DATA
@JSON
def command(file: Path, data: Path | None, json_to: str | None) -> None:
    """Write everything that is kept, films too, into FILE, also while others are writing; then check it."""
    from threequarter.store.backup import backup

    with opened(data) as store:
        manifest = backup(store, file)
    if json_to:
        write_json({"file": str(file), **manifest}, json_to)
        return
    counts = manifest["counts"]
    click.echo(
        f"Wrote and checked {file}: {counts['player']} players, {counts['session']} sessions, {counts['ball']} balls, {len(manifest['sha256']) - 1} files of clips."
    )
