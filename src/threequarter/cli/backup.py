"""`threequarter backup`: everything into one file, proved."""

from pathlib import Path
from typing import Any

import click

from threequarter.cli import passphrases
from threequarter.cli.output import JSON, write_json
from threequarter.cli.store_commands import DATA, opened
from threequarter.golf.language import N_, _, ngettext


@click.command(
    help=N_(
        "Write everything that is kept, films too, into FILE, also while others are writing; then prove that it restores."
    ),
    epilog="Example: threequarter backup threequarter-2026-11-25.zip",
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--encrypt", is_flag=True, help=N_("Ask for a passphrase and seal the file with it."))
@passphrases.FILE
@click.option("--without-films", is_flag=True, help=N_("Leave the films out; what was measured from them stays in."))
@DATA
@JSON
def command(
    file: Path, encrypt: bool, passphrase_file: Path | None, without_films: bool, data: Path | None, json_to: str | None
) -> None:
    from threequarter.store.backup import backup

    passphrase = passphrases.new(passphrase_file, ask=encrypt)
    with opened(data) as store:
        manifest = backup(store, file, passphrase=passphrase, films=not without_films)
    if json_to:
        write_json({"file": str(file), "sealed": passphrase is not None, **manifest}, json_to)
        return
    click.echo(said(file, manifest, sealed=passphrase is not None))


def said(file: Path, manifest: dict[str, Any], *, sealed: bool) -> str:
    """What was written, in words."""
    counts = manifest["counts"]
    films = sum(name.startswith("clips/") and name.split("/")[-1].startswith("clip.") for name in manifest["sha256"])
    parts = [
        ngettext("{count} player", "{count} players", counts["player"]).format(count=counts["player"]),
        ngettext("{count} session", "{count} sessions", counts["session"]).format(count=counts["session"]),
        ngettext("{count} ball", "{count} balls", counts["ball"]).format(count=counts["ball"]),
        _("no films: they were left out") if manifest["films"] == "left out" else ngettext("{count} film", "{count} films", films).format(count=films),
    ]  # fmt: skip
    line = _("Wrote {file}, and proved that it restores: {what}.").format(file=file, what=", ".join(parts))
    return line + (" " + _("It is sealed; without the passphrase nobody can open it.") if sealed else "")
