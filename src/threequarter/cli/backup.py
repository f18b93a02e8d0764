"""`threequarter backup`: everything into one file, proved; or a regular one into a folder, some of them kept."""

from pathlib import Path
from typing import Any

import click

from threequarter.cli import passphrases
from threequarter.cli.output import JSON, write_json
from threequarter.cli.store_commands import DATA, opened
from threequarter.fence import give_way
from threequarter.golf.errors import UserError
from threequarter.language.localize import N_, _, ngettext


@click.command(
    help=N_("Write everything, clips included, into FILE, even while others are writing; then prove that it restores."),
    epilog=N_(
        "Examples: threequarter backup threequarter-2026-11-25.zip; every night by cron: threequarter backup --keep 7 /media/stick"
    ),
)
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option(
    "--keep",
    type=click.IntRange(1, 3650),
    metavar="DAYS",
    help=N_("If FILE is a folder: add a backup there and keep the newest of each of this many days."),
)
@click.option(
    "--keep-weeks",
    type=click.IntRange(0, 520),
    default=4,
    show_default=True,
    metavar="WEEKS",
    help=N_("With --keep: also keep one from each of this many weeks."),
)
@click.option("--if-due", is_flag=True, help=N_("With --keep: only if the last one is 20 hours old or more."))
@click.option("--encrypt", is_flag=True, help=N_("Ask for a passphrase and encrypt the file with it."))
@passphrases.FILE
@click.option("--without-films", is_flag=True, help=N_("Leave the clips out; what was measured from them stays in."))
@DATA
@JSON
def command(
    file: Path | None,
    keep: int | None,
    keep_weeks: int,
    if_due: bool,
    encrypt: bool,
    passphrase_file: Path | None,
    without_films: bool,
    data: Path | None,
    json_to: str | None,
) -> None:
    passphrase = passphrases.new(passphrase_file, ask=encrypt)
    with opened(data) as store:
        if keep is not None:
            _regular(store, file or store.backups_dir, keep, keep_weeks, if_due, passphrase, json_to)
            return
        if file is None:
            raise UserError(_("Name the file to write: threequarter backup FILE.zip"))
        from threequarter.store.backup.backup import backup

        manifest = backup(store, file, passphrase=passphrase, films=not without_films)
        if json_to:
            write_json({"file": str(file), "sealed": passphrase is not None, **manifest}, json_to)
        else:
            click.echo(said(file, manifest, sealed=passphrase is not None))
        _record(store, manifest)


def _record(store: Any, manifest: dict[str, Any]) -> None:
    """After it was said: a disk that is too full for a line must not hide that the backup was made."""
    from threequarter.store.accounts import audit

    audit.record(store, N_("made a backup"), detail=audit.how_much(manifest["counts"]))


def _regular(
    store: Any, folder: Path, days: int, weeks: int, if_due: bool, passphrase: str | None, json_to: str | None
) -> None:
    from threequarter.store.backup.retention import RetentionPolicy, backup_due, make_regular_backup
    from threequarter.store.imports.save_import import now_utc

    if if_due:
        give_way()
    if if_due and not backup_due(store, folder, now_utc()):
        click.echo(_("No backup is due."))
        return
    made = make_regular_backup(store, folder, RetentionPolicy(days=days, weeks=weeks), now_utc(), passphrase)
    if json_to:
        write_json(
            {
                "file": str(made.path),
                "sealed": passphrase is not None,
                "removed": [str(path) for path in made.removed],
                **made.manifest,
            },
            json_to,
        )
    else:
        _say_regular(made, sealed=passphrase is not None)
    _record(store, made.manifest)


def _say_regular(made: Any, *, sealed: bool) -> None:
    click.echo(said(made.path, made.manifest, sealed=sealed))
    if made.removed:
        line = ngettext("{count} old backup was removed.", "{count} old backups were removed.", len(made.removed))
        click.echo(line.format(count=len(made.removed)))


def said(file: Path, manifest: dict[str, Any], *, sealed: bool) -> str:
    """What was written, in words."""
    counts = manifest["counts"]
    films = sum(name.startswith("clips/") and name.split("/")[-1].startswith("clip.") for name in manifest["sha256"])
    parts = [
        ngettext("{count} player", "{count} players", counts["player"]).format(count=counts["player"]),
        ngettext("{count} session", "{count} sessions", counts["session"]).format(count=counts["session"]),
        ngettext("{count} ball", "{count} balls", counts["ball"]).format(count=counts["ball"]),
        _("no clips: left out")
        if manifest["films"] == "left out"
        else ngettext("{count} clip", "{count} clips", films).format(count=films),
    ]
    line = _("Wrote {file}, and proved that it restores: {what}.").format(file=file, what=", ".join(parts))
    return line + (" " + _("It is encrypted; without the passphrase nobody can open it.") if sealed else "")
