"""`threequarter errand`: does one errand of the queue and ends. Servers and workers start it; nobody types it."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from threequarter.cli.store_commands import DATA, opened
from threequarter.fence import end_with_parent
from threequarter.golf.errors import NotNowError, UserError
from threequarter.golf.language import N_, _
from threequarter.jobs.task_runner import NOT_NOW
from threequarter.languages import language

if TYPE_CHECKING:
    from threequarter.store.accounts.current_user import CurrentUser
    from threequarter.store.tasks.tasks import Task, Tasks


@click.command(hidden=True, help=N_("Do one errand of the queue; servers and workers start this."))
@click.argument("number", type=int)
@DATA
def command(number: int, data: Path | None) -> None:
    from threequarter.store.accounts.current_user import as_user
    from threequarter.store.tasks.tasks import Tasks

    end_with_parent()
    begun = False
    try:
        with opened(data) as store:
            errands = Tasks(store)
            errand = errands.task(number)
            begun = True
            with language(errand.language), as_user(_asker(errands, errand)):
                _DOES[errand.kind](errands, errand)
    except UserError as error:
        if begun and not isinstance(error, NotNowError):
            raise  # what was asked is at fault; before that it is the place, which may be mended in a moment
        click.echo(f"threequarter: {error}", err=True)
        sys.exit(NOT_NOW)


def _asker(errands: "Tasks", errand: "Task") -> "CurrentUser | None":
    """Who asked, with what is theirs; None on a laptop without accounts, and for what the server does by itself."""
    from threequarter.store.accounts.sign_ins import who_of
    from threequarter.store.accounts.tables import AccountRow

    if not errand.account_id:
        return None
    with errands.store.reading() as session:
        account = session.get(AccountRow, errand.account_id)
        if account is None or account.ended_at is not None:
            raise UserError(_("That account was ended."))
        return who_of(session, account, errand.room)


def _import(errands: "Tasks", errand: "Task") -> None:
    from threequarter.web.taking_in import take_in

    take_in(errands, errand)


def _print(errands: "Tasks", errand: "Task") -> None:
    from threequarter.web.clinic_print import print_clinic

    print_clinic(errands, errand)


def _backup(errands: "Tasks", errand: "Task") -> None:
    from threequarter.store.backup.retention import RetentionPolicy, make_regular_backup
    from threequarter.store.imports.save_import import now_utc

    store = errands.store
    made = make_regular_backup(store, store.backups_dir, RetentionPolicy(), now_utc())
    with store.writing() as session:
        errands.done(session, errand.id, {"file": made.path.name})


_DOES: Final[dict[str, Callable[["Tasks", "Task"], None]]] = {
    "import": _import,
    "print": _print,
    "backup": _backup,
}
