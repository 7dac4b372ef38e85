"""What the voices say: one table, the same keys in every language.

Every entry is (shown, fed): `shown` goes into the index, `fed` is what the synthesiser is given. They differ for
Japanese (kana, because the synthesiser misreads kanji) and Arabic (vowel signs, pausal endings, and a spelling after
the sound where the synthesiser loses a vowel). The words are our own; number-words are those of any school grammar.
"""

# Seconds that have a clip of their own, because "one second", "trois secondes", "ثلاث ثوان" agree with the number.
SECONDS = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 15, 20, 30, 45, 60, 90, 120]
NUMBERS = range(0, 61)
WORDS = ["point", "stage", "bout", "rest", "ready", "stop-now", "test-ends", "starts-in", "seconds", "warm-up"]


def english(n):
    low = ("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
           "seventeen eighteen nineteen").split()
    tens = "twenty thirty forty fifty sixty seventy eighty ninety".split()
    if n < 20:
        return low[n]
    return tens[n // 10 - 2] + (f"-{low[n % 10]}" if n % 10 else "")


def spanish(n):
    low = ("cero uno dos tres cuatro cinco seis siete ocho nueve diez once doce trece catorce quince dieciséis "
           "diecisiete dieciocho diecinueve veinte veintiuno veintidós veintitrés veinticuatro veinticinco veintiséis "
           "veintisiete veintiocho veintinueve").split()
    tens = "treinta cuarenta cincuenta sesenta setenta ochenta noventa".split()
    if n < 30:
        return low[n]
    return tens[n // 10 - 3] + (f" y {low[n % 10]}" if n % 10 else "")


def french(n):
    low = ("zéro un deux trois quatre cinq six sept huit neuf dix onze douze treize quatorze quinze seize dix-sept "
           "dix-huit dix-neuf").split()
    tens = {2: "vingt", 3: "trente", 4: "quarante", 5: "cinquante", 6: "soixante"}
    if n < 20:
        return low[n]
    if n < 70:
        ten, unit = tens[n // 10], n % 10
        return ten if unit == 0 else f"{ten} et un" if unit == 1 else f"{ten}-{low[unit]}"
    if n < 80:
        return "soixante et onze" if n == 71 else f"soixante-{low[n - 60]}"
    return "quatre-vingts" if n == 80 else f"quatre-vingt-{low[n - 80]}"


def german(n):
    low = ("null eins zwei drei vier fünf sechs sieben acht neun zehn elf zwölf dreizehn vierzehn fünfzehn sechzehn "
           "siebzehn achtzehn neunzehn").split()
    tens = "zwanzig dreißig vierzig fünfzig sechzig siebzig achtzig neunzig".split()
    if n < 20:
        return low[n]
    unit = "ein" if n % 10 == 1 else low[n % 10]
    return (f"{unit}und" if n % 10 else "") + tens[n // 10 - 2]


def portuguese(n):
    low = ("zero um dois três quatro cinco seis sete oito nove dez onze doze treze catorze quinze dezesseis dezessete "
           "dezoito dezenove").split()
    tens = "vinte trinta quarenta cinquenta sessenta setenta oitenta noventa".split()
    if n < 20:
        return low[n]
    return tens[n // 10 - 2] + (f" e {low[n % 10]}" if n % 10 else "")


def japanese(n):
    low = "ゼロ いち に さん よん ご ろく なな はち きゅう".split()
    if n < 10:
        return low[n]
    return (low[n // 10] if n >= 20 else "") + "じゅう" + (low[n % 10] if n % 10 else "")


def arabic(n):
    """The counting form, MSA, in pause. `fed` ends in ه where a reader stops on ة."""
    # stem before ة (or the whole word), written with the vowels the synthesiser needs
    stem = ["", "", "", "ثَلَاثَ", "أَرْبَعَ", "خَمْسَ", "سِتْتَ", "سَبْعَ", "ثَمَانْيَ", "تِسْعَ"]
    plain = ["صفر", "واحد", "اثنان", "ثلاثة", "أربعة", "خمسة", "ستة", "سبعة", "ثمانية", "تسعة", "عشرة"]
    tens = [("عشرون", "عِشْرُون"), ("ثلاثون", "ثَلَاثُون"), ("أربعون", "أَرْبَعُون"), ("خمسون", "خَمْسُون"),
            ("ستون", "سِتْتُون"), ("سبعون", "سَبْعُون"), ("ثمانون", "ثَمَانُون"), ("تسعون", "تِسْعُون")]

    def unit(u, joined):
        if u in (1, 2):
            return ["وَاحِد", "اِثْنَان"][u - 1]
        return stem[u] + ("ة" if joined else "ه")

    if n == 0:
        return plain[0], "صِفْر"
    if n < 10:
        return plain[n], unit(n, False)
    if n == 10:
        return plain[10], "عَشَرَه"
    if n < 20:
        shown = {11: "أحد عشر", 12: "اثنا عشر"}.get(n, f"{plain[n % 10]} عشر")
        fed = {11: "أَحَدَ عَشَر", 12: "اِثْنَا عَشَر"}.get(n, f"{stem[n % 10]}ةَ عَشَر")
        return shown, fed
    ten_shown, ten_fed = tens[n // 10 - 2]
    if n % 10 == 0:
        return ten_shown, ten_fed
    return f"{plain[n % 10]} و{ten_shown}", f"{unit(n % 10, True)} وَ{ten_fed}"


def counted(number, one, many, twice_sixty):
    """Seconds in a language where only 'one' differs; 120 lies beyond the number functions."""
    return {s: one if s == 1 else f"{twice_sixty if s == 120 else number(s)} {many}" for s in SECONDS}


ARABIC_SECONDS = {
    1: ("ثانية واحدة", "ثَانْيَه وَاحِدَه"), 2: ("ثانيتين", "ثَانْيَتَيْن"),
    3: ("ثلاث ثوان", "ثَلَاثِ ثَوَانِي"), 4: ("أربع ثوان", "أَرْبَعِ ثَوَانِي"), 5: ("خمس ثوان", "خَمْسِ ثَوَانِي"),
    6: ("ست ثوان", "سِتْتِ ثَوَانِي"), 7: ("سبع ثوان", "سَبْعِ ثَوَانِي"), 8: ("ثماني ثوان", "ثَمَانِي ثَوَانِي"),
    9: ("تسع ثوان", "تِسْعِ ثَوَانِي"), 10: ("عشر ثوان", "عَشْرِ ثَوَانِي"),
    15: ("خمس عشرة ثانية", "خَمْسَ عَشْرَةَ ثَانْيَه"), 20: ("عشرين ثانية", "عِشْرِينَ ثَانْيَه"),
    30: ("ثلاثين ثانية", "ثَلَاثِينَ ثَانْيَه"), 45: ("خمس وأربعين ثانية", "خَمْسِنْ وَأَرْبَعِينَ ثَانْيَه"),
    60: ("ستين ثانية", "سِتْتِينَ ثَانْيَه"), 90: ("تسعين ثانية", "تِسْعِينَ ثَانْيَه"),
    120: ("مئة وعشرين ثانية", "مِئَة وَعِشْرِينَ ثَانْيَه"),
}

# Order and short forms. "," is a longer breath; {n}, {stage}, {bout} are labels, {seconds} a count with its unit,
# {new} the label that has changed: the stage of a new stage, otherwise the bout.
FORMS = {
    "stage-bout": [["stage", "{stage}", ",", "bout", "{bout}"], ["{stage}", ",", "{bout}"], ["{new}"]],
    "stage": [["stage", "{n}"], ["{n}"]],
    "number": [["{n}"]],
    "starts-in": [["starts-in", "{seconds}"], ["{seconds}"], ["{n}"]],
}
JAPANESE_FORMS = {**FORMS, "stage-bout": [["stage", "{stage}", ",", "{bout}", "bout"], *FORMS["stage-bout"][1:]]}

FLITE, ESPEAK = "flite", "espeak-ng"
# `odd-seconds`: counts without a clip of their own for which number + "seconds" would be ungrammatical.
ONES = [21, 31, 41, 51]
LANGUAGES = {
    # This voice is dull: between 1.5 and 3 kHz, where consonants are told apart, 10 dB weaker than the other voices.
    "en": dict(synth=FLITE, voice="slt", filters=["treble=f=1500:g=11:t=q:w=0.6"], number=english, forms=FORMS, odd_seconds=[],
               seconds=counted(english, "one second", "seconds", "one hundred and twenty"),
               words=["point", "stage", "bout", "rest", "ready", "stop now", "end of the test", "the test starts in",
                      "seconds", "warm-up"]),
    "es": dict(synth=ESPEAK, voice="es-419", number=spanish, forms=FORMS, odd_seconds=ONES,
               seconds=counted(spanish, "un segundo", "segundos", "ciento veinte"),
               words=["coma", "etapa", "serie", "descanso", "listos", "paren ahora", "fin de la prueba",
                      "la prueba empieza en", "segundos", "calentamiento"]),
    "fr": dict(synth=ESPEAK, voice="fr-fr", number=french, forms=FORMS, odd_seconds=ONES,
               seconds=counted(french, "une seconde", "secondes", "cent vingt"),
               words=["virgule", "palier", "course", "repos", "prêts", "arrêtez maintenant", "fin du test",
                      "le test commence dans", "secondes", "échauffement"]),
    "de": dict(synth=ESPEAK, voice="de", number=german, forms=FORMS, odd_seconds=[],
               seconds=counted(german, "einer Sekunde", "Sekunden", "hundertzwanzig"),
               words=["Komma", "Stufe", "Lauf", "Pause", "bereit", "jetzt anhalten", "Ende des Tests",
                      "der Test beginnt in", "Sekunden", "Aufwärmen"]),
    "pt": dict(synth=ESPEAK, voice="pt-br", number=portuguese, forms=FORMS, odd_seconds=[],
               seconds=counted(portuguese, "um segundo", "segundos", "cento e vinte"),
               words=["vírgula", "estágio", "corrida", "descanso", "prontos", "parem agora", "fim do teste",
                      "o teste começa em", "segundos", "aquecimento"]),
    "ja": dict(synth=ESPEAK, voice="ja", number=japanese, forms=JAPANESE_FORMS, odd_seconds=[],
               seconds={s: ("ひゃくにじゅう" if s == 120 else japanese(s)) + "びょう" for s in SECONDS},
               # ばんめ (the n-th) joins every number without a sound change, unlike ほんめ or かいめ.
               words=["てん", "ステージ", ("番目", "ばんめ"), ("休憩", "きゅうけい"), ("用意", "ようい"),
                      ("止まってください", "とまってください"), ("テスト終了", "テストしゅうりょう"),
                      ("テスト開始まで", "テストかいしまで"), ("秒", "びょう"), "ウォーミングアップ"]),
    "ar": dict(synth=ESPEAK, voice="ar", wpm=190, kbit=19, number=arabic, forms=FORMS,
               odd_seconds=[11, 12, 13, 14, 16, 17, 18, 19, *(n for n in range(21, 60) if n % 10)],
               seconds=ARABIC_SECONDS,
               words=[("فاصلة", "فَاصِلَه"), ("المرحلة رقم", "الْمَرْحَلَه رَقَم"), ("الشوط رقم", "أَشْشَوْط رَقَم"),
                      ("راحة", "رَاحَه"), ("استعدوا", "اِسْتَعِدُو"), ("توقفوا الآن", "تَوَقَّفُو الآن"),
                      ("انتهى الاختبار", "اِنْتَهَ لِخْتِبَار"), ("يبدأ الاختبار بعد", "يَبْدَأُ لِخْتِبَارُ بَعْد"),
                      ("ثانية", "ثَانْيَه"), ("الإحماء", "أَلْإِحْمَاء")]),
}


def clips(code):
    """Yields (key, shown, fed) in the order of the file."""
    language = LANGUAGES[code]
    table = [(str(n), language["number"](n)) for n in NUMBERS]
    table += zip(WORDS, language["words"], strict=True)
    table += [(f"seconds-{s}", language["seconds"][s]) for s in SECONDS]
    for key, entry in table:
        shown, fed = entry if isinstance(entry, tuple) else (entry, entry)
        yield key, shown, fed
