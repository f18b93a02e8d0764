"""More coaches abroad, in other scripts, and the first of those with a spreadsheet."""

from random import Random

from worlds.foreign_pages import Page, hits, person, q

ARABIC = str.maketrans("0123456789.", "٠١٢٣٤٥٦٧٨٩٫")
WIDE = str.maketrans("0123456789.", "０１２３４５６７８９．")


@person("f13")
def japanese_coach(rng: Random) -> Page:
    p = Page(
        form="xlsx",
        ending="xlsx",
        features=("Japanese", "a sheet for each club", "total before the landing"),
        may_ask=("club", "swing", "sheet"),
        answers={"carry": "4"},
    )
    shots = hits(rng, [48, 54, 58], 3, 5, 29)
    for c, loft in enumerate((48, 54, 58)):
        p.new_sheet(f"{loft}度")
        p.row("番号", "振り幅", "止まった所（m）", "落ちた所（m）", "球速（m/s）")
        for i, s in enumerate([s for s in shots if s.club == c]):
            swing, carry, speed = ("腰", "胸", "肩")[s.swing], q(s.carry_m), q(s.ball_ms)
            p.ball(
                i + 1,
                swing,
                q(s.total_m),
                carry,
                speed,
                club=f"{loft}度",
                loft=float(loft),
                swing=swing,
                carry=carry,
                speed=speed,
                also={"club": str(loft)},
            )
    return p


@person("f14")
def korean_coach(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        encoding="cp949",
        newline="\r\n",
        features=("Korean", "cp949", "club speed and target before the landing"),
        may_ask=("club", "swing", "carry"),
        answers={"carry": "6"},
    )
    p.row("번호", "클럽", "스윙", "헤드 속도(m/s)", "목표(m)", "떨어진 곳(m)", "굴러서(m)")
    for i, s in enumerate(hits(rng, [50, 54, 58], 3, 4, 31)):
        club, swing, carry = f"{int(s.loft_deg)}도", ("허리", "가슴", "어깨")[s.swing], q(s.carry_m)
        p.ball(
            i + 1,
            club,
            swing,
            q(s.club_ms),
            5 * round(s.carry_m / 5),
            carry,
            q(s.total_m),
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
            also={"club": f"{int(s.loft_deg)}"},
        )
    return p


@person("f15")
def chinese_coach(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        encoding="gb18030",
        features=("Chinese", "gb18030", "yards as a Chinese word", "left and right as words"),
        may_ask=("club", "swing"),
        answers={"carry": "4", "unit": "yd"},
    )
    p.row("球杆", "挥杆", "总距离（码）", "落点（码）", "偏差（码）", "后旋（转/分）")
    for s in hits(rng, [52, 56, 60], 3, 5, 30):
        club, swing = f"{int(s.loft_deg)}度", ("小", "中", "大")[s.swing]
        carry, off, spin = q(s.carry_m, "yd"), q(s.offline_m, "yd"), q(s.spin_rpm, "", 0)
        side = f"{'右' if off.value > 0 else '左'}{abs(off.value):.1f}" if off.value else "0.0"
        p.ball(
            club,
            swing,
            q(s.total_m, "yd"),
            carry,
            side,
            spin,
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
            off=off,
            spin=spin,
            also={"club": f"{int(s.loft_deg)}"},
        )
    return p


@person("f16")
def arabic_coach(rng: Random) -> Page:
    p = Page(
        features=("Arabic", "Arabic digits and decimal mark", "target before the flight"),
        may_ask=("club", "swing", "carry", "unit", "decimal"),
        answers={"carry": "4", "unit": "m"},
    )
    p.row("المضرب", "الأرجحة", "الهدف (متر)", "مسافة الطيران (متر)", "مع التدحرج (متر)")
    for s in hits(rng, [50, 56, 60], 2, 6, 29):
        carry, club = q(s.carry_m), str(int(s.loft_deg))
        swing = ("الخصر", "الصدر")[s.swing]
        cells = [
            str(t).translate(ARABIC)
            for t in (club, swing, 5 * round(s.carry_m / 5), p.text(carry), p.text(q(s.total_m)))
        ]
        p.ball(*cells, club=cells[0], loft=s.loft_deg, swing=swing, carry=carry, also={"club": club})
    return p


@person("f17")
def hindi_coach(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("Hindi", "unit as a Hindi word", "serial number first"),
        may_ask=("club", "swing", "carry", "unit"),
        answers={"carry": "4", "unit": "m"},
    )
    p.say("सभी दूरियाँ मीटर में")
    p.row("क्रम", "क्लब", "स्विंग", "हवा में दूरी", "कुल दूरी")
    for i, s in enumerate(hits(rng, [52, 58], 3, 6, 30)):
        club, swing, carry = f"{int(s.loft_deg)}", ("कमर", "छाती", "कंधा")[s.swing], q(s.carry_m)
        p.ball(i + 1, club, swing, carry, q(s.total_m), club=club, loft=s.loft_deg, swing=swing, carry=carry)
    return p


@person("f18")
def full_width(rng: Random) -> Page:
    p = Page(
        delimiter="\t",
        ending="tsv",
        encoding="utf-16",
        features=("Japanese", "full-width digits", "utf-16"),
        may_ask=("club", "swing"),
        answers={"carry": "4"},
    )
    p.row("選手", "クラブ", "スイング", "着地（ヤード）")
    for name in ("夏木 そら", "灯台 りく"):
        for s in hits(rng, [50, 58], 2, 5, 27, name):
            club, swing, carry = f"{int(s.loft_deg)}".translate(WIDE), ("半分", "四分の三")[s.swing], q(s.carry_m, "yd")
            p.ball(
                name,
                club,
                swing,
                p.text(carry).translate(WIDE),
                player=name,
                club=club,
                loft=s.loft_deg,
                swing=swing,
                carry=carry,
            )
    return p


@person("f19")
def colours(rng: Random) -> Page:
    p = Page(
        form="xlsx",
        ending="xlsx",
        features=("parent's spreadsheet", "clubs as colours in words", "legend beside the table"),
        may_ask=("club", "swing"),
        answers={"carry": "3"},
    )
    p.new_sheet("Saturday")
    p.row("Grip", "How far back", "Flew (yd)", "", "green = 54", "")
    first = True
    for s in hits(rng, [50, 54, 58], 3, 4, 26):
        club, swing, carry = (
            ("red", "green", "blue")[s.club],
            ("little", "middle", "big")[s.swing],
            q(s.carry_m, "yd", 0),
        )
        legend = "red = 50" if first else "blue = 58" if len(p.rows) == 2 else ""
        first = False
        p.ball(
            club,
            swing,
            carry,
            "",
            legend,
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
            also={"club": [f"{int(s.loft_deg)}"], "loft_deg": [None]},
        )
    return p


@person("f20")
def nested_pivot(rng: Random) -> Page:
    p = Page(
        form="xlsx",
        ending="xlsx",
        features=("pivot: clubs and swings nested in one column, players across", "grand totals at the edges"),
        may_ask=("club", "swing", "player", "carry", "rows", "unit"),
        loose=True,
        answers={"unit": "m"},
    )
    p.new_sheet("Pivot")
    p.row("Middle of pile (m)", "Players")
    names = ("Ottilie", "Brannock", "Sefa")
    p.row("Shot", *names, "All")
    piles = {n: hits(rng, [52, 58], 3, 1, rng.uniform(25, 32), n, mishits=0) for n in names}
    for c, loft in enumerate((52, 58)):
        p.row(
            str(loft),
            *[q(sum(s.carry_m for s in piles[n] if s.club == c) / 3) for n in names],
            q(sum(s.carry_m for n in names for s in piles[n] if s.club == c) / 9),
        )
        for w, swing in enumerate(("low", "mid", "high")):
            own = [q(next(s.carry_m for s in piles[n] if (s.club, s.swing) == (c, w))) for n in names]
            row = p.row("   " + swing, *own, q(sum(x.value for x in own) / 3))
            for k, n in enumerate(names):
                p.mark_ball(row, k + 2, player=n, club=str(loft), loft=float(loft), swing=swing, carry=own[k])
    p.row(
        "All",
        *[q(sum(s.carry_m for s in piles[n]) / 6) for n in names],
        q(sum(s.carry_m for n in names for s in piles[n]) / 18),
    )
    return p


@person("f21")
def shot_per_column(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("turned on its side: a column for each ball", "loft and ball speed rows before the landing row"),
        may_ask=("club", "swing", "carry"),
        loose=True,
    )
    shots = hits(rng, [50, 56], 2, 5, 30)
    carries, speeds = [q(s.carry_m) for s in shots], [q(s.ball_ms) for s in shots]
    swing = [("nine", "ten")[s.swing] for s in shots]
    p.row("shot", *range(1, len(shots) + 1))
    p.row("loft", *[int(s.loft_deg) for s in shots])
    p.row("arm", *swing)
    p.row("speed of ball m/s", *speeds)
    row = p.row("came down at m", *carries)
    p.row("came to rest m", *[q(s.total_m) for s in shots])
    for i, s in enumerate(shots):
        p.mark_ball(
            row, i + 2, club=f"{int(s.loft_deg)}", loft=s.loft_deg, swing=swing[i], carry=carries[i], speed=speeds[i]
        )
    return p


@person("f22")
def blocks_beside(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("three clubs side by side", "unit only in a note under the table"),
        may_ask=("club", "swing", "carry"),
        loose=True,
        answers={"unit": "yd"},
    )
    lofts, shots = (50, 54, 58), hits(rng, [50, 54, 58], 3, 4, 29, mishits=0)
    p.row("50 degree", "", "", "54 degree", "", "", "58 degree", "")
    p.row(*["swing", "in the air", ""] * 2, "swing", "in the air")
    blocks = [[s for s in shots if s.club == c] for c in range(3)]
    for n in range(12):
        cells: list = []
        for c in range(3):
            s = blocks[c][n]
            cells += [("pocket", "rib", "collar")[s.swing], q(s.carry_m, "yd"), ""]
        row = p.row(*cells[:-1])
        for c in range(3):
            s = blocks[c][n]
            p.mark_ball(
                row,
                3 * c + 2,
                club=f"{lofts[c]} degree",
                loft=s.loft_deg,
                swing=("pocket", "rib", "collar")[s.swing],
                carry=q(s.carry_m, "yd"),
                also={"club": str(lofts[c])},
            )
    p.say("", "all numbers yards")
    return p


@person("f23")
def blocks_below(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("a block for each club and swing, title lines, repeated headings"),
        may_ask=("club", "swing", "carry"),
        answers={"carry": "2"},
    )
    p.features = ("a block for each club and swing, title lines, repeated headings",)
    shots = hits(rng, [52, 60], 2, 6, 30)
    for c, loft in enumerate((52, 60)):
        for w, swing in enumerate(("half", "three-quarter")):
            p.row(f"{loft} / {swing}", "", "")
            p.row("ball", "landed (m)", "left(-) right(+) (m)")
            for i, s in enumerate([s for s in shots if (s.club, s.swing) == (c, w)]):
                carry, off = q(s.carry_m), q(s.offline_m)
                p.ball(i + 1, carry, off, club=str(loft), loft=float(loft), swing=swing, carry=carry, off=off)
            p.row("", "", "")
    return p


@person("f24")
def diary(rng: Random) -> Page:
    p = Page(
        form="raw",
        ending="txt",
        features=("junior's diary, prose with dates and weather", "yards in the first sentence"),
        may_ask=("club", "swing", "rows", "unit", "player"),
        loose=True,
        answers={"unit": "yd"},
    )
    p.say("My wedge diary by Fenella. Everything is in yards where it landed.", "")
    for day, weather, loft in (
        ("Monday 4 May", "windy, 11 degrees", 56),
        ("Thursday 7 May", "no wind, 18 degrees", 52),
    ):
        p.say(f"{day}, {weather}. 2 buckets.")
        shots = hits(rng, [loft], 2, 7, 25)
        for w, swing in enumerate(("small", "big")):
            own = [s for s in shots if s.swing == w]
            p.rows.append(f"{loft} {swing}: " + ", ".join(f"{s.carry_m / 0.9144:.0f}" for s in own))
            for s in own:
                p.mark_ball(len(p.rows), club=str(loft), loft=float(loft), swing=swing, carry=q(s.carry_m, "yd", 0))
        p.say("Mum says 8 out of 10 today.", "")
    return p
