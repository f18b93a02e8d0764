"""What is said of the options for a shot: the reason first, three at most, strokes last."""

from collections.abc import Sequence
from typing import Final

from threequarter.choice.green import NEAR_M
from threequarter.choice.shot import Option
from threequarter.golf.message import Message

SHOWN: Final = 3
LESS_TROUBLE: Final = 0.05
SURER_STRIKE: Final = 0.05
CAUTIONS: Final = (Message("shot.rule"), Message("shot.baseline"), Message("shot.not_in_it"))


def shot_of(option: Option) -> str | Message:
    """The name of an option's shot: "54 waist", or a swing between two."""
    if option.between:
        return Message("shot.between", club=option.club, low=option.between[0], high=option.between[1])
    return f"{option.club} {option.swing}".strip()


def shown(options: Sequence[Option]) -> tuple[Option, ...]:
    """The options that a player should look at: at most three, and what cannot be told apart from the best before others."""
    tied = [one for one in options if one.tied]
    return tuple([*tied, *(one for one in options if not one.tied)][:SHOWN])


def reason(option: Option, others: Sequence[Option]) -> Message:
    """Why one would take it, beside the others that are shown."""
    rest = [one for one in others if one is not option]
    if rest and option.in_trouble + LESS_TROUBLE <= min(one.in_trouble for one in rest):
        return Message("shot.least_trouble", in_trouble=round(100 * option.in_trouble))
    if option.never_hit:
        return Message("shot.never_hit")
    if rest and option.mishit_rate + SURER_STRIKE <= min(one.mishit_rate for one in rest):
        return Message("shot.surest_strike", mishit_share=option.mishit_rate)
    if not rest or option.within_3m >= max(one.within_3m for one in rest):
        return Message("shot.nearest", near=round(100 * option.within_3m), within_m=NEAR_M)
    if option.behind <= min(one.behind for one in rest):
        return Message("shot.fewest_strokes")
    if option.run_m <= min(one.run_m for one in rest):
        return Message("shot.stops_soonest")
    return Message("shot.nearly_as_good") if option.tied else Message("shot.also")


def told(option: Option) -> tuple[Message, ...]:
    """What one option does, and what may go wrong."""
    lines = [Message("shot.lands", carry_m=option.carry_m), _run(option)]
    if abs(option.aim_m) >= 0.5:
        lines.append(Message("shot.aim_right" if option.aim_m > 0 else "shot.aim_left", aim_m=abs(option.aim_m)))
    lines.append(
        Message(
            "shot.chances", on_green=round(100 * option.on_green), near=round(100 * option.within_3m), within_m=NEAR_M
        )
    )
    if option.in_trouble >= 0.01:
        lines.append(Message("shot.in_trouble", in_trouble=round(100 * option.in_trouble)))
    if option.short >= 0.02:
        lines.append(Message("shot.short", short=round(100 * option.short)))
    return tuple(lines)


def _run(option: Option) -> Message:
    if option.run_m < 1.8:
        return Message("shot.stops")
    return Message("shot.runs" if option.run_m < 5.5 else "shot.running", run_m=option.run_m)


def verdict(options: Sequence[Option]) -> tuple[Message, ...]:
    """The choice in one or two lines."""
    if not options:
        return ()
    best, others = options[0], shown(options)
    name = shot_of(best)
    tied = [shot_of(one) for one in others[1:] if one.tied]
    why = reason(best, others)
    if len(options) == 1:
        return (Message("shot.only", shot=name),)
    if tied:
        if why.code == "shot.nearly_as_good":
            return (Message("shot.alike", shot=name, others=tuple(tied)),)
        return (Message("shot.tied", shot=name, why=why, others=tuple(tied)),)
    return (Message("shot.best", shot=name, why=why, strokes=round(options[1].behind, 2), other=shot_of(options[1])),)
