"""What each route asks for: the whole of who may do what, in one table. A route that does not stand here is refused.

The things named in an address (a session, a clip, a player) are looked up as whoever asks sees them; what they do not
see answers as if it were not there. Beyond that the level says who may do it at all.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from threequarter.golf.language import N_
from threequarter.store.accounts.current_user import current_user


class Level(StrEnum):
    """Who may."""

    OPEN = "open"
    """Anybody: the way in, the looks of the pages."""
    SIGNED_IN = "signed in"
    """Every account, each for what is theirs: lists and pages that name nothing."""
    SEE = "see"
    """Every account that sees the thing."""
    TYPE = "type"
    """Every account that sees the thing: balls, films, practice."""
    COACH = "coach"
    """The coach whose room it is, and a head who has the room open."""
    HEAD = "head"
    """Heads."""
    MYSELF = "myself"
    """The person at the browser, for their own account; no script."""
    LINK = "link"
    """Whoever has a link that holds."""
    NEVER = "never"
    """Nobody, once there are accounts: a laptop alone, or the command line."""


@dataclass(frozen=True, slots=True)
class Need:
    """What a route asks for; `says` is how the record calls it, "" for what is not recorded."""

    level: Level
    says: str = ""


OPEN, SIGNED_IN, SEE, TYPE, COACH, HEAD, MYSELF, LINK, NEVER = Level

POLICY: Final[dict[str, Need]] = {
    "GET /api/openapi.json": Need(SIGNED_IN),
    "GET /health": Need(OPEN),
    "GET /ready": Need(OPEN),
    "GET /sw.js": Need(OPEN),
    "GET /manifest.webmanifest": Need(OPEN),
    "POST /language": Need(OPEN),
    "GET /trust": Need(OPEN),
    "GET /ca.crt": Need(OPEN),
    "GET /pair": Need(NEVER),
    "POST /pair": Need(NEVER),
    "GET /phones": Need(NEVER),
    "POST /phones/{phone_id}/remove": Need(NEVER),
    "GET /metrics": Need(HEAD),
    "GET /operation": Need(HEAD, N_("looked at the state of the server")),
    "POST /operation/clips/{clip_id}/again": Need(HEAD, N_("measured a film again")),
    "POST /operation/errands/{number}/again": Need(HEAD, N_("had work done again")),
    "GET /safekeeping": Need(HEAD, N_("looked at the backups")),
    "POST /safekeeping/backup": Need(HEAD, N_("had a backup made")),
    "GET /safekeeping/erased": Need(COACH),
    # The way in, and one's own account
    "GET /sign-in": Need(OPEN),
    "POST /sign-in": Need(OPEN),
    "POST /sign-in/passkey/begin": Need(OPEN),
    "POST /sign-in/passkey": Need(OPEN),
    "GET /sign-in/second": Need(OPEN),
    "POST /sign-in/second": Need(OPEN),
    "POST /sign-out": Need(OPEN),
    "GET /invitation/{secret}": Need(OPEN),
    "POST /invitation/{secret}": Need(OPEN),
    "GET /account": Need(MYSELF),
    "POST /account/password": Need(MYSELF),
    "POST /account/passkeys/begin": Need(MYSELF),
    "POST /account/passkeys": Need(MYSELF),
    "POST /account/passkeys/{passkey_id}/remove": Need(MYSELF),
    "GET /account/second-step": Need(MYSELF),
    "POST /account/second-step": Need(MYSELF),
    "POST /account/second-step/begin": Need(MYSELF),
    "POST /account/second-step/codes": Need(MYSELF),
    "POST /account/second-step/off": Need(MYSELF),
    "POST /account/sign-ins/{sign_in_id}/end": Need(MYSELF),
    "POST /account/sign-out-everywhere": Need(MYSELF),
    "POST /account/room": Need(MYSELF),
    # People
    "GET /people": Need(COACH),
    "POST /people": Need(COACH, N_("made an account")),
    "POST /people/{account_id}/invite": Need(COACH, N_("made an invitation")),
    "POST /people/{account_id}/revoke": Need(COACH, N_("ended an invitation")),
    "POST /people/{account_id}/end": Need(COACH, N_("ended an account")),
    "POST /people/{account_id}/reopen": Need(COACH, N_("opened an account again")),
    "POST /people/{account_id}/role": Need(HEAD, N_("changed a role")),
    "POST /people/{account_id}/tie": Need(COACH, N_("let an account see a player")),
    "POST /people/{account_id}/untie": Need(COACH, N_("let an account see a player no more")),
    "POST /people/hand-over": Need(HEAD, N_("handed a player over")),
    "POST /people/settings": Need(HEAD, N_("changed a setting")),
    "GET /audit": Need(HEAD),
    # Links for others
    "POST /sessions/{session_id}/share": Need(COACH, N_("made a link for others")),
    "POST /shares/{share_id}/revoke": Need(COACH, N_("ended a link for others")),
    "GET /shared/{secret}": Need(LINK),
    "GET /shared/{secret}/report.pdf": Need(LINK),
    "GET /shared/{secret}/card.pdf": Need(LINK),
    # Consent, and how long films are kept
    "GET /players/{name:path}/consent": Need(SEE),
    "POST /players/{name:path}/consent": Need(TYPE, N_("agreed to be filmed")),
    "POST /players/{name:path}/consent/revoke": Need(TYPE, N_("took back the consent to films")),
    "POST /players/{name:path}/films/delete": Need(TYPE, N_("deleted all films of a player")),
    "GET /films-ending": Need(COACH),
    "POST /clips/{clip_id}/keep": Need(COACH, N_("kept a film for longer")),
    # The first page and what comes in
    "GET /": Need(SIGNED_IN),
    "POST /look": Need(COACH),
    "GET /look/{key}": Need(COACH),
    "POST /look/{key}/remember": Need(COACH),
    "GET /looks/{key}": Need(COACH),
    "POST /type": Need(COACH),
    "POST /keep/{key}": Need(COACH, N_("kept a table")),
    "POST /keep-all/{key}": Need(COACH, N_("kept several tables")),
    "POST /demo": Need(COACH, N_("opened the demo")),
    "GET /plan": Need(SIGNED_IN),
    # Sessions
    "GET /sessions/{session_id}": Need(SEE, N_("looked at a chart")),
    "GET /sessions/{session_id}/about": Need(SEE),
    "POST /sessions/{session_id}/about": Need(TYPE, N_("put a day right")),
    "POST /sessions/{session_id}/join": Need(COACH, N_("joined two days")),
    "POST /sessions/{session_id}/part": Need(COACH, N_("moved balls to another session")),
    "POST /sessions/{session_id}/player": Need(COACH, N_("gave a session to a player")),
    "GET /sessions/{session_id}/one": Need(SEE, N_("looked at a shot")),
    "GET /sessions/{session_id}/card.pdf": Need(SEE, N_("printed a card")),
    "GET /sessions/{session_id}/chart.json": Need(SEE, N_("read a chart")),
    "GET /sessions/{session_id}/day": Need(SEE, N_("looked at another day")),
    "GET /sessions/{session_id}/day.pdf": Need(SEE, N_("printed a day card")),
    "POST /sessions/{session_id}/weather": Need(COACH, N_("noted the weather")),
    "GET /sessions/{session_id}/shot": Need(SEE),
    "GET /sessions/{session_id}/wedges": Need(SEE),
    "GET /sessions/{session_id}/practice": Need(SEE),
    "POST /sessions/{session_id}/practice": Need(TYPE),
    "GET /sessions/{session_id}/recheck": Need(SEE),
    "GET /sessions/{session_id}/spread": Need(SEE),
    "GET /sessions/{session_id}/round": Need(SEE),
    "GET /sessions/{session_id}/report": Need(SEE, N_("looked at a report")),
    "GET /sessions/{session_id}/report.pdf": Need(SEE, N_("printed a report")),
    "POST /sessions/{session_id}/bin": Need(COACH, N_("put a session in the bin")),
    "POST /imports/{import_id}/undo": Need(COACH, N_("took an import back")),
    "POST /imports/{import_id}/redo": Need(COACH, N_("brought an import again")),
    "GET /imports/{import_id}/original": Need(COACH, N_("took along a file as it came")),
    "POST /batches/{batch}/{act}": Need(COACH, N_("took several imports back, or brought them again")),
    "POST /sessions/{session_id}/balls/{ball_id}/aside": Need(TYPE, N_("set a ball aside")),
    "POST /sessions/{session_id}/balls/{ball_id}/back": Need(TYPE, N_("brought a ball back")),
    "POST /sessions/{session_id}/balls/{ball_id}/mend": Need(TYPE, N_("mended a ball")),
    # The bucket page
    "GET /bucket": Need(SIGNED_IN),
    "POST /bucket": Need(TYPE, N_("began a bucket")),
    "GET /bucket/waiting": Need(SIGNED_IN),
    "GET /bucket/{session_id}": Need(TYPE, N_("opened a bucket")),
    "GET /bucket/{session_id}/chart.svg": Need(SEE),
    "GET /bucket/{session_id}/card.png": Need(SEE),
    "POST /api/sessions/{session_id}/balls": Need(TYPE, N_("typed balls")),
    "GET /api/sessions/{session_id}/live": Need(SEE),
    "POST /api/sessions/{session_id}/settle": Need(TYPE, N_("settled a ball that came twice")),
    "GET /api/typed-sessions": Need(SIGNED_IN),
    "POST /api/sessions/{session_id}/move": Need(COACH, N_("moved balls to another session")),
    # Lessons and clinics
    "GET /lesson": Need(COACH),
    "POST /lesson": Need(COACH, N_("began a lesson")),
    "GET /sessions/{session_id}/lesson": Need(COACH, N_("looked at a lesson")),
    "GET /sessions/{session_id}/lesson/state.json": Need(COACH),
    "POST /sessions/{session_id}/lesson/start": Need(COACH, N_("began a lesson")),
    "POST /sessions/{session_id}/lesson/note": Need(COACH, N_("noted something")),
    "POST /sessions/{session_id}/lesson/balls": Need(COACH, N_("typed balls")),
    "POST /sessions/{session_id}/lesson/table": Need(COACH, N_("kept a table")),
    "POST /sessions/{session_id}/lesson/link": Need(COACH, N_("said which swing hit which ball")),
    "GET /clinic": Need(COACH),
    "POST /clinic": Need(COACH, N_("began a clinic")),
    "GET /clinics/{clinic_id}": Need(COACH),
    "POST /clinics/{clinic_id}": Need(COACH, N_("changed a clinic")),
    "POST /clinics/{clinic_id}/away": Need(COACH, N_("changed a clinic")),
    "POST /clinics/{clinic_id}/print": Need(COACH, N_("printed a clinic")),
    "GET /errands/{errand_id}": Need(COACH),
    "GET /errands/{errand_id}/file": Need(COACH),
    "GET /acts": Need(COACH),
    "POST /acts/{kind}/{act_id}/{way}": Need(COACH, N_("took an act back, or made it again")),
    "POST /bin/{what}/{thing_id}/delete": Need(COACH, N_("deleted something in the bin for good")),
    # Films
    "GET /clips/new": Need(TYPE),
    "POST /clips": Need(TYPE, N_("sent a film")),
    "POST /clips/begin": Need(TYPE, N_("sent a film")),
    "PUT /clips/{clip_id}/bytes": Need(TYPE),
    "GET /clips/{clip_id}": Need(SEE, N_("looked at a film's measures")),
    "GET /clips/{clip_id}/state.json": Need(SEE),
    "GET /clips/{clip_id}/film": Need(SEE, N_("watched a film")),
    "GET /clips/{clip_id}/pictures/{name}": Need(SEE, N_("looked at a picture")),
    "POST /clips/{clip_id}/marks/{number}": Need(COACH, N_("corrected a swing")),
    "GET /clips/{clip_id}/points.json": Need(SEE),
    "POST /clips/{clip_id}/swings": Need(COACH, N_("added a swing")),
    "POST /clips/{clip_id}/swings/{number}/not": Need(COACH, N_("threw out a swing, or took it back in")),
    "POST /clips/{clip_id}/bin": Need(TYPE, N_("put a film in the bin")),
    "POST /clips/{clip_id}/delete": Need(TYPE, N_("deleted a film")),
    # Players
    "GET /players": Need(SIGNED_IN),
    "GET /players/{name:path}/pooled": Need(SEE, N_("looked at a chart of several days")),
    "GET /players/{name:path}": Need(SEE, N_("looked at a player")),
    "POST /players/{name:path}/plan": Need(TYPE, N_("changed a plan")),
    "POST /players/{name:path}/notes": Need(COACH, N_("noted something")),
    "POST /players/{name:path}/give": Need(COACH, N_("gave sessions to another player")),
    "POST /players/{name:path}/merge": Need(COACH, N_("merged two players")),
    "POST /players/{name:path}/archive": Need(COACH, N_("archived a player, or brought one back")),
    "POST /players/{name:path}/reads": Need(TYPE, N_("chose units and language")),
    "GET /players/{name:path}/erase": Need(COACH),
    "POST /players/{name:path}/erase": Need(COACH, N_("erased a player")),
    "POST /players/{name:path}/drop": Need(COACH, N_("took a player off the roster")),
    "POST /notes/{note_id}/{act}": Need(COACH, N_("took a note back, or brought it again")),
    # For scripts
    "GET /api": Need(MYSELF),
    "POST /api-tokens": Need(MYSELF, N_("made a token for a script")),
    "POST /api-tokens/{token_id}/remove": Need(MYSELF, N_("removed a token")),
    "GET /api/players": Need(SIGNED_IN),
    "POST /api/players": Need(COACH, N_("entered a player")),
    "GET /api/sessions": Need(SIGNED_IN),
    "POST /api/sessions": Need(TYPE, N_("began a session")),
    "GET /api/sessions/{session_id}": Need(SEE, N_("read a session")),
    "GET /api/sessions/{session_id}/balls": Need(SEE, N_("read the balls of a session")),
    "POST /api/sessions/{session_id}/balls/{ball_id}/aside": Need(TYPE, N_("set a ball aside")),
    "POST /api/sessions/{session_id}/balls/{ball_id}/back": Need(TYPE, N_("brought a ball back")),
    "GET /api/sessions/{session_id}/chart": Need(SEE, N_("read a chart")),
    "GET /api/sessions/{session_id}/next": Need(SEE),
    "GET /api/sessions/{session_id}/card.pdf": Need(SEE, N_("printed a card")),
    "GET /api/export": Need(COACH, N_("exported the balls of all")),
    "POST /api/import": Need(COACH, N_("kept a table")),
    "POST /api/imports/{batch}/undo": Need(COACH, N_("took several imports back, or brought them again")),
    # Ways out
    "GET /ways-out": Need(SIGNED_IN),
    "GET /everything/balls.{form}": Need(COACH, N_("exported the balls of all")),
    "GET /everything/export.json": Need(NEVER),
    "GET /players/{name:path}/balls.{form}": Need(SEE, N_("exported the balls of a player")),
    "GET /players/{name:path}/export.json": Need(SEE, N_("exported all that is kept of a player")),
    "GET /sessions/{session_id}/balls.{form}": Need(SEE, N_("exported the balls of a session")),
}


def allows(level: Level, *, role: str, coaches: bool, script: bool) -> bool:
    """Whether somebody may do what a level is for, of things they see. `script` is a token instead of a browser."""
    if level is OPEN:
        return True
    if role == "link":
        return level is LINK
    if role == "nobody" or level in (NEVER, LINK):
        return False
    if level is MYSELF:
        return not script
    if level is HEAD:
        return role == "head"
    return coaches if level is COACH else True


def may(route: str) -> bool:
    """Whether whoever acts is let through on a route ("POST /clips"), of things they see: pages offer nothing else. On
    a laptop without accounts everything is offered. Raises KeyError for a route that does not stand in the policy."""
    level, who = POLICY[route].level, current_user()
    return who is None or allows(level, role=who.role, coaches=who.coaches, script=False)
