"""`threequarter restore`: a backup into an empty place, or in place of what is there."""

from pathlib import Path

import click

from threequarter.cli import passphrases
from threequarter.cli.output import JSON, write_json
from threequarter.cli.store_commands import DATA
from threequarter.language.localize import N_, _, ngettext


@click.command(
    help=N_(
        "Restore the backup FILE, of this or any earlier version, into an empty data folder (or the database of "
        "THREEQUARTER_DATABASE_URL). The whole file is checked before anything is written."
    ),
    epilog="Example: threequarter restore threequarter-2026-11-25.zip --data newfolder",
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--replace", is_flag=True, help=N_("Replace what is there; it is backed up first."))
@passphrases.FILE
@DATA
@JSON
def command(file: Path, replace: bool, passphrase_file: Path | None, data: Path | None, json_to: str | None) -> None:
    from threequarter.store import default_data_dir
    from threequarter.store.backup.restore import restore
    from threequarter.store.database.engines import url_from_environment

    passphrase = passphrases.to_open(passphrase_file, file)
    done = restore(file, data or default_data_dir(), url=url_from_environment(), passphrase=passphrase, replace=replace)
    if json_to:
        write_json(
            {
                "data": done.place,
                "erased_again": done.erased_again,
                "films_missing": done.films_missing,
                "kept_before": str(done.kept_before) if done.kept_before else None,
                **done.manifest,
                "counts": done.counts,
            },
            json_to,
        )
        return
    balls, players = done.counts.get("ball", 0), done.counts.get("player", 0)
    whose = ngettext("{count} player", "{count} players", players).format(count=players)
    line = ngettext(
        "Restored {count} ball of {whose} into {place}.", "Restored {count} balls of {whose} into {place}.", balls
    )
    click.echo(line.format(count=balls, whose=whose, place=done.place))
    if done.kept_before:
        click.echo(_("What was there before is in {file}.").format(file=done.kept_before))
    if done.films_missing:
        line = ngettext(
            "{count} clip is not in this backup.", "{count} clips are not in this backup.", done.films_missing
        )
        click.echo(line.format(count=done.films_missing))
    if done.erased_again.get("player") or any(done.erased_again.values()):
        click.echo(_("Players erased since then were left out again."))
