"""The plan of a player: which wedges and swing lengths are to be charted, and what else they are called. Every change can be undone."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any, Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.plan import Plan, PlannedClub, PlannedSwing
from threequarter.store.database.schema import ClubRow, PlayerRow, SessionRow, SwingLengthRow
from threequarter.store.history.history import bag_of, plan_body, record_act, swing_body
from threequarter.store.imports.save_import import find_player, now_utc, player_named
from threequarter.store.results import Club
from threequarter.store.store import Store

MOST_CLUBS: Final = 14
MOST_SWINGS: Final = 12
EMPTY: Final = Plan()


class Plans:
    """The plans of a store. Each method is one transaction."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def of_player(self, name: str) -> Plan | None:
        """The plan of a player; None where nobody made one."""
        with self.store.reading() as session:
            row = player_named(session, name)
            return stored_plan(session, row.id) if row else None

    def of_session(self, session_id: int) -> Plan | None:
        """The plan of the player whose session it is; None where nobody made one, or it is nobody's."""
        with self.store.reading() as session:
            row = session.get(SessionRow, session_id)
            return stored_plan(session, row.player_id) if row and row.player_id else None

    def keep(self, name: str, plan: Plan) -> int | None:
        """Keeps a player's plan; returns the act, None where nothing changed. Clubs of the bag that are not in it stay in the bag.

        Raises UserError where two clubs or two swing lengths go by one name.
        """
        check(plan)
        with self.store.writing() as session:
            player = find_player(session, name, now_utc())
            return _keep(session, player.id, plan)

    def keep_with_bag(
        self, name: str, clubs: Sequence[Club], swings: Sequence[PlannedSwing], goal: str = ""
    ) -> int | None:
        """Keeps a player's whole bag, in which some clubs are planned, with swing lengths and goal; returns the act, None where
        nothing changed. Raises UserError as `keep`."""
        every = tuple(PlannedClub(label=c.label, loft_deg=c.loft_deg, other_names=c.other_names) for c in clubs)
        check(Plan(clubs=every, swings=tuple(swings)))
        with self.store.writing() as session:
            player = find_player(session, name, now_utc())
            before = plan_body(session, player.id)
            after = {
                "clubs": [{**asdict(club), "other_names": list(club.other_names)} for club in clubs],
                "swings": [swing_body(one.label, one.other_names, one.arm_deg) for one in swings],
                "goal": goal.strip()[:300] or None,
            }
            if before == after:
                return None
            body = {"player": player.id, "before": before, "after": after}
            return record_act(session, "plan", body, player_id=player.id)

    def begin_with(self, session_id: int, clubs: Sequence[str], swings: Sequence[str], *, widen: bool = False) -> None:
        """Makes the keys that balls are typed with the plan of their player, where there is no plan yet; with `widen` what a plan
        lacks of them is added to it."""
        if not clubs or not swings:
            return
        with self.store.writing() as session:
            row = session.get(SessionRow, session_id)
            if row is None or row.player_id is None:
                return
            known = stored_plan(session, row.player_id)
            if known is not None and not widen:
                return
            plan = plan_named(clubs, swings, known or EMPTY)
            check(plan)
            _keep(session, row.player_id, plan)


def plan_named(clubs: Sequence[str], swings: Sequence[str], plan: Plan = EMPTY) -> Plan:
    """A plan with these names besides its own; what means the same club or swing length stands once."""
    for label in clubs:
        if label.strip() and plan.club(label) is None:
            plan = replace(plan, clubs=(*plan.clubs, PlannedClub(label=label.strip()[:100])))
    for label in swings:
        if label.strip() and plan.swing(label) is None:
            plan = replace(plan, swings=(*plan.swings, PlannedSwing(label=label.strip()[:100])))
    return plan


def check(plan: Plan) -> None:
    """Raises UserError where two clubs or two swing lengths go by one name, or there are more than can be charted."""
    if len(plan.clubs) > MOST_CLUBS:
        raise UserError(Message("store.a_bag_holds_at_most", count=len(plan.clubs)))
    if len(plan.swings) > MOST_SWINGS:
        raise UserError(Message("store.a_plan_holds_at_most", most=MOST_SWINGS, count=len(plan.swings)))
    for kind in (plan.clubs, plan.swings):
        seen: dict[str, str] = {}
        for one in kind:
            for key in one.keys:
                if key in seen:
                    raise UserError(Message("store.and_go_by_the_same", first=seen[key], second=one.label))
            seen |= dict.fromkeys(one.keys, one.label)


def stored_plan(session: Session, player_id: int) -> Plan | None:
    """The plan of a player by number; None where nobody made one."""
    clubs = session.scalars(
        select(ClubRow).where(ClubRow.player_id == player_id, ClubRow.planned == 1).order_by(ClubRow.place)
    ).all()
    swings = session.scalars(
        select(SwingLengthRow).where(SwingLengthRow.player_id == player_id).order_by(SwingLengthRow.place)
    ).all()
    if not clubs and not swings:
        return None
    player = session.get(PlayerRow, player_id)
    return Plan(
        clubs=tuple(
            PlannedClub(label=row.label, loft_deg=row.loft_deg, other_names=tuple(json.loads(row.other_names)))
            for row in clubs
        ),
        swings=tuple(
            PlannedSwing(label=row.label, other_names=tuple(json.loads(row.other_names)), arm_deg=row.arm_deg)
            for row in swings
        ),
        goal=(player.goal or "") if player else "",
    )


def _keep(session: Session, player_id: int, plan: Plan) -> int | None:
    before = plan_body(session, player_id)
    after = {
        "clubs": _bag_with(bag_of(session, player_id), plan),
        "swings": [swing_body(one.label, one.other_names, one.arm_deg) for one in plan.swings],
        "goal": plan.goal.strip()[:300] or None,
    }
    if before == after:
        return None
    return record_act(session, "plan", {"player": player_id, "before": before, "after": after}, player_id=player_id)


def _bag_with(bag: Sequence[Mapping[str, Any]], plan: Plan) -> list[dict[str, Any]]:
    """The bag with the plan's clubs in their order, then the clubs that are not planned."""
    rest = list(bag)
    made = []
    for club in plan.clubs:
        known = next((row for row in rest if row["label"] == club.label or _same(club, row)), None)
        if known is not None:
            rest.remove(known)
        made.append(
            {
                "label": club.label,
                "loft_deg": club.loft_deg,
                "full_carry_m": known["full_carry_m"] if known else None,
                "other_names": list(club.other_names),
                "planned": True,
            }
        )
    return made + [{**row, "planned": False} for row in rest]


def _same(club: PlannedClub, row: Mapping[str, Any]) -> bool:
    return bool(club.keys & PlannedClub(label=row["label"], loft_deg=row["loft_deg"]).keys)
