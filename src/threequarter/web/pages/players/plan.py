"""The plan on a player's page: wedges and swing lengths with order and other names, and what the player is after."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from fastapi import Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import RedirectResponse
from starlette.datastructures import FormData

from threequarter.app.own_swings import Posed, posed_levels
from threequarter.app.plans import plan_of_player
from threequarter.golf.club import parse_club
from threequarter.golf.errors import UserError
from threequarter.golf.plan import Plan, PlannedSwing
from threequarter.golf.swing_length import parse_swing
from threequarter.golf.units import METRES_PER, DistanceUnit, from_metres
from threequarter.language.localize import N_, _, day, number
from threequarter.store.people.plans import Plans
from threequarter.store.people.roster import Roster
from threequarter.store.results import Club
from threequarter.store.store import Store
from threequarter.web.page_context import names_in, store_of
from threequarter.web.page_context import number as typed_number
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import TYPE, need
from threequarter.web.whole_number import whole_number

pages = AuthorizedRouter()
MOST_ROWS = 14
LEAST_ARM_DEG, MOST_ARM_DEG = 5, 210


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubField:
    """A row of the form, as text; `planned` where its shots are to be charted."""

    label: str = ""
    other: str = ""
    loft: str = ""
    full: str = ""
    planned: bool = True


def plan_form(store: Store, player: str, unit: DistanceUnit, plan: Plan | None = None) -> dict[str, Any]:
    """The plan for a template (`plan` where it is known); where nobody made one, what the balls show, to look at and keep."""
    plan, bag = plan or plan_of_player(store, player), Roster(store).bag(player)
    planned = {club.label for club in plan.clubs}
    kept = [club for club in bag if plan.stored or club.label not in planned]
    fresh = [] if plan.stored else [Club(label=c.label, loft_deg=c.loft_deg, planned=True) for c in plan.clubs]
    rows = [_row(club, unit) for club in [*fresh, *kept]][:MOST_ROWS]
    posed = posed_levels(store, player)
    swings = [
        {
            "label": one.label,
            "other": ", ".join(one.other_names),
            "arm": "" if one.arm_deg is None else number(one.arm_deg, None),
            "means": _meant(one, posed),
        }
        for one in plan.swings
    ]
    return {
        "plan": plan,
        "plan_clubs": [*rows, *[ClubField()] * min(max(2, 4 - len(rows)), MOST_ROWS - len(rows))],
        "plan_swings": [*swings, *[{"label": "", "other": "", "arm": ""}] * 2],
        "plan_unit": unit,
    }


def _meant(one: PlannedSwing, posed: Mapping[str, Posed]) -> dict[str, str]:
    """What a swing length means for this player, and the film where it was shown; what was told in degrees goes before a film."""
    length = parse_swing(one.label)
    if one.arm_deg is not None:
        return {"says": _("lead arm {angle}° from hanging down").format(angle=number(one.arm_deg, None)), "film": ""}
    if length.key in posed:
        pose = posed[length.key]
        says = _("as posed in the clip of {day}").format(day=day(pose.held_on))
        return {"says": says, "film": f"/clips/{pose.clip_id}"}
    if length.kind == "level":
        return {"says": _("usual height, not filmed yet"), "film": ""}
    if length.hour is not None:
        arm = number(30 * (length.hour - 6), 0)
        return {"says": _("lead arm {angle}° from hanging down").format(angle=arm), "film": ""}
    return {"says": "", "film": ""}


def _row(club: Club, unit: DistanceUnit) -> ClubField:
    return ClubField(
        label=club.label,
        other=", ".join(club.other_names),
        loft="" if club.loft_deg is None else number(club.loft_deg, None),
        full="" if club.full_carry_m is None else number(from_metres(club.full_carry_m, unit), 0),
        planned=club.planned,
    )


@pages.post("/players/{name:path}/plan", dependencies=[need(TYPE, N_("changed a plan"))])
async def keep_plan(request: Request, name: str) -> RedirectResponse:
    """Keeps a player's plan; rows without a club or a swing length are left out."""
    form = await request.form()
    clubs, plan = _clubs(form), _swings(form)
    await run_in_threadpool(Plans(store_of(request)).keep_with_bag, name, clubs, plan.swings, plan.goal)
    return RedirectResponse(f"/players/{quote(name, safe='')}/about#plan", status_code=303)


def _texts(form: FormData, field: str) -> list[str]:
    return [str(value).strip() for value in form.getlist(field)]


def _in_order(form: FormData, field: str, count: int) -> list[int]:
    """Places of rows by the order typed beside them; those without keep theirs."""
    typed = _texts(form, field)
    told = [whole_number(text) for text in typed[:count]] + [None] * (count - len(typed))
    at = [i + 1 if place is None else place for i, place in enumerate(told)]
    return sorted(range(count), key=lambda i: at[i])


def _clubs(form: FormData) -> list[Club]:
    labels = _texts(form, "club")
    columns = [_texts(form, field) for field in ("club_other", "loft", "full")]
    chosen = set(_texts(form, "planned"))
    unit_m = METRES_PER["m" if form.get("unit") == "m" else "yd"]
    clubs = []
    for i in _in_order(form, "club_at", len(labels)):
        other, loft, full = (column[i] if i < len(column) else "" for column in columns)
        if labels[i]:
            clubs.append(_club(labels[i][:100], other, loft, full, unit_m, planned=str(i) in chosen))
    return clubs


def _club(label: str, other: str, loft: str, full: str, unit_m: float, *, planned: bool) -> Club:
    """A row of the plan. Raises UserError for a loft or a carry that cannot be."""
    loft_deg = typed_number(loft.rstrip("° "), _("The loft of {club}").format(club=label[:40]))
    full_carry = typed_number(full, _("The full carry of {club}").format(club=label[:40]))
    if loft_deg is not None and not 5 <= loft_deg <= 80:
        raise UserError(
            _("A loft of {loft}° cannot be right ({club}).").format(loft=number(loft_deg, None), club=label[:40])
        )
    if full_carry is not None and not 10 <= full_carry * unit_m <= 350:
        raise UserError(_("No club carries {carry} ({club}).").format(carry=full[:20], club=label[:40]))
    return Club(
        label=label,
        loft_deg=loft_deg if loft_deg is not None else parse_club(label).loft_deg,
        full_carry_m=None if full_carry is None else full_carry * unit_m,
        other_names=tuple(names_in(other)),
        planned=planned,
    )


def _swings(form: FormData) -> Plan:
    labels, other, arms = (_texts(form, field) for field in ("swing", "swing_other", "swing_arm"))
    order = [i for i in _in_order(form, "swing_at", len(labels)) if labels[i]]
    swings: Sequence[PlannedSwing] = [
        PlannedSwing(
            label=labels[i][:100],
            other_names=tuple(names_in(other[i] if i < len(other) else "")),
            arm_deg=_arm(labels[i], arms[i] if i < len(arms) else ""),
        )
        for i in order
    ]
    return Plan(swings=tuple(swings), goal=str(form.get("goal") or "").strip()[:300])


def _arm(label: str, typed: str) -> float | None:
    """Where the lead arm points in a swing length. Raises UserError for an angle that no arm has."""
    arm_deg = typed_number(typed.rstrip("° "), _("The lead arm in {swing}").format(swing=label[:40]))
    if arm_deg is not None and not LEAST_ARM_DEG <= arm_deg <= MOST_ARM_DEG:
        raise UserError(
            _(
                "A lead arm at {angle}° is not a backswing ({swing}). 0° hangs down, 90° is level with the ground."
            ).format(angle=number(arm_deg, None), swing=label[:40])
        )
    return arm_deg
