"""The words that headings, marks and lines of a table are made of, in the languages of the trade.

Data, not code: add a word here and every layout knows it. All words are folded (NFKC, case, accents kept).
"""

from typing import Final

MEANS: Final = frozenset(
    (
        "average avg avg. ave mean means sum total totals std sd s.d. stdev st.dev. deviation spread min max median best "
        "mittelwert mittel durchschnitt schnitt summe gesamt streuung standardabweichung stdabw stabw ø "
        "moyenne moy moy. écart-type ecart-type écart somme total totaux médiane "
        "media promedio suma desviación totale totali somma deviazione mediana média soma desvio "
        "gemiddelde gemiddeld som totaal standaardafwijking spreiding medel medelvärde snitt summa standardavvikelse "
        "spridning 平均 平均値 標準偏差 合計 偏差 중앙값 평균 합계 표준편차 平均值 标准差 标准偏差 总计 range"
    ).split()
) | {"standard deviation", "st. dev.", "std dev", "std. dev.", "standard dev", "écart type", "desviación estándar",
     "desviación típica", "desv. est.", "deviazione standard", "dev. st.", "dev. std.", "desvio padrão", "grand total", "x̄", "σ", "∑", "std.avv.", "std.avv", "std avv", "std.abw.", "std.abw", "stand.abw.", "keskiarvo", "gjennomsnitt",
     "gennemsnit", "średnia", "průměr", "среднее", "ortalama", "átlag", "keskihajonta", "odchylenie",
     "shots in all", "balls in all"}  # fmt: skip

WARM_UP: Final = (
    "warm-up", "warm up", "warmup", "warming up", "loosener", "loosening", "aufwärm", "aufwaerm", "einschlag", "einspiel", "warmmachen", "échauffement", "echauffement",
    "chauffe", "calentamiento", "calentar", "riscaldamento", "riscald", "aquecimento", "opwarm", "warmslaan", "inslaan", "uppvärmning", "uppvarmning", "värm", "ウォームアップ", "ウォーミングアップ",
    "準備", "肩慣らし", "워밍업", "준비", "몸풀기", "热身", "热身球",
)  # fmt: skip
"""A note or mark that contains one of these says that a ball was hit to warm up."""

LEAVE_OUT: Final = (
    "leave out", "left out", "ignore", "do not use", "don't use", "not to be used", "discard", "exclude", "delete", "does not count", "doesn't count", "misread", "not counted",
    "nicht werten", "nicht verwenden", "ignorieren", "streichen", "nicht zählen", "zählt nicht", "weglassen", "ungültig", "ne pas compter", "ne pas utiliser", "à ignorer", "ignorer",
    "exclure", "no contar", "no usar", "ignorar", "descartar", "non usare", "non contare", "ignorare", "scartare", "não usar", "niet gebruiken", "niet meetellen", "negeren", "räknas inte",
    "använd inte", "ignorera", "räkna inte", "使わない", "除外", "無効", "제외", "사용 안 함", "不使用", "不计",
)  # fmt: skip

STRIKES: Final[dict[str, tuple[str, ...]]] = {
    "heavy": ("heavy", "bit heavy", "slightly fat", "little fat", "a little heavy", "bit fat", "etwas fett", "leicht fett", "un peu grasse", "un peu gras", "un poco pesada", "un po' grassa",
              "少しダフリ", "beetje vet", "lite tjock"),
    "fat": ("fat", "chunk", "chunked", "duff", "duffed", "fett", "dick", "gras", "grasse", "gratte", "grattée", "gorda", "pesada", "pesante", "grassa", "flaccata", "vet", "tjock", "duffad", "ダフリ", "ダフ",
            "뒤땅", "打厚", "厚"),
    "thin": ("thin", "thinned", "skull", "skulled", "bladed", "topped", "top", "dünn", "getoppt", "fine", "mince", "topée", "topé", "top é", "fina", "topada", "filo", "filosa", "sottile", "toppata", "dun",
             "getopt", "tunn", "toppad", "トップ", "탑핑", "토핑", "打薄", "薄"),
    "toe": ("toe", "spitze", "pointe", "punta", "teen", "tå", "トウ", "トゥ", "토우", "趾部"),
    "heel": ("heel", "shank", "shanked", "socket", "ferse", "hacke", "talon", "socket", "talón", "tacco", "hiel", "häl", "ヒール", "シャンク", "힐", "생크", "跟部"),
    "good": ("good", "pure", "clean", "gut", "sauber", "bien", "pure", "bonne", "buena", "limpia", "buona", "pulita", "goed", "bra", "ren", "良い", "ナイス", "good strike", "굿", "好"),
}  # fmt: skip
"""What a note says about the contact; longest word first when looked for."""

LEFT: Final = ("left", "l", "links", "li", "gauche", "g", "gau", "izquierda", "izq", "izq.", "i", "sinistra", "sx", "sin", "sin.", "s", "esquerda", "esq", "e", "vänster", "v", "vä", "左", "왼쪽", "좌")  # fmt: skip
RIGHT: Final = ("right", "r", "rechts", "re", "droite", "d", "dr", "dro", "derecha", "der", "der.", "destra", "dx", "des", "des.", "direita", "dir", "höger", "h", "hö", "右", "오른쪽", "우")  # fmt: skip

YES: Final = frozenset(
    "1 1.0 x y yes ja j oui o sí si s true wahr vrai verdadero vero verdadeiro waar sant ok ✓ ✔ + × ✗ ○ ◯ はい 有 예 네 是 使用 有効 used keep use".split()
)
NO: Final = frozenset("0 0.0 n no nein non não nee nej false falsch faux falso onwaar falskt - – — × ✗ ✘ いいえ 無 아니오 아니요 否 不 無効 除外 drop".split())  # fmt: skip

MISSING: Final = frozenset("- – — -- --- n/a n.a. na nan null none ? . .. / k.a. k.a nd n.d. s.o. ns なし 無し 없음 无 #n/a #n/d #nv #value! #div/0! #ref! #num! ***".split()) | {""}  # fmt: skip

DEFAULT_SHEETS: Final = ("sheet", "tabelle", "blatt", "feuil", "feuille", "hoja", "foglio", "planilha", "blad", "ark", "シート", "시트", "工作表", "data", "daten", "données", "datos", "dati", "dados",
                         "gegevens", "balls", "bälle", "balles", "bolas", "palle", "ballen", "bollar", "session", "shots", "データ", "球", "table", "export", "raw")  # fmt: skip

UNIT_CONTEXT: Final = (
    "distance", "distances", "unit", "units", "length", "lengths", "all in", "carry", "einheit", "einheiten", "entfernung", "entfernungen", "distanz", "distanzen", "längen", "weiten", "angaben", "unité",
    "unités", "longueurs", "unidad", "unidades", "distancia", "distancias", "unità", "distanza", "distanze", "misure", "distância", "distâncias", "eenheid", "eenheden", "afstand", "afstanden", "enhet", "enheter",
    "avstånd", "längder", "distanser", "単位", "距離", "단위", "거리", "单位", "距离", "values", "numbers", "measured", "gemessen", "werte", "mesures", "medidas", "maße", "mått", "maten",
)  # fmt: skip

BALL_WORDS: Final = ("ball", "balle", "bola", "palla", "pallina", "bal", "boll", "shot", "schlag", "coup", "golpe", "colpo", "slag", "try", "球", "ボール", "볼", "공", "打", "ショット", "샷", "versuch",
                     "essai", "tiro", "nr", "no", "n", "#", "b", "s")  # fmt: skip
