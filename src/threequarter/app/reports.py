"""The page to take home of a session: its chart, what to work on, its swings in words and pictures."""

from dataclasses import dataclass
from typing import Any

from threequarter.app.charts import SessionChart, in_language_of, session_chart
from threequarter.app.lesson_view import Seen, all_swings, change_line, plain_swing
from threequarter.app.lessons import lesson_from, lesson_notes
from threequarter.app.over_days import told_over_days
from threequarter.app.provenance import ball_words, dates_words
from threequarter.language import say, words
from threequarter.language.localize import _
from threequarter.paper.card import CardDetails
from threequarter.paper.report import MOST_PICTURES, report
from threequarter.practice.work_on import WorkOn, work_on
from threequarter.store.clips.clips import Clips
from threequarter.store.results import SessionInfo
from threequarter.store.store import Store


def make_report(store: Store, info: SessionInfo, view: SessionChart, notes: str | None = None) -> bytes:
    """The page to take home of a session, with its swings, as PDF, its distances by the chart `view`; `notes` None takes those of
    the lesson."""
    with in_language_of(store, info.player):
        told = report_parts(store, info, view)
        return report(
            view.chart,
            told.work,
            **report_facts(store, info, view),
            notes=lesson_notes(store, info.id) if notes is None else notes,
            pictures=told.pictures,
            captions=told.captions,
            swing_words=told.lines,
            changes=told.changes,
        )


def report_facts(store: Store, info: SessionInfo, view: SessionChart) -> dict[str, Any]:
    newest = max((one.held_on for one, _facts, _weather in view.made), default=info.held_on)
    return {
        "player": info.player or "",
        "date": info.held_on,
        "unit": view.unit,
        "made": view.made_of,
        "newest": newest,
    }


def card_details(info: SessionInfo, view: SessionChart) -> CardDetails:
    """What a card says of its chart: whose, when the balls were hit, with which ball, in which air."""
    return CardDetails(
        player=info.player or "",
        date=dates_words([one for one, _facts, _weather in view.made]),
        ball=ball_words(view.made),
        air=say(view.air.brief()) if view.air.known else "",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportParts:
    """What a lesson tells: what to work on, its swings in words, pictures of the best with what stands under each, what
    changed."""

    work: tuple[WorkOn, ...]
    lines: list[str]
    pictures: list[str]
    captions: list[str]
    changes: list[str]


def report_parts(store: Store, info: SessionInfo, view: SessionChart) -> ReportParts:
    lesson = lesson_from(store, info, session_chart(store, info.id, view.unit)[1], view.unit)
    shown: list[tuple[Seen, str]] = [
        (
            lesson.seen[best.swing],
            _("{shot}, {carry} {unit}: the best of this shot on film.").format(
                shot=words.shot(best.cell),
                carry=words.rounded(lesson.kept[best.ball].ball.distance_m, view.unit),
                unit=view.unit,
            ),
        )
        for best in lesson.best()
    ]
    shown = shown or [(one, "") for one in lesson.seen[:1]]
    pictures, captions = [], []
    for one, caption in shown[:MOST_PICTURES]:
        if one.sheet is not None:
            path = Clips(store).made(one.clip.id) / "pictures" / one.sheet
            pictures.append(path.read_text(encoding="utf-8"))
            captions.append(f"{caption} {plain_swing(one)}".strip())
    swings = [one.swing for one in lesson.seen]
    used = sorted(kept.ball.distance_m for kept in lesson.kept if kept.ball.use)
    usual_m = used[len(used) // 2] if used else None
    changes = [change_line(change, view.unit, usual_m) for change in lesson.changes() if change.told]
    if not changes and lesson.seen:
        changes = [_("No change beyond chance. That is normal for one lesson; the recheck will tell.")]
    changes += told_over_days(store, view)
    return ReportParts(
        work=work_on(view.chart, swings),
        lines=[*all_swings(lesson.seen), *lesson.story()],
        pictures=pictures,
        captions=captions,
        changes=changes,
    )
