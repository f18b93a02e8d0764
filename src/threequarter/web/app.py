"""The pages. Each route reads what was asked, makes one call of the library, and fills a template."""

import datetime
import json
import logging
import secrets
from pathlib import Path
from typing import Annotated, Any

from fastapi import FastAPI, File, Form, Request, UploadFile
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from fastapi.staticfiles import StaticFiles
from fastapi.templating import Jinja2Templates
from starlette.exceptions import HTTPException

from threequarter import __version__
from threequarter.chart.answer import chart_answer, next_answer
from threequarter.chart.next_ball import advise
from threequarter.demo import BUCKET, SAID
from threequarter.golf.errors import UserError
from threequarter.golf.units import DistanceUnit
from threequarter.intake.load import read_content
from threequarter.intake.options import ReadOptions
from threequarter.intake.shape import shape_key
from threequarter.paper.card import CardDetails, SheetSize, pocket_card
from threequarter.store.store import SessionInfo, Store
from threequarter.web.guard import Guard
from threequarter.web.pending import Pending
from threequarter.web.reading_view import reading_page
from threequarter.web.view import ChartView

HERE = Path(__file__).parent
LOG = logging.getLogger("threequarter.web")
TEMPLATES = Jinja2Templates(directory=HERE / "templates")
TEMPLATES.env.globals["version"] = __version__


def make_app(data_dir: Path, hosts: frozenset[str]) -> Guard:
    """The app over a data folder, answering to `hosts` (name:port) only."""
    app = FastAPI(title="threequarter", version=__version__, docs_url=None, redoc_url=None)
    app.state.store = Store.open(data_dir)
    app.state.pending = Pending(data_dir / "pending")
    app.mount("/static", StaticFiles(directory=HERE / "static"), name="static")
    app.include_router(_pages())
    app.add_exception_handler(UserError, _user_error)
    app.add_exception_handler(HTTPException, _http_error)
    app.add_exception_handler(Exception, _bug)
    return Guard(app, hosts)


def _page(request: Request, template: str, status: int = 200, **values: Any) -> HTMLResponse:
    response = TEMPLATES.TemplateResponse(request, template, values, status_code=status)
    response.headers["cache-control"] = "no-store"
    return response


def _store(request: Request) -> Store:
    store: Store = request.app.state.store
    return store


def _pending(request: Request) -> Pending:
    pending: Pending = request.app.state.pending
    return pending


async def _user_error(request: Request, error: Exception) -> Response:
    if request.url.path.endswith(".json"):
        return JSONResponse({"error": str(error)}, status_code=400)
    return _page(request, "error.html", 400, title="That did not work", says=str(error))


async def _http_error(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    says = "There is no such page." if status == 404 else "This cannot be done here."
    return _page(request, "error.html", status, title="Not found" if status == 404 else "Not possible", says=says)


async def _bug(request: Request, error: Exception) -> Response:
    code = secrets.token_hex(3)
    LOG.error("error %s at %s", code, request.url.path, exc_info=error)
    says = f"Something broke on our side; nothing you entered is lost. The log has it under {code}."
    return _page(request, "error.html", 500, title="Our mistake", says=says)


def _pages() -> Any:
    from fastapi import APIRouter

    pages = APIRouter()

    @pages.get("/", response_class=HTMLResponse)
    def start(request: Request) -> HTMLResponse:
        return _page(request, "start.html", sessions=_store(request).sessions())

    @pages.post("/look")
    def look(
        request: Request, file: Annotated[UploadFile | None, File()] = None, text: Annotated[str, Form()] = ""
    ) -> RedirectResponse:
        """A dropped file or pasted text: looked at first, kept later."""
        if file is not None and file.filename:
            key = _pending(request).put(Path(file.filename).name, file.file.read(), "table")
        elif text.strip():
            key = _pending(request).put("pasted.csv", text.encode(), "table")
        else:
            raise UserError("Nothing was chosen. Choose a file or paste the table.")
        return RedirectResponse(f"/look/{key}", status_code=303)

    @pages.post("/type")
    def type_balls(
        request: Request,
        text: Annotated[str, Form()] = "",
        unit: Annotated[str, Form()] = "yd",
        by: Annotated[str, Form()] = "device",
    ) -> RedirectResponse:
        """Balls typed as plain lines."""
        if not text.strip():
            raise UserError("No ball was typed. Write a club, a swing and the distances: 54 waist 51 53 fat 38")
        head = json.dumps({"unit": unit, "by": by})
        stamp = datetime.datetime.now().strftime("%Y-%m-%d %H:%M")
        key = _pending(request).put(f"typed {stamp}", f"{head}\n{text}".encode(), "notes")
        return RedirectResponse(f"/look/{key}", status_code=303)

    @pages.get("/look/{key}", response_class=HTMLResponse)
    def preview(request: Request, key: str) -> HTMLResponse:
        name, content, kind = _pending(request).get(key)
        options = _options(request, content, name, kind)
        reading = read_content(content, name, kind, options)
        status = 200 if not reading.error else 422
        return _page(request, "reading.html", status, key=key, **reading_page(reading, options, kind))

    @pages.post("/keep/{key}")
    async def keep(request: Request, key: str) -> RedirectResponse:
        """Keeps exactly the balls that the preview showed: the same reading, by the same options."""
        name, content, kind = _pending(request).get(key)
        form = await request.form()
        chosen = {field: str(value) for field, value in form.items()}
        options = _from_fields(chosen)
        reading = read_content(content, name, kind, options)
        kept = _store(request).keep_reading(
            reading, content, name=name, options=options, ground=chosen.get("ground") or "normal"
        )
        if kind == "table" and options != ReadOptions():
            _store(request).remember_shape(shape_key(content, name), options)
        return RedirectResponse(
            f"/sessions/{kept.session_id}?kept={kept.what.replace(' ', '-')}&added={kept.added}", status_code=303
        )

    @pages.post("/demo")
    def demo(request: Request) -> RedirectResponse:
        content = BUCKET.read_bytes()
        name = "demo bucket.csv"
        kept = _store(request).keep_reading(read_content(content, name, "table", ReadOptions()), content, name=name)
        return RedirectResponse(f"/sessions/{kept.session_id}", status_code=303)

    @pages.get("/sessions/{session_id}", response_class=HTMLResponse)
    def session_page(
        request: Request, session_id: int, unit: DistanceUnit | None = None, kept: str = "", added: int = 0
    ) -> HTMLResponse:
        info, view = _chart(request, session_id, unit)
        store = _store(request)
        values = view.page() if view else {}
        said = SAID if info.title.startswith("demo bucket") else ""
        message = {"nothing-new": "This file was already here; nothing changed.", "rows-added": f"{added} new balls were added.",
                   "brought-back": f"{added} balls are back."}.get(kept, "")  # fmt: skip
        return _page(
            request, "session.html", info=info, imports=store.imports(session_id), aside=store.set_aside(session_id),
            said=said, message=message, chart=view is not None, **values,
        )  # fmt: skip

    @pages.get("/sessions/{session_id}/card.pdf")
    def card(
        request: Request, session_id: int, paper: SheetSize = "pocket", unit: DistanceUnit | None = None
    ) -> Response:
        info, view = _chart(request, session_id, unit)
        if view is None:
            raise UserError("There is no ball to print.")
        details = CardDetails(player=info.player or "", date=info.made_at.date().isoformat())
        pdf = pocket_card(view.chart, details, unit=view.unit, sheet=paper)
        return Response(
            pdf, media_type="application/pdf", headers={"content-disposition": 'inline; filename="card.pdf"'}
        )

    @pages.get("/sessions/{session_id}/chart.json")
    def chart_json(request: Request, session_id: int, unit: DistanceUnit | None = None) -> JSONResponse:
        _, view = _chart(request, session_id, unit)
        if view is None:
            raise UserError("There is no ball to chart.")
        return JSONResponse({**chart_answer(view.chart, view.unit), "next": next_answer(advise(view.chart), view.unit)})

    @pages.post("/imports/{import_id}/undo")
    def undo(request: Request, import_id: int) -> RedirectResponse:
        return RedirectResponse(f"/sessions/{_store(request).undo_import(import_id)}", status_code=303)

    @pages.post("/imports/{import_id}/redo")
    def redo(request: Request, import_id: int) -> RedirectResponse:
        return RedirectResponse(f"/sessions/{_store(request).redo_import(import_id)}", status_code=303)

    @pages.get("/imports/{import_id}/original")
    def original(request: Request, import_id: int) -> Response:
        _, content = _store(request).original(import_id)
        headers = {"content-disposition": f'attachment; filename="original-{import_id}.bin"'}
        return Response(content, media_type="application/octet-stream", headers=headers)

    @pages.get("/health")
    def health() -> dict[str, str]:
        return {"status": "ok", "version": __version__}

    return pages


def _chart(request: Request, session_id: int, unit: DistanceUnit | None) -> tuple[SessionInfo, ChartView | None]:
    info = _store(request).session(session_id)
    balls = _store(request).session_balls(session_id)
    if not any(ball.use for ball in balls):
        return info, None
    return info, ChartView.of(balls, unit or info.unit, info.ground)  # type: ignore[arg-type]


def _options(request: Request, content: bytes, name: str, kind: str) -> ReadOptions:
    """The options in the address; with none there, what a file of this shape was read with before."""
    chosen = dict(request.query_params)
    if chosen or kind == "notes":
        return _from_fields(chosen)
    return _store(request).remembered_options(shape_key(content, name)) or ReadOptions()


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
            raise UserError(f"{name} is one of {', '.join(values)}, not {plain[name]!r}.")
    return ReadOptions(columns=columns, **plain)  # type: ignore[arg-type]
