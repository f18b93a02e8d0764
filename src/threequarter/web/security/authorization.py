"""Authorization: who asks is found out before a route is looked for; each route holds the rule of who may use it.

On a laptop without accounts everything is open. With the first account every request acts as somebody, even if that is
nobody. On an academy's database without an account only the computer itself is let in, so that the first one can be
made, and nothing that came through a proxy.
"""

import re
import time
from collections.abc import Callable, Coroutine
from dataclasses import dataclass, replace
from typing import Any, Final

from fastapi import APIRouter, FastAPI, Request
from fastapi.responses import Response
from fastapi.routing import APIRoute
from starlette.concurrency import run_in_threadpool
from starlette.requests import HTTPConnection
from starlette.routing import Route

from threequarter.language.localize import _
from threequarter.store.accounts import audit
from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.current_user import NOBODY, NOBODYS, CurrentUser, as_user
from threequarter.store.accounts.secrets import fingerprint
from threequarter.store.accounts.shares import Shares
from threequarter.store.accounts.sign_ins import SignedIn, SignIns
from threequarter.store.store import Store
from threequarter.web.pending import Pending
from threequarter.web.security.credentials import OWN, address_of, bearer_of, by_phone, from_elsewhere, secret_of
from threequarter.web.security.policy import HEAD, MYSELF, NEVER, OPEN, RULES, Need, allows
from threequarter.web.security.resource_lookup import NOTHING, ResourceLookup, Seen
from threequarter.web.security.turned_away import Why, turned_away
from threequarter.web.security.typing_phone import may_type, phone_that_types
from threequarter.web.whole_number import whole_number

AGAIN_S: Final = 600.0
"""The same look by the same account is recorded once in so many seconds."""
A_YEAR: Final = b"max-age=31536000"
SHARED: Final = "/shared/"

Handler = Callable[[Request], Coroutine[Any, Any, Response]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """Who asks, as which sign-in or with which script's token; nobody where that is not known."""

    user: CurrentUser = NOBODY
    signed_in: SignedIn | None = None
    script: bool = False
    may_write: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What a rule came to: as whom a route is used, of which thing; or why somebody is turned away."""

    user: CurrentUser
    why_not: Why | None = None
    link: tuple[int, str] | None = None
    seen: Seen = NOTHING
    room_name: str = ""


class Authorization:
    """Wraps the app: finds out who asks. The routes then ask it whether they may."""

    def __init__(self, app: Any, store: Store, pending: Pending) -> None:
        self.app, self.store = app, store
        self.lookup = ResourceLookup(store, pending)
        self._closed = False
        self._looked: dict[tuple[int, str, int | None], float] = {}

    @property
    def closed(self) -> bool:
        """Whether there are accounts."""
        self._closed = self._closed or Accounts(self.store).any()
        return self._closed

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        state = scope.setdefault("state", {})
        state.update(authorization=self, link=None, room_name="")
        if scope["path"].startswith("/static/") or scope["path"] == "/health":  # without asking the database
            state.update(identity=None, who=NOBODY, signed_in=None)
            with as_user(NOBODY):
                await self.app(scope, receive, send)
            return
        connection = HTTPConnection(scope)
        identity = await run_in_threadpool(self._identify, connection)
        state["identity"] = identity
        if identity is None:  # a laptop without accounts: nobody is named
            await self.app(scope, receive, send)
            return
        state.update(who=identity.user, signed_in=identity.signed_in)
        with as_user(identity.user):
            await self.app(scope, receive, _sealed_from_now_on(send) if scope["scheme"] == "https" else send)

    def _identify(self, connection: HTTPConnection) -> Identity | None:
        if not self.closed and not connection.scope["path"].startswith(SHARED):
            return Identity() if self.store.on_postgres and from_elsewhere(connection) else None
        secret = secret_of(connection)
        if (signed_in := SignIns(self.store).who(secret) if secret else None) is not None:
            return Identity(user=signed_in.who, signed_in=signed_in)
        token = bearer_of(connection)
        if (script := self.lookup.script(fingerprint(token)) if token else None) is not None:
            return Identity(user=script[0], script=True, may_write=script[1])
        return Identity()

    def decide(self, request: Request, identity: Identity, route: str, need: Need) -> Decision:
        """Whether a request may use a route. What it names is looked up as whoever asks sees it."""
        scope, user, given = request.scope, identity.user, _named_parts(route, request.path_params)
        if not self.closed and not route.startswith(SHARED):
            return Decision(user=user, why_not="no account")
        public = need.level is OPEN and not route.startswith(("/sign-", "/invitation/"))
        if self.closed and scope["scheme"] != "https" and address_of(scope) not in OWN and not public:
            return Decision(user=user, why_not="plain")
        if route.startswith(SHARED):
            return self._link(given["secret"])
        if need.level is OPEN:
            return Decision(user=user)
        if user.role == "nobody":
            return Decision(user=user, why_not="sign in")
        seen = self.lookup.look(user, given)
        may = (identity.may_write or request.method == "GET") and allows(
            need.level, role=user.role, coaches=user.coaches, script=identity.script
        )
        found = Decision(user=user, seen=seen or NOTHING, room_name=self._room_name(user))
        if seen is None or not may:
            self._refused(request, user, route, given)
            return replace(found, why_not="missing" if seen is None or need.level in (HEAD, NEVER) else "not allowed")
        own = need.level is MYSELF and route.startswith("/account")
        if identity.signed_in and identity.signed_in.lacks_second_step and not own:
            return replace(found, why_not="second step")
        if identity.signed_in and identity.signed_in.seen_long_ago:
            SignIns(self.store).note_seen(identity.signed_in.id)
        return found

    def _link(self, secret: str) -> Decision:
        found = Shares(self.store).who(secret)
        if found is None:
            return Decision(user=NOBODY, why_not="missing")
        user, session_id, what = found
        return Decision(user=user, link=(session_id, what))

    def _room_name(self, user: CurrentUser) -> str:
        """Whose room a head has open, where it is another's."""
        if user.room is None or user.room == user.account_id:
            return ""
        return _("nobody") if user.room == NOBODYS else Accounts(self.store).one(user.room).name

    def _refused(self, request: Request, user: CurrentUser, route: str, given: dict[str, str]) -> None:
        number = next((one for value in given.values() if (one := whole_number(value)) is not None), None)
        address = address_of(request.scope)
        audit.record(self.store, "refused", account_id=user.account_id, number=number, detail=route, address=address)

    def record(self, request: Request, need: Need, found: Decision) -> None:
        """Records what was done, now that it is known to have gone well; the same look only once in a while."""
        if need.says and (request.method != "GET" or self._first_look(need, found)):
            audit.record(
                self.store,
                need.says,
                account_id=found.user.account_id,
                kind=found.seen.kind,
                number=found.seen.number,
                player_id=found.seen.player_id,
                address=address_of(request.scope),
            )

    def _first_look(self, need: Need, found: Decision) -> bool:
        now, key = time.monotonic(), (found.user.account_id, need.says, found.seen.number)
        if now - self._looked.get(key, -AGAIN_S) < AGAIN_S:
            return False
        if len(self._looked) > 10_000:
            self._looked = {one: at for one, at in self._looked.items() if now - at < AGAIN_S}
        self._looked[key] = now
        return True


class AuthorizedRoute(APIRoute):
    """A route with its rule, `dependencies=[need(…)]`. It is asked before the body is read, so a stranger uploads nothing.

    Raises TypeError, when the module is loaded, for a route without a rule.
    """

    def __init__(self, path: str, endpoint: Callable[..., Any], **told: Any) -> None:
        super().__init__(path, endpoint, **told)
        rules = [one.dependency for one in self.dependencies if isinstance(one.dependency, Need)]
        if len(rules) != 1:
            raise TypeError(f"{path} has {len(rules)} rules instead of one: dependencies=[need(...)]")
        self.need = rules[0]
        RULES.update({f"{method} {path}": self.need for method in self.methods or ()})

    def get_route_handler(self) -> Handler:
        """The rule around what the route does."""
        answer = super().get_route_handler()

        async def handler(request: Request) -> Response:
            identity: Identity | None = request.state.identity
            if identity is None:
                return await self._without_accounts(request, answer)
            authorization: Authorization = request.state.authorization
            found = await run_in_threadpool(authorization.decide, request, identity, self.path, self.need)
            request.state.who, request.state.link, request.state.room_name = found.user, found.link, found.room_name
            with as_user(found.user):
                if found.why_not is not None:
                    return await run_in_threadpool(turned_away, request, found.why_not)
                response = await self.answer(request, answer)
                if response.status_code < 400:
                    await run_in_threadpool(authorization.record, request, self.need, found)
                return response

        return handler

    async def _without_accounts(self, request: Request, answer: Handler) -> Response:
        """On a laptop: everything at its own screen and for scripts, what is not only for there on a phone paired over https."""
        if not by_phone(request):
            return await self.answer(request, answer)
        if self.need.here:
            return await run_in_threadpool(turned_away, request, "phone")
        phone = await run_in_threadpool(phone_that_types, request)
        if phone is None:
            return await self.answer(request, answer)
        request.state.types_only = True
        begins = request.method == "POST" and not request.path_params  # it names nothing that is there but a player
        if not may_type(request, self.need, phone):
            return await run_in_threadpool(turned_away, request, "typing")
        if begins:
            return await self.answer(request, answer)
        with as_user(phone):
            return await self.answer(request, answer)

    async def answer(self, request: Request, answer: Handler) -> Response:
        """What the route does for those who may."""
        return await answer(request)


class AuthorizedRouter(APIRouter):
    """The routes of one part of the pages, each with its rule."""

    def __init__(self, **told: Any) -> None:
        super().__init__(route_class=AuthorizedRoute, **told)


def include_router(app: FastAPI, router: APIRouter) -> None:
    """Puts routes into an app. Raises TypeError for a router whose routes need no rule."""
    if not isinstance(router, AuthorizedRouter):
        raise TypeError(f"an AuthorizedRouter is needed for {[getattr(route, 'path', '?') for route in router.routes]}")
    app.include_router(router)


def deny_by_default(app: FastAPI) -> None:
    """Raises TypeError where an app answers by anything but routers whose routes hold their rules, and static files."""
    own = [route for route in app.routes if isinstance(route, Route) and not isinstance(route, AuthorizedRoute)]
    if own:
        raise TypeError(f"routes without a rule: {', '.join(route.path for route in own)}")


def _sealed_from_now_on(send: Any) -> Any:
    """Tells browsers to come by https only: with accounts there is nothing here that may cross a network otherwise."""

    async def sending(message: Any) -> None:
        if message["type"] == "http.response.start":
            message["headers"] = [*message["headers"], (b"strict-transport-security", A_YEAR)]
        await send(message)

    return sending


def _named_parts(route: str, given: dict[str, Any]) -> dict[str, str]:
    """The parts of an address by name, with the kind where it has one: "name:path" is a player, "name" a picture."""
    kinds = dict(re.findall(r"\{(\w+)(:\w+)?\}", route))
    return {name + kinds.get(name, ""): str(value) for name, value in given.items()}
