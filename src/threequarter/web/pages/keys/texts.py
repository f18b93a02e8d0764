"""What the scripts of the bucket page say, in the language of the page: a text, or one for one and one for more."""

from collections.abc import Callable
from typing import Final

from threequarter.language.localize import _, ngettext
from threequarter.language.text import Plural
from threequarter.language.texts import TEXTS

Text = str | list[str]
SAID_BY_ENGINE: Final = ("advice.", "cell.", "chart.", "gap.", "meaning.", "practice.", "recheck.")
"""Beginnings of the codes of what the phone's own engine may say."""


def _both(form: Callable[[int], str]) -> list[str]:
    return [form(1), form(2)]


def waiting_texts() -> dict[str, Text]:
    """What every page says of balls that wait on the phone."""
    return {
        "waits": _both(lambda n: ngettext("{n} ball waits on this phone", "{n} balls wait on this phone", n)),
        "held": _both(lambda n: ngettext("{n} was refused", "{n} were refused", n)),
        "age_now": _("the oldest from just now"),
        "age_minutes": _("the oldest {n} min old"),
        "age_hours": _("the oldest {n} h old"),
        "age_days": _both(lambda n: ngettext("the oldest {n} day old", "the oldest {n} days old", n)),
        "age_unknown": _("the phone's clock changed, so we cannot tell how old"),
    }


def bucket_texts() -> dict[str, Text]:
    """Everything the bucket page says by script."""
    return waiting_texts() | _keys() | _chart() | _chart_page() | _sending() | _ways() | _settling()


def engine_texts() -> dict[str, Text]:
    """What the phone's own engine says, by the codes of the chart; of two forms the name of the value that chooses stands third."""
    said: dict[str, Text] = {
        "one_in.hardly": _("hardly any"),
        "one_in.one": _("one in {count}"),
        "one_in.ten": _("{count} in ten"),
    }
    for code, text in TEXTS.items():
        if code.startswith(SAID_BY_ENGINE):
            said[code] = _plural(text) if isinstance(text, Plural) else _(text)
    return said


def _plural(text: Plural) -> list[str]:
    one, many = text.forms
    return [*_both(lambda n: ngettext(one, many, n)), text.by]


def _keys() -> dict[str, Text]:
    return {
        "type_first": _("Type the carry first."),
        "type_guess": _("Type what you think it carried, then save the guess."),
        "too_far": _("{typed} {unit} is further than a wedge goes."),
        "too_short": _("{typed} {unit} is not a carry."),
        "side_too_far": _("That is further sideways than it flew."),
        "nothing_back": _("No ball from this phone to undo."),
        "taken_back": _("Undone: {ball}."),
        "nothing_again": _("No ball to repeat yet."),
        "save": _("Save ball"),
        "keep_guess": _("Save the guess"),
        "guess_is": _("your guess: {n}"),
        "guessed": _("You said {guess}, it was {carry}."),
        "again": _("Again"),
        "mending": _("Correcting: {ball}"),
        "mended": _("Corrected: {ball}."),
        "part_missing": _(
            "This part of the page is not on this phone yet. Open the page again where you have a signal; your balls stay here."
        ),
        "child_enough": _("{n} balls hit: enough for a child today. Stop here."),
        "deleted": _("Deleted: {ball}. You can bring it back from the list."),
        "keep": _("Save the change"),
        "left": _("{n} left"),
        "right": _("{n} right"),
        "pile_of": _both(lambda n: ngettext("one ball", "the middle of {n} balls", n)),
        "paces": _("paces"),
        "lies": _("where it lies"),
        "fat": _("fat"),
        "thin": _("thin"),
        "toe": _("toe"),
        "heavy": _("heavy"),
        "good": _("good"),
        "heel": _("heel"),
    }


def _chart() -> dict[str, Text]:
    return {
        "cell_hit": _("{carry} ± {doubt} {unit}"),
        "cell_more": _("the next good one {next}"),
        "cell_after": _("± {now} becomes about ± {after} with one more"),
        "cell_inferred": _("not hit yet; about {carry} ± {doubt} {unit} by the other shots"),
        "cell_none": _("no ball yet"),
        "cell_here": _both(lambda n: ngettext("{n} ball here (provisional)", "{n} balls here (provisional)", n)),
        "cell_middle": _("middle {middle} {unit}, from {low} to {high}"),
        "balls": _both(lambda n: ngettext("{n} ball", "{n} balls", n)),
        "next": _("Next: {shot}"),
        "go_on": _both(
            lambda n: ngettext(
                "About {n} more ball, {minutes} min, to a good chart.",
                "About {n} more balls, {minutes} min, to a good chart.",
                n,
            )
        ),
        "endless": _("More balls alone will not make this chart good enough: use something more accurate to measure."),
        "cell_label": _("{shot}: {says}"),
    }


def _chart_page() -> dict[str, Text]:
    return {
        "chart_here": _both(
            lambda n: ngettext(
                "Computed on this phone from the {n} ball it has, in {unit}.",
                "Computed on this phone from the {n} balls it has, in {unit}.",
                n,
            )
        ),
        "chart_none": _("No balls to chart yet, or this browser cannot compute the chart."),
        "chart_unknown": _("This phone does not know that bucket. Open its keys first."),
    }


def _sending() -> dict[str, Text]:
    return {
        "all_kept": _both(
            lambda n: ngettext(
                "{n} ball typed here, safe on the server.", "{n} balls typed here, all safe on the server.", n
            )
        ),
        "none_yet": _("No ball typed here yet."),
        "wait_here": _both(lambda n: ngettext("{n} ball waits here", "{n} balls wait here", n)),
        "no_server": _("The server cannot be reached; nothing is lost."),
        "brought": _both(
            lambda n: ngettext(
                "{n} earlier ball was brought back on this phone",
                "{n} earlier balls were brought back on this phone",
                n,
            )
        ),
        "memory_only": _(
            "This browser forgets everything when the page closes (a private window?). Balls are sent at once and "
            "not stored here."
        ),
        "no_room": _(
            "This phone has no room left: what you type now lasts only while the page stays open, and is sent at once."
        ),
        "may_clear": _("This browser may delete unsent balls. Send them soon or install the page."),
        "unpaired": _("This phone is no longer let in. The balls stay here; pair it again."),
        "pair": _("Pair it again"),
        "signed_out": _("You are signed out. The balls stay on this phone; sign in again."),
        "sign_in": _("Sign in"),
        "gone": _("The day was deleted. The balls stay on this phone; send them to another day."),
        "tier_full": _("Kept on this phone: works without a signal"),
        "tier_making": _("Not kept on this phone yet: needs a signal to open again"),
        "tier_open": _("Works while this page stays open; unsent balls are kept here"),
        "tier_none": _("No server nearby: saved here"),
        "tier_here": _("No server nearby: saved here; the chart is computed on this phone from the balls it has"),
        "waits_short": _("waits"),
        "back_short": _("undone"),
        "server_said": _("The server said: {why}"),
        "failed": _("That did not work: {why}"),
    }


def _ways() -> dict[str, Text]:
    return {
        "place_none": _("This browser gives no position here. Use the trusted address."),
        "place_refused": _("The phone does not let us use its position. Allow it in its settings."),
        "place_failed": _("The phone could not find its position. Try again under open sky."),
        "place_looking": _("Looking … {n} s, so far to {radius} m"),
        "mat_marked": _("Mat marked, to {radius} m."),
        "mat_missing": _("Mark the mat first."),
        "nobody_plays": _("Only when nobody plays and the staff agree: tick that box first."),
        "at_ball": _("{distance} {unit} from the mat, ± {doubt} {unit} (phone: {start} m at the mat, {end} m here)."),
        "too_unsure": _("The phone's position is too rough for this distance. Wait, or use a laser."),
        "step_is": _("A step of {step} m."),
        "step_bad": _("A step of {step} m cannot be right: 0.4 to 1.3 m."),
        "step_usual": _("We take a step as 0.9 m, which is less sure."),
    }


def _settling() -> dict[str, Text]:
    return {
        "look_at": _both(lambda n: ngettext("{n} thing to check", "{n} things to check", n)),
        "conflict": _("The same ball came with two different values. Which one is right?"),
        "double": _("{ball} was typed on two phones {n} s apart. One ball or two?"),
        "one_ball": _("One ball"),
        "two_balls": _("Two balls"),
        "mend": _("Correct"),
        "delete": _("Delete"),
        "bring_back": _("Bring back"),
        "save_alone": _("Save it as a file"),
        "send_there": _("Send them there"),
        "sent_there": _both(lambda n: ngettext("{n} ball goes to {player}.", "{n} balls go to {player}.", n)),
        "choose": _("Which day?"),
        "moved": _both(lambda n: ngettext("{n} ball given to {player}.", "{n} balls given to {player}.", n)),
        "session": _("Day {n}"),
        "nothing_waits": _("Nothing is waiting on this phone."),
        "open": _("Open the day"),
        "as_file": _("All of these as a file"),
    }
