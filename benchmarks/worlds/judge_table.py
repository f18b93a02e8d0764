"""Prints what the judge found: carries, then mishits and flags, then means, worst kinds and the dose curve."""

from collections.abc import Sequence

import numpy as np

from .judge import Judged

CARRY_HEADS = (
    f"{'kind':28s} {'n':>4s} {'ref':>3s} | {'held ± err':>11s} {'read':>5s} {'unhit':>5s} {'t':>5s} | {'bias%':>6s} {'rmse':>5s} "
    f"{'/med':>5s} {'/mean':>5s} {'half':>5s} | {'next':>5s} {'worst':>15s} {'best':>15s} | {'other day':>12s} {'next':>5s}"
)
OTHER_HEADS = (
    f"{'kind':28s} | {'rate':>5s} {'err':>5s} {'said':>5s} {'true':>5s} {'Brier':>6s} {'F1':>5s} | {'odd':>8s} {'false':>9s} "
    f"{'said':>5s} {'true':>5s} {'skill':>6s} | {'two':>6s} {'false':>8s} | {'drift':>5s} {'held':>5s} {'not 0':>5s} | checks"
)
HELP = """
n sessions, ref refused. held: stock carry inside its 90 % interval, ± error over sessions; read: the same as the device counts; unhit: cells without
a ball; t: a t interval of the cell's balls. rmse in yards, over that of the median and of the mean of the cell's balls; half: half the interval.
next: the next good ball inside its interval, worst and best club, swing or rank of steadiness. other day: another day's stock carry (* said by the
chart, else judged by the stock interval), and its next good ball."""
OTHER_HELP = """
rate: true mishit rate of the cell inside its interval; err: RMS error; said, true: share of mishits; Brier skill over the base rate, F1 of those called.
odd: cells 7 % off the line that were flagged; false: of those within 3.5 %; said, true, skill: chance to lie more than 4.5 % off.
two: two swings under one name. drift: share of sessions that tell one; held; share whose interval leaves out 0. checks: share of sessions with one."""


def carry_line(j: Judged) -> str:
    """The carries of one kind, under CARRY_HEADS."""
    return (
        f"{j.kind:28s} {j.sessions:4d} {j.refused:3d} | {j.held:5.3f} ±{j.held_error:5.3f} {j.held_as_read:5.3f} {j.held_not_hit:5.2f} "
        f"{j.held_t:5.2f} | {100 * j.bias:+6.2f} {j.rmse_yd:5.2f} {j.over_median:5.2f} {j.over_mean:5.2f} {j.half_width_yd:5.2f} | "
        f"{j.next_held:5.3f} {_named(j.next_worst):>15s} {_named(j.next_best):>15s} | "
        f"{j.another:5.3f}{'*' if j.another_said else ' '}±{j.another_error:5.3f} {j.next_another:5.3f}"
    )


def other_line(j: Judged) -> str:
    """Mishits and flags of one kind, under OTHER_HEADS."""
    checks = ", ".join(f"{name} {count}" for name, count in sorted(j.checks.items(), key=lambda x: -x[1]))
    return (
        f"{j.kind:28s} | {j.rate_held:5.2f} {j.rate_error:5.2f} {j.said_bad:5.2f} {j.truly_bad:5.2f} {j.brier_skill:+6.2f} {j.f1:5.2f} | "
        f"{_of(j.odd_found):>8s} {_of(j.odd_false):>9s} {j.off_said:5.2f} {j.off_true:5.2f} {j.off_skill:+6.2f} | "
        f"{_of(j.two_found):>6s} {_of(j.two_false):>8s} | {j.drift_told:5.2f} {j.drift_held:5.2f} {j.drift_flagged:5.2f} | {j.checked:4.2f} {checks}"
    )


def _named(pair: tuple[str, float]) -> str:
    return f"{pair[0][:9]} {pair[1]:.2f}"


def _of(pair: tuple[int, int]) -> str:
    return f"{pair[0]}/{pair[1]}" if pair[1] else "-"


def report(judged: Sequence[Judged]) -> str:
    """Both tables, the mean of kinds, the worst kinds, and the dose curve."""
    lines = [
        CARRY_HEADS,
        *(carry_line(j) for j in judged),
        HELP,
        "",
        OTHER_HEADS,
        *(other_line(j) for j in judged),
        OTHER_HELP,
    ]
    some = [j for j in judged if np.isfinite(j.held)]
    return "\n".join([*lines, *_means(some), *_doses(some)])


def means(some: Sequence[Judged]) -> str:
    """The mean over kinds, as a line."""

    def mean(key: str) -> float:
        return float(np.nanmean([getattr(j, key) for j in some]))

    return (
        f"mean of {len(some)} kinds: held {mean('held'):.3f}, next {mean('next_held'):.3f}, another day {mean('another'):.3f}, its next "
        f"{mean('next_another'):.3f}, mishit rate {mean('rate_held'):.3f}, rmse over that of the median {mean('over_median'):.2f}, "
        f"of the mean {mean('over_mean'):.2f}"
    )


def _means(some: Sequence[Judged]) -> list[str]:
    if not some:
        return []
    lines = ["", means(some)]
    wanted = (
        ("stock held", "held"),
        ("next ball", "next_held"),
        ("another day", "another"),
        ("mishit rate", "rate_held"),
    )
    for what, key in wanted:
        worst = sorted((j for j in some if np.isfinite(getattr(j, key))), key=lambda j: getattr(j, key))[:6]
        lines.append(f"worst kinds, {what}: " + ", ".join(f"{j.kind} {getattr(j, key):.2f}" for j in worst))
    far = sorted(some, key=lambda j: -j.over_median)[:6]
    lines.append("worst kinds, rmse over the median's: " + ", ".join(f"{j.kind} {j.over_median:.2f}" for j in far))
    return lines


def _doses(some: Sequence[Judged]) -> list[str]:
    odd = [j for j in some if np.isfinite(j.odd_held)]
    if not odd:
        return []
    head = "\ncells put off the line, alone: held, mean error %, rms error yd of the chart and of the median of their balls, flagged"
    return [
        head,
        *(
            f"  {j.kind:26s} {j.odd_held:5.2f} {100 * j.odd_error:+6.1f} {j.odd_rms_yd:6.2f} {j.odd_median_rms_yd:6.2f} {_of(j.odd_found):>7s}"
            for j in odd
        ),
    ]
