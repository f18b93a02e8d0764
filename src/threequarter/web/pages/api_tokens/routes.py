"""The page that lists the interface and its tokens, and the description in OpenAPI."""

from typing import Annotated, Any

from fastapi import FastAPI, Form, Request
from fastapi.openapi.utils import get_openapi
from fastapi.responses import HTMLResponse, JSONResponse

from threequarter import __version__
from threequarter.language.localize import N_
from threequarter.store.accounts.tokens import Tokens
from threequarter.web.page_context import page, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import MYSELF, SIGNED_IN, need

pages = AuthorizedRouter()
ABOUT = (
    "What the pages do, for scripts. Metres, metres per second and degrees in every name; times in UTC. From this computer no token is"
    " needed; from elsewhere send `Authorization: Bearer tq_...`. What goes wrong is told as application/problem+json (RFC 9457)."
)


@pages.get("/api", response_class=HTMLResponse, dependencies=[need(MYSELF)])
def api_page(request: Request, gone: str = "") -> HTMLResponse:
    """The interface for scripts on one page: its tokens, and each route."""
    return _page(request, gone=gone)


@pages.post(
    "/api-tokens", response_class=HTMLResponse, dependencies=[need(MYSELF, N_("made a token for a script"), here=True)]
)
def add_token(
    request: Request, name: Annotated[str, Form()] = "", rights: Annotated[str, Form()] = "read"
) -> HTMLResponse:
    """A new token, shown this once."""
    return _page(request, secret=Tokens(store_of(request)).add(name, rights))


@pages.post(
    "/api-tokens/{token_id}/remove",
    response_class=HTMLResponse,
    dependencies=[need(MYSELF, N_("removed a token"), here=True)],
)
def remove_token(request: Request, token_id: int) -> HTMLResponse:
    """Ends a token at once."""
    return _page(request, gone=Tokens(store_of(request)).remove(token_id))


def _page(request: Request, **values: Any) -> HTMLResponse:
    return page(
        request,
        "api_tokens/api_tokens.html",
        tokens=Tokens(store_of(request)).all(),
        routes=_listed(request.app),
        **values,
    )


def _listed(app: FastAPI) -> list[dict[str, Any]]:
    """The routes for scripts, as a page shows them."""
    told = app.openapi()["paths"]
    return [
        {
            "method": method.upper(),
            "path": path,
            "says": one.get("description", "").split("\n\n")[0],
            "takes": [p["name"] for p in one.get("parameters", []) if p["in"] == "query"],
            "body": _body(one),
        }
        for path, methods in told.items()
        if path.startswith("/api/")
        for method, one in methods.items()
    ]


def _body(one: dict[str, Any]) -> str:
    kinds: dict[str, Any] = one.get("requestBody", {}).get("content", {})
    return ", ".join(kinds)


@pages.get("/api/openapi.json", include_in_schema=False, dependencies=[need(SIGNED_IN)])
def description(request: Request) -> JSONResponse:
    """The interface described by OpenAPI."""
    return JSONResponse(request.app.openapi())


def describe(app: FastAPI) -> None:
    """Makes the description tell how tokens are sent."""

    def described() -> dict[str, Any]:
        if not app.openapi_schema:
            told = get_openapi(title="threequarter", version=__version__, description=ABOUT, routes=app.routes)
            told.setdefault("components", {})["securitySchemes"] = {
                "token": {
                    "type": "http",
                    "scheme": "bearer",
                    "description": "made on the page /api or by `threequarter token add`",
                }
            }
            told["security"] = [{}, {"token": []}]
            app.openapi_schema = told
        return app.openapi_schema

    app.openapi = described  # type: ignore[method-assign]
