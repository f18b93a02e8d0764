"""`threequarter site`: a folder for any web host, with which a phone does a whole bucket alone."""

from pathlib import Path

import click

from threequarter.language.localize import N_, _


@click.command(
    help=N_(
        "Write FOLDER: pages for any https web host that let a phone do a whole bucket of balls by "
        "itself.\n\nKeys, chart, round view, practice and recheck all run on the phone; nothing is sent anywhere. "
        "Running it again renews the folder; phones then say that a newer version is there."
    ),
    epilog="Example: threequarter site pages && python -m http.server --directory pages",
)
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
def command(folder: Path) -> None:
    from threequarter.web.site import write_site

    files, size = write_site(folder)
    click.echo(
        _("Wrote {folder}: {files} files, {size} MB.").format(folder=folder, files=files, size=f"{size / 1e6:.1f}")
    )
    click.echo(
        _(
            "Put it on an https web host as it is. Open its address on the phone once and add it to the home screen; "
            "from then on it needs no signal."
        )
    )
