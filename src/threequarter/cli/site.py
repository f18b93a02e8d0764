"""`threequarter site`: a folder for any web host, with which a phone does a whole bucket alone."""

from pathlib import Path

import click

from threequarter.language.localize import N_, _


@click.command(
    help=N_(
        "Write FOLDER: pages for any web host with https, with which a phone does everything of a bucket by itself.\n\nKeys, chart, round view, practice and recheck are computed on the phone; nothing is sent anywhere. A folder that this command wrote before is written anew; phones then say that a newer version is there."
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
            "Put it on a web host with https, as it is. Open its address on the phone once and add it to the home screen; from then on it needs no signal."
        )
    )
