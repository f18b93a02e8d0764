"""`threequarter move`: from a laptop to an academy's database, and back."""

from pathlib import Path

import click

from threequarter.cli.output import JSON, write_json
from threequarter.cli.store_commands import DATA
from threequarter.golf.errors import UserError
from threequarter.language.localize import N_, _


@click.command(
    help=N_(
        "Copy everything into the academy's PostgreSQL database (--to URL), or from there back into the file of "
        "a data folder (--from URL). Rows and clips are compared on both sides; the source stays as it is."
    ),
    epilog="Example: threequarter move --to postgresql+psycopg://coach@db.example/threequarter --to-data /srv/threequarter",
)
@click.option("--to", "to_url", metavar="URL", help=N_("The academy's database, to copy the folder's data into."))
@click.option("--from", "from_url", metavar="URL", help=N_("The academy's database, to copy into the folder."))
@click.option(
    "--academy-data",
    type=click.Path(path_type=Path, file_okay=False),
    help=N_("The academy's data folder, where its clips are (default: the same folder as --data)."),
)
@click.option("--replace", is_flag=True, help=N_("Replace what is there; it is backed up first."))
@DATA
@JSON
def command(
    to_url: str | None,
    from_url: str | None,
    academy_data: Path | None,
    replace: bool,
    data: Path | None,
    json_to: str | None,
) -> None:
    from threequarter.store import default_data_dir
    from threequarter.store.exchange.migrate_database import migrate_database
    from threequarter.store.store import Store

    url = to_url or from_url
    if not url or (to_url and from_url):
        raise UserError(_("Give either --to URL or --from URL."))
    folder = data or default_data_dir()
    laptop_clips = folder / "clips"
    with Store(folder) as laptop, Store(academy_data or folder, url) as academy:
        laptop.clips_dir, laptop.s3_cache = laptop_clips, None  # THREEQUARTER_CLIPS is where the academy's are
        source, target = (laptop, academy) if to_url else (academy, laptop)
        moved = migrate_database(source, target, replace=replace)
        places = {"from": source.place, "to": target.place}
    if json_to:
        kept = str(moved.kept_before) if moved.kept_before else None
        write_json(
            {**places, "counts": moved.counts, "sha256": moved.sums, "films": moved.films, "kept_before": kept}, json_to
        )
        return
    says = _(
        "Moved and compared, from {source} to {target}. Players: {players}, sessions: {sessions}, balls: "
        "{balls}, clip files: {films}."
    )
    click.echo(
        says.format(
            players=moved.counts.get("player", 0),
            sessions=moved.counts.get("session", 0),
            balls=moved.counts.get("ball", 0),
            films=moved.films,
            source=places["from"],
            target=places["to"],
        )
    )
    if moved.kept_before:
        click.echo(_("What was there before is in {file}.").format(file=moved.kept_before))
    if to_url:
        click.echo(
            _(
                "Start servers and workers with THREEQUARTER_DATABASE_URL from now on. The old copy stays in {folder} until you delete it."
            ).format(folder=folder)
        )
    else:
        click.echo(
            _(
                "Start threequarter without THREEQUARTER_DATABASE_URL from now on. The academy's database stays as it is until you drop it."
            )
        )
