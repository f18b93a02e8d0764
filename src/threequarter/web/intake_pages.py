"""From a file, pasted text or typed lines to a kept session: look first, keep what was shown."""

import datetime
import json
from pathlib import Path
from typing import Annotated, Final

from fastapi import APIRouter, File, Form, Request, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse

from threequarter.chart import words
from threequarter.demo import BUCKET
from threequarter.golf.errors import UserError
from threequarter.golf.language import _
from threequarter.intake.load import read_content
from threequarter.intake.measuring import calibrate_step
from threequarter.intake.options import ReadOptions
from threequarter.intake.shape import shape_key
from threequarter.store.roster import Roster
from threequarter.web.parts import MOST_OFFERED, number, page, pending_of, store_of
from threequarter.web.reading_view import reading_page

pages = APIRouter()
NEWEST: Final = 30
"""Sessions on the first page; the roster leads to all."""


@pages.get("/", response_class=HTMLResponse)
def start(request: Request, shared: int = 0, added: int = 0) -> HTMLResponse:
    message = (
        _("The table was shared out: {added}, one session for each of {shared} players.").format(
            added=words.balls(added), shared=shared
        )
        if shared
        else ""
    )
    return page(request, "start.html", sessions=store_of(request).sessions(newest=NEWEST), message=message)


@pages.post("/look")
def look(
    request: Request, file: Annotated[UploadFile | None, File()] = None, text: Annotated[str, Form()] = ""
) -> RedirectResponse:
    """A dropped file or pasted text: looked at first, kept later."""
    if file is not None and file.filename:
        key = pending_of(request).put(Path(file.filename).name, file.file.read(), "table")
    elif text.strip():
        key = pending_of(request).put("pasted.csv", text.encode(), "table")
    else:
        raise UserError(_("Nothing was chosen. Choose a file or paste the table."))
    return RedirectResponse(f"/look/{key}", status_code=303)


@pages.post("/type")
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
        raise UserError(_("No ball was typed. Write a club, a swing and the distances: 54 waist 51 53 fat 38"))
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


@pages.get("/look/{key}", response_class=HTMLResponse)
def preview(request: Request, key: str) -> HTMLResponse:
    name, content, kind = pending_of(request).get(key)
    options = _options(request, content, name, kind)
    reading = read_content(content, name, kind, options)
    status = 200 if not reading.error else 422
    roster = Roster(store_of(request)).names(most=MOST_OFFERED)
    return page(request, "reading.html", status, key=key, roster=roster, **reading_page(reading, options, kind))


@pages.post("/keep/{key}")
async def keep(request: Request, key: str) -> RedirectResponse:
    """Keeps exactly the balls that the preview showed: the same reading, by the same options."""
    name, content, kind = pending_of(request).get(key)
    form = await request.form()
    chosen = {field: str(value) for field, value in form.items()}
    options = _from_fields(chosen)
    reading = read_content(content, name, kind, options)
    shared = store_of(request).keep_shared(
        reading, content, name=name, options=options, ground=chosen.get("ground") or "normal",
        player=chosen.get("whose", "").strip() or None,
    )  # fmt: skip
    if kind == "table" and options != ReadOptions():
        store_of(request).remember_shape(shape_key(content, name), options)
    if len(shared) > 1:
        return RedirectResponse(f"/?shared={len(shared)}&added={sum(k.added for k in shared)}", status_code=303)
    kept = shared[0]
    return RedirectResponse(
        f"/sessions/{kept.session_id}?kept={kept.what.replace(' ', '-')}&added={kept.added}", status_code=303
    )


@pages.post("/demo")
def demo(request: Request) -> RedirectResponse:
    content = BUCKET.read_bytes()
    name = "demo bucket.csv"
    kept = store_of(request).keep_reading(read_content(content, name, "table", ReadOptions()), content, name=name)
    return RedirectResponse(f"/sessions/{kept.session_id}", status_code=303)


def _options(request: Request, content: bytes, name: str, kind: str) -> ReadOptions:
    """The options in the address; with none there, what a file of this shape was read with before."""
    chosen = dict(request.query_params)
    if chosen or kind == "notes":
        return _from_fields(chosen)
    return store_of(request).remembered_options(shape_key(content, name)) or ReadOptions()


def _from_fields(fields: dict[str, str]) -> ReadOptions:
    columns = {name[4:]: value for name, value in fields.items() if name.startswith("col-") and value}
    plain = {
        name: fields[name]
        for name in ("unit", "decimal", "sheet", "right", "player", "club", "swing")
        if fields.get(name)
    }
    allowed = {"unit": ("yd", "m", "ft"), "decimal": (".", ","), "right": ("+", "-")}
    for name, values in allowed.items():
        if name in plain and plain[name] not in values:
            raise UserError(
                _("{name} is one of {values}, not {typed}.").format(
                    name=name, values=", ".join(values), typed=repr(plain[name])
                )
            )
    return ReadOptions(columns=columns, **plain)  # type: ignore[arg-type]
