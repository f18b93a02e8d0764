"""`threequarter erase`: a player and everything of them, for good."""

from pathlib import Path

import click

from threequarter.cli.output import JSON, write_json
from threequarter.cli.store_commands import DATA, opened
from threequarter.golf.errors import UserError
from threequarter.language import lines
from threequarter.language.localize import N_, _


@click.command(
    help=N_(
        "Remove a player with all balls, clips, pictures and everything made from them, from the database and "
        "its free pages.\n\nOlder backups forget them too when they are restored."
    ),
    epilog="Example: threequarter erase --player 'Robin Sedge' --yes",
)
@click.option("--player", help=N_("The player to erase."))
@click.option("--yes", is_flag=True, help=N_("Go ahead: this cannot be undone."))
@click.option("--tidy", is_flag=True, help=N_("Only rewrite the database, so that no free page holds anything erased."))
@DATA
@JSON
def command(player: str | None, yes: bool, tidy: bool, data: Path | None, json_to: str | None) -> None:
    from threequarter.store.erasure.erase import erase, proof_in_words
    from threequarter.store.media.media_deletion import tidy_media

    if tidy:
        with opened(data) as store:
            emptied = store.compact()
            tidy_media(store, given_up=True)
        if not emptied:
            raise UserError(
                _("Somebody is reading, so free pages could not be emptied. Close the pages and try again.")
            )
        click.echo(_("The database was rewritten: nothing erased is left in it."))
        return
    if not player:
        raise UserError(_("Say whom to erase: --player NAME"))
    if not yes:
        text = _(
            "You cannot undo erasing {player}. Give them an export first if they want one (threequarter export FILE --player NAME), then add --yes."
        )
        raise UserError(text.format(player=player))
    with opened(data) as store:
        proof = erase(store, player)
    if json_to:
        write_json(proof, json_to)
        return
    for line in lines(proof_in_words(proof)):
        click.echo(line)
