"""`threequarter account`: the first head, a new way in for whoever lost theirs, the list. Everything else is on the page of people."""

from pathlib import Path

import click

from threequarter.cli.store_commands import DATA, opened
from threequarter.golf.errors import UserError
from threequarter.language.localize import N_, _

ADDRESS = click.option(
    "--address", default="http://localhost:8754", show_default=True, help=N_("Address of the server, for the link.")
)


@click.group(
    epilog="Example: threequarter account add-head 'Kim Fescue'",
    help=N_(
        "Manage accounts, for when more than one person works with the data. Once there is one, everybody signs in."
    ),
)
def command() -> None: ...


def _say_link(name: str, address: str, secret: str, days: int) -> None:
    click.echo(_("A link for {name}; it works once, for {days} days:").format(name=name, days=days))
    click.echo(f"{address.rstrip('/')}/invitation/{secret}")


@command.command(
    "add-head",
    help=N_("Make an account for a head of the academy. The first one takes over the players who are already here."),
)
@click.argument("name")
@click.option("--sign-in", default="", help=N_("Sign-in name, if it should differ."))
@ADDRESS
@DATA
def add_head(name: str, sign_in: str, address: str, data: Path | None) -> None:
    from threequarter.store.accounts import audit, passwords
    from threequarter.store.accounts.accounts import INVITATION_LIVES, Accounts

    if not passwords.possible():
        raise UserError(_("Accounts need the academy extra. Run: pip install 'threequarter[academy]'"))
    with opened(data) as store:
        account_id = Accounts(store).add("head", name, sign_in)
        secret = Accounts(store).invite(account_id)
        audit.record(store, "made an account", kind="account", number=account_id)
    _say_link(name, address, secret, INVITATION_LIVES.days)


@command.command("link", help=N_("Make a new one-time link for somebody who is locked out."))
@click.argument("sign_in")
@ADDRESS
@DATA
def link(sign_in: str, address: str, data: Path | None) -> None:
    from threequarter.store.accounts import audit
    from threequarter.store.accounts.accounts import INVITATION_LIVES, Accounts

    with opened(data) as store:
        account = Accounts(store).called(sign_in)
        if account.ended:
            Accounts(store).reopen(account.id)
        secret = Accounts(store).invite(account.id)
        audit.record(store, "made an invitation", kind="account", number=account.id)
    _say_link(account.name, address, secret, INVITATION_LIVES.days)
    click.echo(_("Using it ends every other way in: browsers, passkeys, script tokens and the second step."))


@command.command("list", help=N_("List the accounts."))
@DATA
def list_(data: Path | None) -> None:
    from threequarter.store.accounts.accounts import Accounts

    with opened(data) as store:
        found = Accounts(store).all()
    if not found:
        click.echo(_("No accounts: anybody at this computer sees everything."))
    for one in found:
        how = (
            _("closed")
            if one.ended
            else _("invited")
            if one.invited_until
            else _("signs in")
            if one.password or one.passkeys
            else _("cannot sign in yet")
        )
        of = f" ({', '.join(name for _number, name in one.players)})" if one.players else ""
        click.echo(f"{one.role:9}{one.sign_in}: {one.name}{of}, {how}")
