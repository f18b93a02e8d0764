"""`threequarter token`: what lets a script speak to the server."""

from pathlib import Path

import click

from threequarter.cli.store_commands import DATA, opened
from threequarter.language.localize import N_, _, day


@click.group(help=N_("Make, list and remove tokens for scripts (docs/ways-out.md)."))
def command() -> None:
    pass


@command.command(
    help=N_("Make a token called NAME. It is shown once and stored nowhere."),
    epilog="Example: threequarter token add 'nightly export' --write",
)
@click.argument("name")
@click.option("--write", is_flag=True, help=N_("Let it change things too; otherwise it only reads."))
@DATA
def add(name: str, write: bool, data: Path | None) -> None:
    from threequarter.store.accounts.tokens import Tokens

    with opened(data) as store:
        click.echo(Tokens(store).add(name, "write" if write else "read"))
    click.echo(_("Keep it safe; it is shown only now. Remove it with: threequarter token remove NUMBER"), err=True)


@command.command("list", help=N_("List the tokens."))
@DATA
def show(data: Path | None) -> None:
    from threequarter.store.accounts.tokens import Tokens

    with opened(data) as store:
        found = Tokens(store).all()
    for one in found:
        used = _("last used {day}").format(day=day(one.used_at)) if one.used_at else _("never used")
        may = _("reads and writes") if one.rights == "write" else _("reads")
        line = _("{number}  {name}: {may}, made {day}, {used}")
        click.echo(line.format(number=one.id, name=one.name, may=may, day=day(one.made_at), used=used))
    if not found:
        click.echo(_("No token. Make one: threequarter token add NAME"))


@command.command(help=N_("Remove token NUMBER at once."))
@click.argument("number", type=int)
@DATA
def remove(number: int, data: Path | None) -> None:
    from threequarter.store.accounts.tokens import Tokens

    with opened(data) as store:
        name = Tokens(store).remove(number)
    click.echo(_("Token {name} is removed; a script that uses it is now refused.").format(name=name))
