"""The words that headings, marks and lines of a table are made of, in the languages of the trade.

Data, not code: add a word here and every layout knows it. All words are folded (NFKC, case, accents kept).
"""

from typing import Final

ROLES: Final[dict[str, tuple[str, ...]]] = {
    "carry": (
        "carry", "carry distance", "carry length", "carry dist", "carry yards", "carries", "flight distance", "flight length",
        "distance carried", "carried", "ball carry", "carry m", "landing distance", "distance to landing", "air distance",
        "carryweite", "carry weite", "carrydistanz", "carry-distanz", "carrylänge", "carry-länge", "flugweite", "fluglänge",
        "flugdistanz", "schlagweite carry", "portée", "portee", "distance de vol", "distance carry", "vol", "distance au vol",
        "carry distancia", "vuelo", "distancia de vuelo", "longitud de vuelo", "distancia carry", "alcance", "volo",
        "distanza di volo", "lunghezza di volo", "distanza carry", "volo palla", "distancia de voo", "voo", "draagafstand",
        "carry afstand", "carryafstand", "vlucht", "vluchtafstand", "carrylängd", "carry-längd", "carrylangd", "flyglängd",
        "bärlängd", "carry längd", "carrydistans", "kantama", "キャリー", "キャリー距離", "飛行距離", "キャリー飛距離", "캐리",
        "캐리 거리", "비거리(캐리)", "캐리거리", "落点距离", "飞行距离", "空中距离", "carry距离",
    ),
    "distance": (
        "distance", "dist", "length", "yards", "yardage", "metres", "meters", "distanz", "weite", "länge", "entfernung",
        "distancia", "longitud", "distanza", "lunghezza", "distância", "afstand", "distans", "längd", "距離", "飛距離", "거리",
        "비거리", "距离",
    ),
    "total": (
        "total", "total distance", "total length", "total dist", "overall", "rest distance", "end distance", "with roll", "carry + roll",
        "carry and roll", "carry+run", "final distance", "rest", "gesamt", "gesamtweite", "gesamtlänge", "gesamtdistanz", "totale",
        "gesamtstrecke", "total distanz", "distance totale", "longueur totale", "distancia total", "longitud total", "distanza totale",
        "lunghezza totale", "distância total", "totaal", "totale afstand", "totaalafstand", "totalt", "totallängd", "total längd",
        "totaldistans", "合計", "トータル", "総距離", "トータル距離", "토탈", "총거리", "총 거리", "总距离", "总距",
    ),
    "target": (
        "target", "target carry", "target distance", "aim", "goal", "called", "wanted", "intended", "planned carry", "goal carry", "flag",
        "carry target", "ziel", "zielweite", "ziel carry", "ziel-carry", "zielcarry", "zieldistanz", "soll", "soll-carry", "sollcarry",
        "sollweite", "carry ziel", "carry soll", "cible", "portée visée", "portée cible", "distance visée", "objectif", "visée",
        "objetivo", "carry objetivo", "vuelo objetivo", "distancia objetivo", "meta", "obiettivo", "carry obiettivo", "volo obiettivo",
        "bersaglio", "volo previsto", "alvo", "carry alvo", "doel", "doelafstand", "doel carry", "doelcarry", "mål", "målcarry",
        "mål carry", "mållängd", "目標", "目標キャリー", "ターゲット", "狙い", "목표", "목표 캐리", "目标", "目标距离",
    ),
    "deviation": (
        "deviation", "carry deviation", "carry dev", "carry error", "error", "difference", "carry difference", "diff", "dev", "delta", "carry diff",
        "distance error", "from mean", "off mean", "carry minus mean", "to mean", "miss", "carry off target", "abweichung", "carry-abweichung",
        "carryabweichung", "abweichung carry", "differenz", "carry differenz", "écart", "ecart", "écart portée", "écart de portée",
        "écart à la moyenne", "différence", "écart carry", "desviación", "desviación carry", "desviación de vuelo", "diferencia", "desvío",
        "deviazione", "scarto", "scarto carry", "scarto volo", "scarto di volo", "differenza", "desvio", "desvio carry", "diferença",
        "afwijking", "carry afwijking", "carryafwijking", "verschil", "avvikelse", "carryavvikelse", "carry avvikelse", "skillnad",
        "キャリー差", "偏差", "キャリー偏差", "差", "편차", "캐리 편차", "차이", "偏离", "差值", "落点偏差",
    ),
    "average": (
        "average", "avg", "mean", "carry average", "average carry", "mean carry", "carry mean", "avg carry", "ave", "mittelwert", "mittel",
        "durchschnitt", "carry mittelwert", "carry mittel", "schnitt", "ø", "ø carry", "moyenne", "portée moyenne", "moy", "moy.", "media", "media carry",
        "promedio", "vuelo medio", "carry medio", "volo medio", "média", "gemiddelde", "gemiddeld", "medel", "medelvärde", "snitt", "平均",
        "平均キャリー", "キャリー平均", "평균", "平均值", "spread", "sd", "std", "stdev", "best", "longest", "shortest", "min", "max", "median",
        "streuung", "écart-type", "sum", "summe",
    ),
    "offline": (
        "offline", "off line", "off-line", "side", "side carry", "carry side", "lateral", "lateral deviation", "lateral miss", "sideways", "left/right",
        "l/r", "right/left", "r/l", "off target", "direction miss", "line", "dispersion", "side distance", "sideline", "from line", "cross", "seite",
        "seitlich", "seitenabweichung", "seitliche abweichung", "seitabweichung", "seitversatz", "seitenversatz", "links/rechts", "querabweichung",
        "richtung", "latéral", "lateral", "latérale", "écart latéral", "déviation latérale", "côté", "déviation", "dispersion latérale", "gauche/droite",
        "g/d", "ecart lateral", "desviación lateral", "lado", "izq/der", "izquierda/derecha", "lateralidad", "laterale", "deviazione laterale",
        "scarto laterale", "lato", "sx/dx", "sinistra/destra", "desvio lateral", "esquerda/direita", "zijwaarts", "zijafwijking", "zijdelings",
        "zijdelingse afwijking", "zijkant", "zij", "sidled", "sida", "sidavvikelse", "sidoavvikelse", "i sidled", "sidledes", "vänster/höger", "v/h",
        "左右", "左右ずれ", "サイド", "横ずれ", "左右ブレ", "ブレ", "左右差", "좌우", "좌우 편차", "사이드", "左右偏差", "侧偏", "横向偏差", "偏移",
    ),
    "side_word": (
        "side l/r", "which side", "direction", "side of line", "dir", "left or right", "seite l/r", "sens", "dirección", "direzione", "riktning",
        "方向", "방향",
    ),
    "ball_speed": (
        "ball speed", "ballspeed", "ball velocity", "speed ball", "speed of ball", "bs", "speed off the face", "launch speed", "initial speed",
        "ballgeschwindigkeit", "ballgeschw", "ballgeschw.", "ballgeschwind.", "balltempo", "ball-geschwindigkeit", "geschwindigkeit ball",
        "startgeschwindigkeit", "vitesse balle", "vitesse de balle", "vitesse de la balle", "vit. balle", "v. balle", "velocidad bola",
        "velocidad de bola", "velocidad de la bola", "vel. bola", "velocidad pelota", "velocità palla", "velocità della palla", "vel. palla",
        "velocità pallina", "velocidade da bola", "velocidade bola", "vel. da bola", "balsnelheid", "bal snelheid", "snelheid bal", "bollhastighet",
        "boll hastighet", "bollfart", "ボール速度", "ボールスピード", "ボール初速", "初速", "볼 스피드", "볼스피드", "볼 속도", "공 속도", "球速", "初速度",
    ),
    "club_speed": (
        "club speed", "clubhead speed", "club head speed", "head speed", "swing speed", "clubspeed", "speed club", "cs", "schlägergeschwindigkeit",
        "schlägergeschw", "schlägergeschw.", "schlägerkopfgeschwindigkeit", "kopfgeschwindigkeit", "schlägertempo", "schwunggeschwindigkeit",
        "vitesse club", "vitesse de club", "vitesse du club", "vit. club", "vitesse tête de club", "velocidad palo", "velocidad del palo",
        "vel. palo", "velocidad de palo", "velocità bastone", "velocità del bastone", "vel. bastone", "velocità testa", "velocidade do taco",
        "velocidade taco", "clubsnelheid", "clubhoofdsnelheid", "snelheid club", "club snelheid", "klubbhastighet", "klubb hastighet",
        "klubbhuvudhastighet", "klubbfart", "ヘッドスピード", "クラブ速度", "クラブスピード", "ヘッド速度", "헤드 스피드", "헤드스피드", "클럽 스피드", "클럽 속도",
        "杆头速度", "杆速",
    ),
    "launch": (
        "launch", "launch angle", "vertical launch", "start angle", "takeoff angle", "take-off angle", "vertical angle", "la", "vla", "launch deg",
        "startwinkel", "abflugwinkel", "start winkel", "abgangswinkel", "höhenwinkel", "angle de lancement", "angle de départ", "angle lancement",
        "angle d'envol", "angle de décollage", "angle départ", "lancement", "ángulo de salida", "ángulo de lanzamiento", "angulo de salida", "salida",
        "áng. salida", "lanzamiento", "angolo di lancio", "angolo lancio", "angolo di partenza", "ang. lancio", "lancio", "ângulo de lançamento",
        "ângulo de saída", "lanceerhoek", "starthoek", "vertrekhoek", "lancering", "utgångsvinkel", "startvinkel", "launchvinkel", "打ち出し角",
        "打出角", "打ち出し角度", "打出し角", "発射角", "발사각", "런치 각도", "론치 앵글", "발사 각도", "起飞角", "发射角", "起飞角度",
    ),
    "spin": (
        "spin", "backspin", "back spin", "spin rate", "backspin rate", "total spin", "spinrate", "rpm", "spin rpm", "rückwärtsdrall", "backspinrate",
        "drall", "rückdrall", "spin-rate", "effet", "rétro", "effet rétro", "effet arrière", "rotation", "spin arrière", "rétro-effet", "efecto",
        "retroceso", "efecto de retroceso", "giro", "efecto atrás", "rotazione", "effetto", "rotazione indietro", "retrospin", "backspin giri",
        "efeito", "rotação", "rotatie", "terugspin", "achterwaartse spin", "bakspinn", "baksnurr", "bakåtspinn", "spinn", "rotation bakåt",
        "バックスピン", "スピン", "スピン量", "バックスピン量", "回転数", "백스핀", "스핀", "스핀량", "后旋", "倒旋", "旋转", "转速", "后旋转速",
    ),
    "spin_axis": ("spin axis", "axis", "spinachse", "axe de spin", "axe", "eje de giro", "asse di spin", "asse", "スピン軸", "스핀축", "旋转轴"),
    "height": (
        "height", "apex", "max height", "peak height", "peak", "top height", "höhe", "flughöhe", "scheitelhöhe", "max. höhe", "scheitel", "hauteur",
        "hauteur max", "flèche", "apogée", "sommet", "altura", "altura máxima", "ápice", "altezza", "altezza massima", "apice", "hoogte",
        "max hoogte", "piekhoogte", "höjd", "maxhöjd", "apexhöjd", "topphöjd", "高さ", "最高点", "打ち出し高さ", "최고점", "높이", "高度", "最高高度",
    ),
    "descent": ("descent", "descent angle", "landing angle", "land angle", "landewinkel", "einfallswinkel", "angle d'atterrissage", "angle de descente",
                "angle de chute", "ángulo de caída", "ángulo de descenso", "angolo di discesa", "angolo di atterraggio", "landingshoek",
                "daalhoek", "landningsvinkel", "落下角", "落下角度", "낙하각", "落地角"),
    "time": ("hang time", "flight time", "time in air", "time", "clock", "zeit", "flugzeit", "uhrzeit", "temps de vol", "heure", "temps", "tiempo de vuelo", "hora", "tempo di volo", "ora",
             "vliegtijd", "tijd", "flygtid", "tid", "滞空時間", "時刻", "체공 시간", "시간", "滞空时间", "时间"),
    "ratio": ("smash", "smash factor", "ratio", "efficiency", "strike ratio", "effizienz", "efficacité", "eficiencia", "efficienza", "ミート率"),
    "roll": ("roll", "run", "run-out", "runout", "roll out", "bounce and roll", "auslauf", "rollen", "roule", "rodada", "rotolo", "uitrol", "rull", "ラン", "런", "滚动"),
    "wind": ("wind", "vent", "viento", "vento", "vind", "風", "temp", "temperature", "temperatur", "température", "ball type", "surface", "lie"),
    "attack": ("attack angle", "angle of attack", "path", "club path", "face", "face angle", "dynamic loft", "azimuth", "launch direction",
               "start direction", "eintreffwinkel", "startrichtung", "angle d'attaque", "入射角", "direction de départ", "dirección de salida"),
    "club": (
        "club", "clubs", "wedge", "wedges", "club used", "stick", "which club", "club name", "iron", "schläger", "wedge / schläger", "schlager", "club utilisé", "canne",
        "fer", "palo", "palos", "bastone", "bastoni", "ferro", "taco", "clubs", "klubba", "klubb", "クラブ", "番手", "使用クラブ", "ウェッジ", "클럽", "채", "웨지",
        "球杆", "杆", "挖起杆",
    ),
    "loft": ("loft", "loft angle", "club loft", "loft deg", "ロフト", "로프트", "杆面角"),
    "swing": (
        "swing", "swing length", "length of swing", "swing type", "backswing", "how far back", "swing size", "swing name", "feel", "hands to", "hands", "back to", "position",
        "schwung", "schwunglänge", "ausholung", "rückschwung", "schwungweite", "ausholbewegung", "amplitude", "longueur de swing", "longueur du swing", "élan",
        "mouvement", "type de swing", "amplitude du swing", "longitud de swing", "largo de swing", "tipo de swing", "amplitud", "recorrido", "ampiezza",
        "lunghezza swing", "lunghezza dello swing", "ampiezza swing", "tipo swing", "amplitude do swing", "tamanho do swing", "swinglengte", "lengte swing",
        "slag", "zwaai", "zwaailengte", "svinglängd", "sving", "svingens längd", "swinglängd", "スイング", "スイング幅", "振り幅", "ふり幅", "スイングの大きさ", "스윙",
        "스윙 크기", "스윙크기", "挥杆", "挥杆幅度", "挥幅",
    ),
    "shot_label": ("shot", "stroke", "shot name", "club and swing", "club / swing", "club/swing", "club & swing", "shot type", "schlag", "coup", "golpe", "colpo", "tacada",
                   "ショット", "샷", "击球", "schläger / schwung", "schläger/schwung", "club et swing", "palo y swing", "bastone e swing"),
    "player": (
        "player", "name", "golfer", "player name", "who", "pupil", "student", "client", "hitter", "spieler", "spielerin", "schüler", "teilnehmer", "spielername",
        "joueur", "joueuse", "nom", "élève", "nom du joueur", "jugador", "jugadora", "nombre", "alumno", "giocatore", "giocatrice", "nome", "allievo", "jogador",
        "speler", "naam", "speelster", "leerling", "spelare", "namn", "elev", "選手", "選手名", "氏名", "名前", "プレーヤー", "プレイヤー", "선수", "이름", "선수명", "球员", "姓名", "选手",
    ),
    "number": (
        "#", "no", "no.", "nr", "nr.", "n°", "nº", "n.", "num", "number", "ball", "ball no", "ball no.", "ball number", "ball #", "shot no", "shot no.", "shot number",
        "shot #", "id", "index", "row", "seq", "sequence", "order", "nummer", "lfd. nr.", "lfd nr", "ball nr", "ball nr.", "ballnummer", "schlag nr.", "schlag nr",
        "numéro", "balle", "coup n°", "balle n°", "numero", "número", "bola", "palla", "pallina", "colpo n.", "n. palla", "bal", "bal nr", "balnummer", "boll", "boll nr",
        "番号", "球", "球数", "ボール", "번호", "공", "볼", "编号", "序号", "号",
    ),
    "date": ("date", "day", "session", "datum", "tag", "einheit", "jour", "séance", "fecha", "día", "sesión", "data", "giorno", "sessione", "dia", "dag", "sessie", "pass", "日付", "日", "날짜", "일자", "日期"),
    "note": (
        "note", "notes", "remark", "remarks", "comment", "comments", "strike", "contact", "quality", "memo", "bemerkung", "bemerkungen", "notiz", "anmerkung", "kommentar",
        "treffer", "kontakt", "hinweis", "remarque", "remarques", "commentaire", "observation", "qualité", "nota", "notas", "comentario", "observaciones",
        "observación", "contacto", "calidad", "commento", "osservazioni", "osservazione", "contatto", "comentário", "observação", "opmerking", "opmerkingen",
        "notitie", "anmärkning", "anteckning", "notering", "備考", "メモ", "コメント", "비고", "메모", "备注", "说明",
    ),
    "use": (
        "use", "used", "keep", "kept", "count it", "counts", "valid", "include", "included", "in", "ok", "good", "verwenden", "gültig", "werten", "zählt",
        "behalten", "gewertet", "verwendet", "benutzen", "utiliser", "garder", "valable", "valide", "retenu", "utilisé", "gardé", "à garder", "compter", "usar", "válido",
        "contar", "incluir", "vale", "mantener", "usare", "valido", "tenere", "conta", "usa", "includere", "usada", "gebruiken", "geldig", "telt", "houden", "bewaren",
        "meetellen", "använd", "använda", "giltig", "behåll", "räknas", "ta med", "使用", "有効", "採用", "사용", "유효", "采用", "有效",
    ),
    "drop": (
        "drop", "dropped", "delete", "deleted", "ignore", "ignored", "exclude", "excluded", "discard", "discarded", "leave out", "left out", "remove", "removed",
        "skip", "out", "invalid", "bad", "strike out", "löschen", "gelöscht", "ignorieren", "streichen", "gestrichen", "auslassen", "ausgelassen", "ungültig",
        "ausschließen", "weglassen", "supprimer", "supprimé", "ignorer", "ignoré", "exclure", "exclu", "écarter", "écarté", "à supprimer", "rejeté", "retirer",
        "eliminar", "eliminado", "ignorar", "excluir", "excluido", "descartar", "descartado", "borrar", "borrado", "quitar", "eliminare", "eliminato", "ignorare",
        "escludere", "escluso", "scartare", "scartato", "cancellato", "elimina", "escludi", "scarta", "eliminada", "descartada", "verwijderen", "verwijderd", "negeren",
        "uitsluiten", "weglaten", "overslaan", "schrappen", "geschrapt", "ta bort", "borttagen", "ignorera", "uteslut", "stryk", "struken", "utesluten", "hoppa över",
        "除外", "削除", "無効", "제외", "삭제", "무효", "剔除", "删除", "排除", "无效",
    ),
    "count": ("balls", "count", "number of balls", "n", "ball count", "how many", "n balls", "pieces", "bälle", "anzahl", "anzahl bälle", "balles", "nombre", "nombre de balles",
              "bolas", "número de bolas", "cantidad", "palline", "palle", "numero palline", "numero di palle", "ballen", "aantal", "aantal ballen", "bollar", "antal", "antal bollar",
              "球数", "個数", "공 개수", "개수", "球数量", "数量"),
    "pile": ("pile", "pile middle", "middle of pile", "middle of the pile", "pile centre", "pile center", "centre of pile", "center of pile", "middle", "haufen", "haufenmitte",
             "mitte", "mitte des haufens", "mitte haufen", "ballhaufen", "milieu", "milieu du tas", "tas", "centre du tas", "centro", "centro del montón", "montón", "medio del montón",
             "mucchio", "centro del mucchio", "metà mucchio", "monte", "centro do monte", "hoop", "midden", "midden van de hoop", "midden hoop", "högens mitt", "hög", "mitten av högen",
             "högmitt", "中心", "山の中心", "まとまりの中心", "더미", "더미 중앙", "球堆", "球堆中心"),
}  # fmt: skip
"""Role -> the words that name its column."""

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
     "desviación típica", "desv. est.", "deviazione standard", "dev. st.", "dev. std.", "desvio padrão", "grand total",
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
