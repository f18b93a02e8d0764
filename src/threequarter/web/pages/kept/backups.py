"""Safe keeping: when the last good backup was, one made now, and erasing a player with a proof to hand out."""

from typing import Annotated, Any, Final
from urllib.parse import urlencode

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from threequarter.app.restoring import held_in, held_now, kept_before, restorable, restore_here
from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.player import name_key
from threequarter.language import lines
from threequarter.language.localize import N_, _
from threequarter.store.backup.retention import LATE_DAYS, dated_ahead, good_backups, last_good_backup
from threequarter.store.backup.schedule import BackupSchedule
from threequarter.store.erasure.erase import BACKUP_DAYS, erase, kept_proof, proof_in_words
from threequarter.store.erasure.tombstones import erasures
from threequarter.store.imports.save_import import now_utc
from threequarter.store.people.roster import Roster
from threequarter.web.page_context import page, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, HEAD, NEVER, need

pages = AuthorizedRouter()
SHOWN: Final = 20


@pages.get(
    "/safekeeping", response_class=HTMLResponse, dependencies=[need(HEAD, N_("looked at the backups"), here=True)]
)
def safekeeping(request: Request, restored: str = "") -> HTMLResponse:
    """The backups that there are, a button for one now, and who was erased."""
    store, regularly = store_of(request), _regularly(request)
    now = now_utc()
    found, last = good_backups(store.backups_dir), last_good_backup(store.backups_dir, now)
    late = last is None or (now - last.made_at).days >= LATE_DAYS
    with store.reading() as session:
        gone = erasures(session)[::-1]
    return page(
        request,
        "kept/backups.html",
        backups=found[:SHOWN],
        last=last,
        late=late,
        ahead=bool(dated_ahead(store.backups_dir, now)),
        busy=regularly.busy,
        trouble=regularly.trouble,
        folder=store.backups_dir,
        data=store.data_dir,
        inside=store.backups_dir.is_relative_to(store.data_dir),
        gone=gone,
        restorable=not store.on_postgres,
        kept_before=kept_before(store)[:SHOWN],
        restored=restored if restored and restorable(store, restored) else "",
    )


@pages.post("/safekeeping/backup", dependencies=[need(HEAD, N_("had a backup made"), here=True)])
def backup_now(request: Request) -> RedirectResponse:
    """Has a backup made now, in the background."""
    _regularly(request).now()
    return RedirectResponse("/safekeeping", status_code=303)


@pages.get("/safekeeping/restore", response_class=HTMLResponse, dependencies=[need(NEVER, here=True)])
def ask_restore(request: Request, file: str = "") -> HTMLResponse:
    """What going back to a backup would replace, and the word that it is wanted."""
    store = store_of(request)
    found = restorable(store, file)
    if found is None:
        raise NotThereError(_("There is no backup {file!r}. See the list of backups.").format(file=file[:80]))
    return page(request, "kept/restore.html", file=file, held=held_in(found), now=held_now(store))


@pages.post("/safekeeping/restore", dependencies=[need(NEVER, N_("restored a backup"), here=True)])
def restore_now(
    request: Request,
    file: Annotated[str, Form()] = "",
    agree: Annotated[str, Form()] = "",
    passphrase: Annotated[str, Form()] = "",
) -> RedirectResponse:
    """Goes back to a backup. What is there is backed up first; all of it happens, or nothing."""
    if not agree:
        raise UserError(_("Nothing was changed: confirm first that the backup may replace what you have now."))
    kept = restore_here(store_of(request), file, passphrase or None)
    return RedirectResponse(f"/safekeeping?{urlencode({'restored': kept.name if kept else ''})}", status_code=303)


@pages.get("/players/{name:path}/erase", response_class=HTMLResponse, dependencies=[need(COACH, here=True)])
def ask_erase(request: Request, name: str) -> HTMLResponse:
    """What erasing would take away, and the name to type before it is done."""
    return page(request, "kept/erase.html", name=_known(request, name), days=BACKUP_DAYS)


@pages.post("/players/{name:path}/erase", dependencies=[need(COACH, N_("erased a player"), here=True)])
def erase_player(request: Request, name: str, typed: Annotated[str, Form()] = "") -> RedirectResponse:
    """Erases a player whose name was typed once more. Raises UserError where it was not."""
    known = _known(request, name)
    if name_key(typed) != name_key(known):
        text = _("Nothing was erased: you did not type {name}. Go back and type it again.")
        raise UserError(text.format(name=known))
    proof = erase(store_of(request), known)
    mentioned = sum(proof["still_mentioned"].values())
    return RedirectResponse(f"/safekeeping/erased?mark={proof['mark']}&mentioned={mentioned}", status_code=303)


@pages.get("/safekeeping/erased", response_class=HTMLResponse, dependencies=[need(COACH, here=True)])
def proof_page(request: Request, mark: str = "") -> HTMLResponse:
    """The proof of an erasure, to print and hand out; it names nobody. Raises UserError where there was none of that
    mark."""
    proof: dict[str, Any] = kept_proof(store_of(request), mark)
    return page(request, "kept/erased.html", mark=mark, lines=lines(proof_in_words(proof)))


def _known(request: Request, player: str) -> str:
    name = Roster(store_of(request)).known(player)
    if name is None:
        raise NotThereError(_("There is no player {name!r}.").format(name=player[:80]))
    return name


def _regularly(request: Request) -> BackupSchedule:
    regularly: BackupSchedule = request.app.state.regularly
    return regularly
