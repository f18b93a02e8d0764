"""What one room is asked for that lies in another: every place of every route, with what is there and with what is nowhere."""

import inspect
import re
import sys
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote

from tests.web.two_rooms import NOT_THERE, THEIRS, Room, Rooms

from threequarter.web.security.authorization import AuthorizedRoute
from threequarter.web.security.policy import Level, allows

COACHES = ("coach", "script")
OTHERS = ("player", "guardian", "head")
FORM, FILES, JSON = "application/x-www-form-urlencoded", "multipart/form-data", "application/json"
FREE = {
    ("POST", "/account/passkeys"): {"id": "credential", "rawId": "credential", "type": "public-key", "response": {}},
    ("POST", "/sign-in/passkey"): {"id": "credential", "rawId": "credential", "type": "public-key", "response": {}},
}
"""Bodies of which the description tells no field."""
HEADS_OWN = ("/people", "/audit", "/operation", "/account/room", "/metrics", "/safekeeping")
"""A head manages every account and all work, and may open a room: that is no other room to a head."""


@dataclass(frozen=True)
class Question:
    """One route, one place in what is sent: a part of the address, a field of the query, form or body."""

    method: str
    route: str
    place: str
    name: tuple[Any, ...]


@dataclass
class Sent:
    """A request that goes well with things of one's own."""

    parts: dict[str, Any] = field(default_factory=dict)
    query: dict[str, Any] = field(default_factory=dict)
    form: dict[str, Any] = field(default_factory=dict)
    files: dict[str, Any] = field(default_factory=dict)
    json: Any = None


class Description:
    """The routes as the application has them, with their fields; those of bodies read by hand are taken from their module."""

    def __init__(self, rooms: Rooms) -> None:
        self.told, self.mine = rooms.inner.openapi(), rooms.mine
        self.routes = [
            (method, one)
            for router in rooms.inner.routes
            for one in getattr(getattr(router, "original_router", None), "routes", ())
            if isinstance(one, AuthorizedRoute)
            for method in sorted(one.methods)
        ]

    def sent(self, method: str, route: AuthorizedRoute) -> Sent:
        """A request of the kind, of things of one's own."""
        made = Sent({part: self.own(part, route.path, "string") for part in re.findall(r"\{([^}]+)\}", route.path)})
        told = self.told["paths"].get(route.path.replace(":path}", "}"), {}).get(method.lower(), {})
        for one in told.get("parameters", ()):
            if one["in"] == "query":
                made.query[one["name"]] = self.own(one["name"], route.path, self._kind(one["schema"]))
        content = told.get("requestBody", {}).get("content", {})
        for kind, body in content.items():
            fields = self._resolved(body["schema"]).get("properties", {})
            if kind == JSON:
                made.json = FREE.get((method, route.path)) or self._example(body["schema"], route.path)
            else:
                made.form |= {
                    name: self.own(name, route.path, self._kind(one)) for name, one in fields.items() if name != "file"
                }
                made.files = {"file": ("aa.csv", b"Club,Swing,Carry (m)\n54,waist,30\n")} if kind == FILES else {}
        if not content and method == "POST":
            made.form |= {name: self.own(name, route.path, "string") for name in by_hand(route)}
        if method == "GET":
            made.query |= {name: self.own(name, route.path, "string") for name in by_hand(route)}
        return made

    def own(self, name: str, route: str, kind: str) -> Any:
        """Something of one's own, by the name it goes by."""
        things = self.mine.things
        if name == "session_id" and "clip" in route:
            return things["session_id"]
        where = OF_ROUTE.get((route, name)) or NAMES.get(name, name)
        if where in things:
            return things[where]
        return WORDS.get(name, {"integer": 1, "number": 1, "boolean": True, "array": []}.get(kind, "x"))

    def _resolved(self, schema: Any) -> Any:
        while "$ref" in schema:
            schema = self.told["components"]["schemas"][schema["$ref"].rsplit("/", 1)[1]]
        return schema

    def _kind(self, schema: Any) -> str:
        schema = self._resolved(schema)
        kinds = [self._kind(one) for one in schema.get("anyOf", schema.get("allOf", ()))]
        return str(schema.get("type") or next((kind for kind in kinds if kind != "null"), "string"))

    def _example(self, schema: Any, route: str, name: str = "") -> Any:
        schema = self._resolved(schema)
        for one in schema.get("anyOf", ()):
            if one.get("type") != "null":
                return self._example(one, route, name)
        if schema.get("type") == "object":
            if not schema.get("properties"):
                raise AssertionError(f"{route} takes any object: say in FREE what one looks like")
            return {key: self._example(one, route, key) for key, one in schema["properties"].items()}
        if schema.get("type") == "array":
            parts = schema.get("prefixItems") or [schema["items"]]
            return [self._example(one, route, name) for one in parts]
        return schema["enum"][0] if "enum" in schema else self.own(name, route, str(schema.get("type", "string")))


NAMES = {
    "name:path": "player",
    "session": "session_id",
    "s": "session_id",
    "sessions": "session_id",
    "other": "bucket",
    "clip": "clip_id",
    "ball": "ball_id",
    "file": "key",
    "keys": "ball_key",
    "back": "ball_key",
    "double": "ball_id",
    "player": "player",
    "typed": "player",
    "names": "player",
    "whose": "player",
}
OF_ROUTE = {
    ("/api/sessions/{session_id}/balls", "key"): "ball_key",
    ("/api/sessions/{session_id}/balls", "session_id"): "bucket",
    ("/api/sessions/{session_id}/move", "session_id"): "bucket",
    ("/api/sessions/{session_id}/move", "to"): "session_id",
    ("/api/sessions/{session_id}/settle", "session_id"): "bucket",
    ("/sessions/{session_id}/part", "to"): "bucket",
    ("/sessions/{session_id}/live/{clip_id}/{number}/film", "film"): "clip_id",
    ("/api/buckets", "key"): "begun",
    ("/history/{kind}/{entry_id}/{way}", "entry_id"): "edit",
    ("/bin/{what}/{thing_id}/delete", "thing_id"): "binned",
}
WORDS: dict[str, Any] = {
    "kind": "edit",
    "way": "back",
    "what": "session",
    "form": "csv",
    "act": "undo",
    "number": 1,
    "secret": "wrong",
    "club": "54",
    "clubs": "54",
    "swing": "waist",
    "swings": "waist",
    "carry": "33.3",
    "unit": "m",
    "by": "laser",
    "to": "Aa Quill",
    "text": "54 waist 30 31",
    "why": "a test",
    "role": "guardian",
    "sign_in": "",
    "name": "Aa Someone",
    "title": "swing1.svg",
    "held_on": "2026-03-01",
    "days": 7,
    "size": 10,
    "agree": "yes",
    "by_whom": "Aa Sedge",
    "password": "four quiet herons wade",
    "again": "four quiet herons wade",
    "rights": "read",
    "code": "123456",
    "take": "kept",
    "balls": "5",
    "paper": "pocket",
    "game": "random",
    "felt": "",
    "age_s": 0,
    "strike": "",
    "count": 1,
    "rev": 5,
    "guess_unit": "m",
    "step": [1],
    "at": 0,
    "back": "/",
}
"""What goes well with the rest. A field that is not named here gets something of its kind: the question is asked all the same."""


def by_hand(route: AuthorizedRoute) -> list[str]:
    """Names that the module of a route takes out of a form or a query by hand."""
    source = inspect.getsource(sys.modules[route.endpoint.__module__])
    form = inspect.iscoroutinefunction(route.endpoint) and "POST" in route.methods
    if not form and not ("GET" in route.methods and "request.query_params" in source):
        return []
    found = re.findall(r"\.get(?:list)?\(\s*\"([a-z_]+)\"|_texts\(form, \"([a-z_]+)\"|field == \"([a-z_]+)\"", source)
    return sorted({name for names in found for name in names if name})


def probes(theirs: Room) -> list[tuple[str, str]]:
    """Each thing of the other room that goes by a word, and one of the kind that is nowhere."""
    words = [theirs.things[name] for name in ("player", "ball_key", "key", "begun", "batch")]
    words += [*theirs.secrets.values(), f"{theirs.things['player']} #{THEIRS}", "Zz Rush"]
    return [(word, _nowhere(word)) for word in words]


def _nowhere(word: str) -> str:
    if word.startswith("Zz"):
        return word.replace("Zz", "Yy").replace(str(THEIRS), str(NOT_THERE))
    turned = {"0": "1", "a": "b", "A": "B"}
    return word[:-4] + "".join(turned.get(letter, "0" if letter.isdigit() else "a") for letter in word[-4:])


def leaves(told: Any, way: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], Any]]:
    """Each value of a body, with the way to it."""
    pairs = told.items() if isinstance(told, dict) else enumerate(told) if isinstance(told, list) else None
    if pairs is None:
        yield way, told
        return
    for key, one in pairs:
        yield from leaves(one, (*way, key))


def put(told: Any, way: tuple[Any, ...], value: Any) -> Any:
    """The same body with another value there."""
    if not way:
        return value
    made = dict(told) if isinstance(told, dict) else list(told)
    made[way[0]] = put(made[way[0]], way[1:], value)
    return made


OF_A_PICTURE = frozenset(("size",))
"""Pixels, which name nothing: of the two numbers compared one is beyond what a picture may have."""


def places(sent: Sent) -> list[tuple[str, tuple[Any, ...], Any]]:
    """Where something can be put: kind of place, the way there, what is there now."""
    found = [("parts", (name,), value) for name, value in sent.parts.items()]
    if len(sent.parts) > 1:
        found.append(("all parts", (), ""))
    found += [("query", (name,), value) for name, value in sent.query.items()]
    found += [("form", (name,), value) for name, value in sent.form.items()]
    told = [("json", way, value) for way, value in leaves(sent.json) if sent.json is not None]
    return found + [one for one in told if not (one[1] and one[1][0] in OF_A_PICTURE)]


class Asker:
    """Asks the same question of what is there and of what is nowhere; keeps where the answers differ or a row was touched.

    Each place gets the thing that its name says belongs there, where it says so; and of everything else that the other room holds
    a share, one in `one_in`, not the same share in any two places.
    """

    def __init__(self, rooms: Rooms, one_in: int = 10) -> None:
        self.rooms, self.description, self.one_in = rooms, Description(rooms), one_in
        self.words = probes(rooms.theirs)
        things = rooms.theirs.things
        self.numbers = sorted({THEIRS, things["bucket"], things["ball_id"], things["conflict"]})
        self.asked, self.routes, self.found_own, self.wrong = 0, set[str](), set[str](), list[str]()

    def every(self, roles: tuple[str, ...], *, only: str = "") -> None:
        for method, route in self.description.routes:
            level = route.need.level
            if level in (Level.NEVER, Level.HEAD) or only not in route.path:
                continue
            sent = self.description.sent(method, route)
            for role in roles:
                allowed = allows(level, role=_role(role), coaches=role in (*COACHES, "head"), script=role == "script")
                if not allowed or (role == "script" and not route.path.startswith("/api/")):
                    continue
                if (role == "head" and route.path.startswith(HEADS_OWN)) or (role in OTHERS and level is Level.OPEN):
                    continue
                if role == "coach" and self.ask(role, method, route.path, sent).status_code < 400:
                    self.found_own.add(f"{method} {route.path}")
                self.rooms.watched.put_back()
                self.route(role, method, route.path, sent)

    def route(self, role: str, method: str, path: str, sent: Sent) -> None:
        for place, way, now in places(sent):
            if role not in COACHES and place in ("query", "form"):
                continue
            every = self.pairs(place, way, now, path)
            first = zlib.crc32(f"{role} {method} {path} {way}".encode()) % self.one_in
            own = self.of_its_kind(way, path)
            for there, none in [pair for i, pair in enumerate(every) if pair[0] in own or i % self.one_in == first]:
                self.compare(
                    role,
                    method,
                    path,
                    (place, way),
                    *((with_value(sent, place, way, one), one) for one in (there, none)),
                )

    def of_its_kind(self, way: tuple[Any, ...], path: str) -> list[Any]:
        """What the name of a place says that belongs there; of all parts of an address together, whatever it is."""
        if not way:
            return [self._parts(self.rooms.theirs.things, path)]
        name = way[-1] if isinstance(way[-1], str) else way[-2]
        where = OF_ROUTE.get((path, name)) or NAMES.get(name, name)
        named = self.rooms.theirs.things.get(where)
        return [] if named is None else [named, str(named)]

    def pairs(self, place: str, way: tuple[Any, ...], now: Any, path: str) -> list[tuple[Any, Any]]:
        """What is put there: (theirs, nowhere)."""
        away = NOT_THERE - THEIRS
        if place == "all parts":
            return [(self._parts(self.rooms.theirs.things, path), self._parts(None, path))]
        if place == "parts":
            where = OF_ROUTE.get((path, way[0])) or NAMES.get(way[0], way[0])
            named = self.rooms.theirs.things.get(where, THEIRS)
            if isinstance(named, int):
                return [(number, number + away) for number in {named, THEIRS}]
            return [*self.words, (str(THEIRS), str(NOT_THERE))]
        if isinstance(now, int | float) and not isinstance(now, bool):
            return [(number, number + away) for number in self.numbers]
        return [*self.words, *((str(number), str(number + away)) for number in self.numbers)] if now is not True else []

    def _parts(self, things: dict[str, Any] | None, path: str) -> dict[str, Any]:
        made = {}
        for part in re.findall(r"\{([^}]+)\}", path):
            where = OF_ROUTE.get((path, part)) or NAMES.get(part, part)
            theirs = self.rooms.theirs.things.get(where)
            if theirs is None:
                made[part] = WORDS.get(part, "x")
            elif things is None:
                made[part] = theirs + NOT_THERE - THEIRS if isinstance(theirs, int) else _nowhere(theirs)
            else:
                made[part] = theirs
        return made

    def ask(self, role: str, method: str, path: str, sent: Sent) -> Any:
        self.asked += 1
        self.routes.add(f"{method} {path}")
        address = re.sub(r"\{([^}]+)\}", lambda found: quote(str(sent.parts[found[1]]), safe=""), path)
        more: dict[str, Any] = {"json": sent.json} if sent.json is not None else {"data": sent.form}
        if sent.files:
            more["files"] = sent.files
        if method == "GET":
            more = {}
        return self.rooms.clients[role].request(
            method, address, params=sent.query, headers={"accept": "text/html"}, **more
        )

    def compare(self, role: str, method: str, path: str, at: Any, *both: tuple[Sent, Any]) -> None:
        told, touched = [], list[str]()
        for sent, value in both:
            told.append(said(self.ask(role, method, path, sent), value))
            touched += self.rooms.watched.put_back()
        if told[0] != told[1] or touched or told[0][0] >= 500:
            self.wrong.append(f"{role} {method} {path} {at} {both[0][1]!r}: {_apart(told[0], told[1])} {touched}")


def _role(role: str) -> str:
    return "coach" if role == "script" else role


def with_value(sent: Sent, place: str, way: tuple[Any, ...], value: Any) -> Sent:
    if place == "all parts":
        return Sent(value, sent.query, sent.form, sent.files, sent.json)
    return Sent(**(vars(sent) | {place: put(getattr(sent, place), way, value)}))


def said(answer: Any, value: Any) -> tuple[int, str, str]:
    """What an answer says, without the thing that was asked about and what is new in every answer."""
    kind = answer.headers.get("content-type", "")
    where = answer.headers.get("location", "") + answer.headers.get("content-disposition", "")
    text = answer.text if kind.startswith(("text/", "application/json", "application/problem")) else kind
    return answer.status_code, *(_plain(one, answer, value) for one in (where, text))


def _plain(text: str, answer: Any, value: Any) -> str:
    """Without what was asked about, however it is quoted or cut short, and without what is new in every answer."""
    text = text.replace(answer.headers.get("x-request-id", "-"), "ID")
    for one in value.values() if isinstance(value, dict) else (value,):
        if str(one).isdigit():
            continue
        for form in (quote(str(one), safe=""), quote(str(one)), str(one)):
            text = text.replace(form, "IT")
        for length in range(len(str(one)) - 1, 8, -1):
            text = text.replace(str(one)[:length], "IT")
    text = re.sub(r"%(25)*23(?=\d)", "#", text)
    text = re.sub(r"\b(Zz|Yy)(?=\b|_)", "IT", text)
    text = re.sub(r"(?<!\d)(77|88)\d\d(?!\d)", "N", text)  # theirs, or nowhere
    text = re.sub(r"\d\d:\d\d(:\d\d(\.\d+)?)?", "TIME", text)
    return re.sub(r"[\w-]{30,}", "SECRET", text)


def _apart(one: tuple[int, str, str], other: tuple[int, str, str]) -> str:
    at = next((i for i, (a, b) in enumerate(zip(one[2], other[2], strict=False)) if a != b), 0)
    return f"{one[0]} {one[1]!r} ...{one[2][max(0, at - 60) : at + 100]!r} against {other[0]} {other[1]!r} ...{other[2][max(0, at - 60) : at + 100]!r}"
