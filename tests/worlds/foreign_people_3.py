"""English speakers with their own ideas of a table, and the decoys that stand before the real carry."""

from random import Random

from worlds.foreign_pages import Page, hits, person, q


@person("f25")
def logbook(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("logbook: a row a ball with date, weather, heart rate and price before the landing", "yards"),
        may_ask=("carry", "club", "swing"),
        answers={"carry": "9"},
    )
    p.row("date", "sky", "temp C", "wind m/s", "pulse", "bucket price", "wedge", "reach", "landed (yd)", "feel 1-10")
    for day, sky, temp, wind, price in (
        ("2026-04-11", "rain", 8, 5, "6.50"),
        ("2026-04-18", "sun", 14, 2, "6.50"),
        ("2026-04-25", "cloud", 12, 3, "7.00"),
    ):
        for s in hits(rng, [52, 56], 2, 4, 30):
            club, swing, carry = f"{int(s.loft_deg)}", ("belt", "badge")[s.swing], q(s.carry_m, "yd", 0)
            p.ball(
                day,
                sky,
                temp,
                wind,
                rng.randint(80, 120),
                price,
                club,
                swing,
                carry,
                rng.randint(3, 9),
                club=club,
                loft=s.loft_deg,
                swing=swing,
                carry=carry,
            )
    return p


@person("f26")
def many_decoys(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("decoys before the carry: rank, target carry, last carry, carry deviation", "carry written plainly"),
        may_ask=("swing",),
        answers={"carry": "8"},
    )
    p.row("No", "Club", "Swing", "Carry rank", "Target carry (m)", "Last carry (m)", "Carry dev. (m)", "Carry (m)")
    shots = hits(rng, [50, 54, 58], 3, 4, 30)
    order = sorted(range(len(shots)), key=lambda i: -shots[i].carry_m)
    for i, s in enumerate(shots):
        club, swing, carry, goal = (
            f"{int(s.loft_deg)}",
            ("waist", "chest", "shoulder")[s.swing],
            q(s.carry_m),
            5 * round(s.carry_m / 5),
        )
        p.ball(
            i + 1,
            club,
            swing,
            order.index(i) + 1,
            goal,
            q(shots[i - 1].carry_m) if i else None,
            q(carry.value - goal),
            carry,
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
        )
    return p


@person("f27")
def lateral_carry(rng: Random) -> Page:
    p = Page(
        delimiter=";",
        features=("side headed with the word for carry, before the carry", "Amount is the swing"),
        may_ask=("swing", "offline"),
        answers={"carry": "4", "swing": "2", "right": "+"},
    )
    p.row("Wedge", "Amount", "Carry lateral (m)", "Carry (m)")
    for s in hits(rng, [54, 58], 3, 5, 29):
        club, swing, off, carry = f"{int(s.loft_deg)}", ("25 %", "50 %", "75 %")[s.swing], q(s.offline_m), q(s.carry_m)
        p.ball(club, swing, off, carry, club=club, loft=s.loft_deg, swing=swing, off=off, carry=carry)
    return p


@person("f28")
def junior_without_unit(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("junior", "how far", "no unit anywhere"),
        ambiguous="unit",
        doubtful=("carry_m",),
        may_ask=("carry", "swing", "club"),
        answers={"unit": "yd", "carry": "3"},
    )
    p.row("club", "swing", "how far", "was it good?")
    for s in hits(rng, [50, 56], 2, 6, 22):
        club, swing, carry = f"{int(s.loft_deg)}", ("small one", "bigger one")[s.swing], q(s.carry_m, "yd", 0)
        p.ball(
            club,
            swing,
            carry,
            "no" if s.strike else rng.choice(("yes", "ok", "yes!!")),
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
        )
    return p


@person("f29")
def letters_for_headings(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("headings of one letter with a legend under the table", "T before C"),
        may_ask=("carry", "club", "swing", "unit"),
        answers={"carry": "4", "unit": "m"},
    )
    p.row("K", "S", "T", "C", "B")
    for s in hits(rng, [50, 54, 58], 3, 4, 31):
        club, swing, carry, speed = f"{int(s.loft_deg)}", str(s.swing + 1), q(s.carry_m), q(s.ball_ms)
        label = ("waist", "chest", "shoulder")[s.swing]
        p.ball(
            club,
            swing,
            q(s.total_m),
            carry,
            speed,
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
            speed=speed,
            also={"swing": label},
        )
    p.say(
        "",
        "K = wedge, S = swing (1 waist, 2 chest, 3 shoulder)",
        "T = where it stopped, C = where it came down, both metres",
        "B = speed of the ball in m/s",
    )
    return p


@person("f30")
def totals_only(rng: Random) -> Page:
    p = Page(
        delimiter=",", features=("only where the balls came to rest",), refuse=True, may_ask=("carry", "club", "swing")
    )
    p.row("wedge", "swing", "came to rest after the roll (m)")
    for s in hits(rng, [52, 58], 2, 5, 30):
        p.row(int(s.loft_deg), ("half", "full")[s.swing], q(s.total_m))
    return p


@person("f31")
def two_distances(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("two distances that could both be the carry: laser and paces",),
        ambiguous="carry",
        doubtful=("carry_m",),
        may_ask=("club", "swing"),
        answers={"carry": "3"},
    )
    p.row("wedge", "swing", "dist A (m)", "dist B (m)")
    for s in hits(rng, [50, 54, 58], 2, 5, 30):
        club, swing, carry = f"{int(s.loft_deg)}", ("hip", "rib")[s.swing], q(s.carry_m)
        p.ball(
            club, swing, carry, q(s.carry_m * rng.gauss(1, 0.03)), club=club, loft=s.loft_deg, swing=swing, carry=carry
        )
    return p


@person("f32")
def feet_and_inches(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("grandfather with a tape: feet and inches",),
        may_ask=("carry", "club", "swing"),
        answers={"carry": "3"},
    )
    p.row("Iron", "Swing", "Pitched at", "Stopped at")
    inches = lambda m: round(m / 0.0254)  # noqa: E731
    for s in hits(rng, [52, 60], 2, 6, 24):
        club, swing, n, t = f"{int(s.loft_deg)}", ("short", "long")[s.swing], inches(s.carry_m), inches(s.total_m)
        p.ball(
            club,
            swing,
            f"{n // 12}' {n % 12}\"",
            f"{t // 12}' {t % 12}\"",
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=round(n * 0.0254, 5),
        )
    return p
