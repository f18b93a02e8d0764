"""Doing one background task: an import, a print of a whole clinic, a backup, as the one who asked for it."""

from collections.abc import Callable
from typing import Final

from threequarter.app.clinics import print_clinic
from threequarter.app.imports import import_files
from threequarter.golf.errors import UserError
from threequarter.language.localize import _
from threequarter.languages import language
from threequarter.store.accounts.current_user import CurrentUser, as_user
from threequarter.store.accounts.sign_ins import who_of
from threequarter.store.accounts.tables import AccountRow
from threequarter.store.backup.retention import RetentionPolicy, make_regular_backup
from threequarter.store.imports.save_import import now_utc
from threequarter.store.tasks.tasks import Task, Tasks


def do_task(tasks: Tasks, task: Task) -> None:
    """Does a task in the language and with the rights of who asked. Raises UserError where what was asked is at fault."""
    with language(task.language), as_user(_asker(tasks, task)):
        _DOES[task.kind](tasks, task)


def _asker(tasks: Tasks, task: Task) -> CurrentUser | None:
    """Who asked, with what is theirs; None on a laptop without accounts, and for what the server does by itself."""
    if not task.account_id:
        return None
    with tasks.store.reading() as session:
        account = session.get(AccountRow, task.account_id)
        if account is None or account.ended_at is not None:
            raise UserError(_("That account is closed."))
        return who_of(session, account, task.room)


def _back_up(tasks: Tasks, task: Task) -> None:
    store = tasks.store
    made = make_regular_backup(store, store.backups_dir, RetentionPolicy(), now_utc())
    with store.writing() as session:
        tasks.done(session, task.id, {"file": made.path.name})


_DOES: Final[dict[str, Callable[[Tasks, Task], None]]] = {
    "import": import_files,
    "print": print_clinic,
    "backup": _back_up,
}
