"""`threequarter erase`: a player and everything of them, for good."""

from pathlib import Path

import click

from threequarter.cli.output import JSON, write_json
from threequarter.cli.store_commands import DATA, opened
from threequarter.golf.errors import UserError


@click.command(epilog="Example: threequarter erase --player 'Robin Sedge' --yes")
@click.option("--player", required=True, help="Who is erased.")
@click.option("--yes", is_flag=True, help="Really do it: it cannot be taken back.")
@DATA
@JSON
def command(player: str, yes: bool, data: Path | None, json_to: str | None) -> None:
    """Remove a player, their balls, clips, pictures and what was made from them, from the database and its free pages.

    An older backup loses them too when it is restored: keep erased.json of the data folder beside it.
    """
    from threequarter.store.erasing import erase

    if not yes:
        raise UserError(
            f"Erasing {player} cannot be taken back. Make a backup or an export first if you must, then add --yes."
        )
    with opened(data) as store:
        proof = erase(store, player)
    if json_to:
        write_json(proof, json_to)
        return
    removed = ", ".join(f"{count} {name}" for name, count in proof["removed"].items() if count)
    click.echo(f"Erased at {proof['erased_at']}: {removed}. Fingerprint {proof['fingerprint'][:16]}.")
