"""From a file, pasted text or typed lines to a kept session: look first, keep what was shown."""

import datetime
import json
import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, Final, get_args
from urllib.parse import quote

from fastapi import File, Form, Request, UploadFile
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, RedirectResponse

from threequarter.app.confirmed_tables import options_for, with_headings
from threequarter.app.demo import keep_demo, keep_demo_film
from threequarter.app.imports import UploadedFile, address_of, ask_for_import, is_large, remember_reading
from threequarter.app.phone_copy import bring_in as bring_copy_in
from threequarter.app.phone_copy import is_copy, read_copy
from threequarter.golf.errors import UserError
from threequarter.intake.options import ReadOptions
from threequarter.intake.own_format.columns import OwnRow
from threequarter.intake.safe_reading import read_safely
from threequarter.language import say_error
from threequarter.language.localize import N_, _, locale
from threequarter.measurement.carry import Ground
from threequarter.measurement.errors import calibrate_step
from threequarter.store.imports import import_batch
from threequarter.store.imports.confirmed import Confirmed
from threequarter.store.people.roster import Roster
from threequarter.store.tasks.tasks import Tasks
from threequarter.web.page_context import MOST_OFFERED, number, page, pending_of, store_of
from threequarter.web.pages.intake.context import options_of, reading_page, role_words
from threequarter.web.pages.swings.routes import jobs_of
from threequarter.web.pages.tasks.routes import begun
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, need

pages = AuthorizedRouter()
MOST_FILES: Final = 50
COMPARED: Final = 256 * 1024
"""Bytes of a file up to which it is read twice, to show what a correction changes."""
GROUNDS: Final = get_args(Ground)


@pages.get("/bring-in", response_class=HTMLResponse, dependencies=[need(COACH)])
def bring_in(request: Request) -> HTMLResponse:
    """Where a table is dropped and balls are typed."""
    told = [(one.written, role_words(one.role)) for one in Confirmed(store_of(request)).headings()]
    return page(request, "intake/bring_in.html", headings=told)


@pages.post("/look", dependencies=[need(COACH)])
def look(
    request: Request, file: Annotated[list[UploadFile] | None, File()] = None, text: Annotated[str, Form()] = ""
) -> RedirectResponse:
    """UploadedFile files or pasted text: looked at first, kept later."""
    files = [one for one in file or () if one.filename]
    if len(files) > MOST_FILES:
        raise UserError(_("Send at most {most} files at once.").format(most=MOST_FILES))
    keys = [
        pending_of(request).put(Path(one.filename or "").name or "table", one.file.read(), "table") for one in files
    ]
    if text.strip():
        keys.append(pending_of(request).put("pasted.csv", text.encode(), "table"))
    if not keys:
        raise UserError(_("You chose nothing. Choose a file or paste the table."))
    if len(keys) == 1:
        return RedirectResponse(f"/look/{keys[0]}", status_code=303)
    together = pending_of(request).put("files", json.dumps(list(dict.fromkeys(keys))).encode(), "set")
    return RedirectResponse(f"/looks/{together}", status_code=303)


@pages.post("/type", dependencies=[need(COACH)])
def type_balls(
    request: Request,
    text: Annotated[str, Form()] = "",
    unit: Annotated[str, Form()] = "yd",
    by: Annotated[str, Form()] = "device",
    paces: Annotated[str, Form()] = "",
    over: Annotated[str, Form()] = "",
) -> RedirectResponse:
    """Balls typed as plain lines; with `paces` over so many metres, in the player's own steps."""
    if not text.strip():
        raise UserError(_("You typed no ball. Write a club, a swing and the distances: 54 waist 51 53 fat 38"))
    told: dict[str, object] = {"unit": unit, "by": by}
    if paces.strip() or over.strip():
        walk = number(paces, _("The paces")), number(over, _("The metres walked"))
        if walk[0] is None or walk[1] is None:
            raise UserError(_("Write both the paces and the metres walked, like 112 paces over 100 m."))
        calibrate_step([walk[0]], walk[1])  # says what is wrong before anything is kept
        told["walk"] = walk
    head = json.dumps(told)
    # to the millisecond: a name that comes again means the same text grown, and two people may type in one minute
    stamp = datetime.datetime.now().isoformat(" ", "milliseconds")
    key = pending_of(request).put(f"typed {stamp}", f"{head}\n{text}".encode(), "notes")
    return RedirectResponse(f"/look/{key}", status_code=303)


@pages.get("/look/{key}", response_class=HTMLResponse, dependencies=[need(COACH)])
def preview(request: Request, key: str, together: str = "") -> HTMLResponse:
    """How a file is read, with one real value for each column; what a person says of the columns is followed at
    once."""
    name, content, kind = pending_of(request).get(key)
    if kind == "table" and is_copy(content):
        return page(request, "intake/phone_copy.html", key=key, name=name, buckets=read_copy(content), done=None)
    chosen = {field: value for field, value in request.query_params.items() if field != "together"}
    wrong = ""
    try:
        options = _options(request, chosen, content, name, kind)
    except UserError as error:
        wrong, options = say_error(error), ReadOptions()
    found = import_batch.inspect_file(content, name, kind, options, reader=read_safely)
    failed = bool(found.error or wrong) and "hx-request" not in request.headers
    about: dict[str, Any] = {"key": key, "together": together if _is_key(together) else "", "wrong": wrong}
    if found.reading is None:
        dry = import_batch.save_batch(store_of(request), [found], dry=True) if not found.error else None
        return page(
            request,
            "intake/own_export.html",
            422 if failed else 200,
            found=found,
            counts=_counts(found.rows),
            said=dry.said[0] if dry else (),
            **about,
        )
    roster = Roster(store_of(request)).names(most=MOST_OFFERED)
    corrected = (
        replace(options, learned={}) != ReadOptions() and chosen and len(content) <= COMPARED and kind == "table"
    )
    before = read_safely(content, name, kind, ReadOptions(learned=options.learned)) if corrected else None
    return page(
        request,
        "intake/reading.html",
        422 if failed else 200,
        roster=roster,
        **about,
        **reading_page(found.reading, options, kind, before),
    )


@pages.post(
    "/look/{key}/phone", response_class=HTMLResponse, dependencies=[need(COACH, N_("brought in a phone's copy"))]
)
def keep_phone_copy(request: Request, key: str) -> HTMLResponse:
    """Keeps what a phone saved of itself: each bucket and each ball once."""
    name, content, _kind = pending_of(request).get(key)
    buckets = read_copy(content)
    done = bring_copy_in(store_of(request), buckets, datetime.datetime.now(datetime.UTC).replace(tzinfo=None))
    return page(request, "intake/phone_copy.html", key=key, name=name, buckets=buckets, done=done)


@pages.post("/look/{key}/remember", dependencies=[need(COACH)])
async def remember(request: Request, key: str) -> RedirectResponse:
    """Keeps how a file's columns are to be read, for it and all that look alike; back to the files it came with."""
    _name, content, _kind = pending_of(request).get(key)
    chosen = await _fields_of(request)
    await run_in_threadpool(Confirmed(store_of(request)).remember_file, content, options_of(chosen))
    together = chosen.get("together", "")
    return RedirectResponse(f"/looks/{together}" if _is_key(together) else f"/look/{key}", status_code=303)


@pages.post("/keep/{key}", dependencies=[need(COACH, N_("kept a table"))])
async def keep(request: Request, key: str) -> RedirectResponse:
    """Keeps exactly the balls that the preview showed: the same reading, by the same options."""
    chosen = await _fields_of(request)
    return await run_in_threadpool(_keep, request, key, chosen)


def _keep(request: Request, key: str, chosen: dict[str, str]) -> RedirectResponse:
    name, content, kind = pending_of(request).get(key)
    options = options_of(chosen)
    if kind == "table":
        options = with_headings(store_of(request), content, name, options)
    file = UploadedFile(name=name, content=content, kind=kind, options=options)
    whose = chosen.get("whose", "").strip()[:300] or None
    return _take(request, [file], chosen.get("ground", ""), whose)


def _take(request: Request, files: list[UploadedFile], ground: str, whose: str | None) -> RedirectResponse:
    """Keeps files now, or has large ones taken in as a task; leads to what came in, or to how far it is."""
    ground = ground if ground in GROUNDS else "normal"
    if is_large(files):
        return begun(
            request, ask_for_import(Tasks(store_of(request)), files, ground=ground, player=whose, language=locale())
        )
    found = [
        import_batch.inspect_file(
            one.content, one.name, one.kind, one.options, ground=ground, player=whose, reader=read_safely
        )
        for one in files
    ]
    done = import_batch.save_batch(store_of(request), found)
    for one, seen in zip(files, found, strict=True):
        if seen.reading is not None:
            remember_reading(store_of(request), one, seen.reading)
    return RedirectResponse(address_of(done), status_code=303)


@pages.get("/looks/{key}", response_class=HTMLResponse, dependencies=[need(COACH)])
def preview_of_many(request: Request, key: str) -> HTMLResponse:
    """Several files at once: how each is read, and one button for all."""
    files = _looked_at(request, _keys(request, key))
    shown = [_file_view(one, found) for one, found in files]
    ready = [found for _one, found in files if not found.error and not found.open]
    return page(
        request,
        "intake/readings.html",
        key=key,
        files=shown,
        ready=len(ready),
        roster=Roster(store_of(request)).names(most=MOST_OFFERED),
        nobody=any(found.reading and any(not ball.player for ball in found.reading.balls) for found in ready),
        rest=any(found.reading and any(ball.measured_as == "rest" for ball in found.reading.balls) for found in ready),
    )


@pages.post("/keep-all/{key}", dependencies=[need(COACH, N_("kept several tables"))])
async def keep_many(request: Request, key: str) -> RedirectResponse:
    """Keeps the chosen files of a set as one act, all or none."""
    form = await request.form()
    chosen = {str(value) for field, value in form.multi_items() if field == "file"}
    whose = str(form.get("whose") or "").strip()[:300] or None
    ground = str(form.get("ground") or "normal")
    return await run_in_threadpool(_keep_many, request, key, chosen, whose, ground)


def _keep_many(request: Request, key: str, chosen: set[str], whose: str | None, ground: str) -> RedirectResponse:
    keys = [one for one in _keys(request, key) if one in chosen]
    if not keys:
        raise UserError(_("You chose no file; nothing was saved."))
    files = []
    for one in keys:
        name, content, kind = pending_of(request).get(one)
        files.append(
            UploadedFile(name=name, content=content, kind=kind, options=_options(request, {}, content, name, kind))
        )
    return _take(request, files, ground, whose)


def _keys(request: Request, key: str) -> list[str]:
    _name, content, kind = pending_of(request).get(key)
    if kind != "set":
        raise UserError(_("This is one file, not several. Drop them again."))
    return [str(one) for one in json.loads(content)]


def _looked_at(request: Request, keys: list[str]) -> list[tuple[str, import_batch.InspectedFile]]:
    found = []
    for one in keys:
        name, content, kind = pending_of(request).get(one)
        options = _options(request, {}, content, name, kind)
        found.append((one, import_batch.inspect_file(content, name, kind, options, reader=read_safely)))
    return found


def _file_view(key: str, found: import_batch.InspectedFile) -> dict[str, Any]:
    view: dict[str, Any] = {"key": key, "name": found.name, "open": found.open}
    if found.reading is not None:
        return reading_page(found.reading, found.options, "table") | view | {"error": found.error}
    return view | {"error": found.error, "own": _counts(found.rows)}


def _counts(rows: Sequence[OwnRow]) -> dict[str, int]:
    """What an own table holds."""
    balls = [row for row in rows if row["record"] == "ball"]
    return {
        "balls": len(balls),
        "sessions": len({row["session_key"] for row in balls}),
        "players": len({row["player"] for row in rows if row["player"]}),
    }


@pages.post("/demo", dependencies=[need(COACH, N_("opened the demo"))])
def demo(request: Request, film: Annotated[str, Form()] = "") -> RedirectResponse:
    """The invented player's three days; with `film`, the film of their lesson too, measured as any other."""
    player = keep_demo(store_of(request))
    if not film:
        return RedirectResponse(f"/players/{quote(player, safe='')}", status_code=303)
    jobs = jobs_of(request)
    if not jobs.possible:
        raise UserError(_("Measuring clips needs the video extra. Run: pip install 'threequarter[video]'"))
    clip_id = keep_demo_film(store_of(request))
    if jobs.clips.clip(clip_id).state == "waiting":
        jobs.add(clip_id)
    return RedirectResponse(f"/clips/{clip_id}", status_code=303)


def _options(request: Request, chosen: dict[str, str], content: bytes, name: str, kind: str) -> ReadOptions:
    """The options in the address; with none there, what the file or one of its shape was read with before."""
    if kind == "notes":
        return options_of(chosen)
    store = store_of(request)
    if chosen:
        return with_headings(store, content, name, options_of(chosen))
    return options_for(store, content, name, read_safely)


@pages.post("/headings/forget", dependencies=[need(COACH, N_("forgot a heading"))])
def forget_heading(request: Request, heading: Annotated[str, Form()]) -> RedirectResponse:
    """Forgets what a heading of tables was said to mean."""
    Confirmed(store_of(request)).learn({heading: None})
    return RedirectResponse("/bring-in#headings", status_code=303)


async def _fields_of(request: Request) -> dict[str, str]:
    form = await request.form()
    return {field: str(value) for field, value in form.items()}


def _is_key(text: str) -> bool:
    return re.fullmatch(r"[0-9a-f]{32}", text) is not None
