"""Numbers that measure something that is no luminaire: "240 cars", "lift rental 450", "we did 50 of these in 2019".

The masks of ``strangers`` know a number by its own form; here it is known by the company that it keeps. What is taken
becomes an atom of kind ``x`` that stays unread: it can't become a line, a count, watts or a height.
"""

from bot.reading.atoms import Atom
from bot.reading.clause import Work, ends_clause
from bot.reading.holders import HOLDERS
from bot.reading.neighbours import HANGING, LINEAR, belongs_there, hung_otherwise
from bot.reading.words import words_of

TUBES = frozenset({"T12", "T8", "T5", "T5HO", "CFL"})
_TRADE = frozenset({"family", "family_weak", "source", "size", "led", "code", "voltage"})
_MEASURES = frozenset({"w", "v", "ft", "m", "lamps", "each", "dozen", "pair", "kelvin", "lumens"})
_NO_NOUN = words_of("""nomas gracias always yes plus outdoors indoors upstairs downstairs outside inside lights fixtures heads ones this is has does
    was its us less across perhaps unless besides afterwards towards thats whats heres theres lets ours theirs says
    tops max units pieces pces ballasts watts volts las los unos unas las mas dias pies vatios watios luces piezas
    luminarias focos lamparas thanks cheers regards folks guys sirs blessings gracias saludos greetings""")
_PLACES = words_of("""front back rear side sides north south east west lobby lot hall hallway gym dock docks entrance entry yard shop
    warehouse office offices kitchen stairs stairwell stairwells wing annex basement mezzanine drive walkway courtyard
    store showroom barn shed hangar patio corridor corridors interior exterior inside outside upstairs downstairs
    piso pisos nivel niveles planta perimeter ramp alley end ends corner corners roof cafeteria restroom restrooms bathroom bathrooms sanctuary classroom classrooms foyer atrium
    vestibule loading receiving shipping garage parking building main upper lower porch deck library lounge freezer
    cooler norte sur este oeste atras frente bodega oficina oficinas nave pasillo pasillos taller tienda cocina
    estacionamiento patio adelante fachada bldg bldgs edificio floor level""")
_LEADS = words_of("""have has had is are was were about only just like them they theyre total be some says say said read reads get got
    and or to of so its it need needs want another over under than son hay como con de que unos unas nearly almost us me
    mitad half rest resto demas third thirds there theres hung hang hangs hanging mount mounts sit sits mounted run runs up down out those these still left here lights fixtures heads ones r re u n em ok
    no yes es a estan roughly probably approx around exactly maybe think thinks thought counted count counting quantity all
    both same remaining more replace replacing replaced price quote quoting install do swap buy order shows show showing
    stamped marked labeled sticker label tag guess believe figure sure call know tengo tenemos ocupo ocupamos necesito
    necesitamos quiero queremos serian seria uses use using takes take holds hold make making makes pretty kinda see saw
    i we you he she that this what which where when if then but also too well now right fine hey hi hello actually
    wattage voltage height rating rated type lamp bulb bulbs lamps ballast fixture light approximately estimated please
    send gimme give doing does either gonna going looking wants wanted add adding theyre were im ive weve id wed are least most nomas
    nameplate nominal lamped would wired fed solo son eran tiene tienen lleva llevan cada el la los las un una por en al del mas unas digo
    former latter other others rest otro otra otros otras""")
_ORDINALS = words_of(
    """first second third fourth fifth sixth primer primero segundo tercer tercero cuarto quinto
    primeros primeras segundos segundas ultimos ultimas"""
)
_COPULAS = words_of("is was are were gets to of about around only like now runs at = : - # es son era de")
_BROKEN = words_of("""died dies quit burnt burned dead broke broken flicker flickering flickers failed failing missing working work dim blown busted
    shot kaput fell gone died quemados quemadas fundidos fundidas""")
_HISTORY = words_of(
    "did bought replaced changed sold installed ordered swapped put done had hicimos compramos cambiamos pusimos"
)
_BACK_THEN = (
    "last year",
    "last month",
    "last time",
    "last week",
    " ago",
    "years back",
    "back in",
    "year before",
    "el ano pasado",
)
_MEETING = words_of("""off shut open opens opening close closes closing closed meet meeting call come start starts lunch appointment shift leave here
    available arrive arrives office visit abrimos cerramos""")
_SPOTS = words_of("in on at over by along around outside inside off behind near en sobre por")
_TELLING = frozenset({208, 240, 277, 347, 480})
_USUAL = frozenset({50, 70, 100, 120, 150, 175, 200, 250, 320, 350, 400, 750, 1000, 1500})
_VERBS = words_of(
    "dont don't doesnt doesn't are were have got need went keep kept came fell died quit stopped wont cant arent can't won't"
)
_UPON = words_of("on along off over above atop mounted hung up hanging")
_LIFTS = words_of("grua escalera lift lifts ladder ladders boom booms bucket buckets crane scaffold andamio")
_STANDING = words_of(
    "rack racks racking shelves shelving trees tree trailers trailer trucks windows fence ladder ladders lift lifts"
)
"""What stands or lies there too, with a size of its own."""
_PARTS = words_of(
    "ballast ballasts drivers sockets lenses breakers ladders lifts contactors fuses boxes conduits"
)
_WITH = words_of("with w have has had got con tienen")
_FAULTY = words_of("bad dead broken burned burnt blown faulty failing failed cracked busted fallas")
_BEING = words_of("is are was were es mide")
_STRETCHES = words_of(
    """pool lot building bldg room hall road field court courts aisle driveway runway dock fence track rink space store
    property yard parcel street alberca cancha edificio terreno arena barn shop lane"""
)
_LENGTHWISE = words_of("long wide deep across length width largo ancho largos anchos fondo")
_SURFACES = _STRETCHES | words_of(
    "wall walls barda muro pared hallway corridor drive side line run stretch gym warehouse alley ramp bridge pasillo canal"
)
_MEASURE = words_of("is was are runs run measures mide miden tiene goes stretches about around like only")
_SPACED = words_of("apart spacing spaced between centers center oc o.c poles pole")


def _dimension(work: Work, at: int) -> bool:
    """Whether a length is that of a wall or a lot: "the wall is 200 ft long", "a 200 ft wall", "la barda mide 60 metros"."""
    unit = work.unit(at + 1)
    if unit == "inch" and work.text_at(at + 2) in ("wide", "deep", "across"):
        return True
    if unit not in ("ft", "m"):
        return False
    value = work.atoms[at].value * (3.28084 if unit == "m" else 1.0)
    behind = at + 2
    if work.text_at(behind) == "-":
        behind += 1
    if (
        value > 12
        and work.text_at(behind) in _LENGTHWISE
        and work.text_at(behind + 1) not in ("poles", "pole", "beam")
    ):
        return True
    if value < 61:
        return False  # as high as a mast
    if not _SPACED.isdisjoint(work.text_at(n) for n in (behind, behind + 1)):
        return False
    if work.text_at(behind) in _SURFACES:
        return True
    lead = at - 1
    while lead > at - 4 and work.text_at(lead) in _MEASURE:
        lead -= 1
    return lead < at - 1 and work.text_at(lead) in _SURFACES


_NOT_DOING = words_of("dont don't doesnt doesn't wont won't arent aren't cant can't")
_GOODS = words_of("ballast ballasts lamps bulbs lift freight labor rental")
_SHARES = frozenset({"per", "each", "every", "cada"})


def _trade(work: Work, index: int) -> bool:
    """Whether the atom at ``index`` is a word of the trade; none outside is."""
    if not 0 <= index < len(work.atoms):
        return False
    atom = work.atoms[index]
    if atom.kind == "c":
        return True
    mean = atom.mean
    if "family_weak" in mean and atom.text in ("can", "pot", "post", "track", "bay", "panel", "vapor"):
        return False  # more often another word: "we can", "post office"
    return not _TRADE.isdisjoint(mean) or mean.get("generic") is not None


def _clauses(work: Work) -> list[tuple[int, int]]:
    """First and last atom of every clause; a comma ends one too."""
    out = []
    start = 0
    count = len(work.atoms)
    for index, atom in enumerate(work.atoms):
        if ends_clause(atom) or atom.text in (",", "(", ")", " - "):
            if index > start:
                out.append((start, index - 1))
            start = index + 1
    if start < count:
        out.append((start, count - 1))
    return out


def _measured(work: Work, at: int) -> bool:
    """Whether the number has a unit of the trade, or leads to a luminaire or lamp within a few words."""
    for index in range(at + 1, min(at + 6, len(work.atoms))):
        atom = work.atoms[index]
        if ends_clause(atom) or atom.text in (",", "(", ")", ";"):
            return False
        if _trade(work, index) or atom.mean.get("unit") in _MEASURES:
            return True
        if "join" in atom.mean:
            return False
    return False


_WAYS = words_of(
    "heights height sizes types kinds styles versions colors colours finishes voltages wattages options groups categories alturas tipos"
)


def _of_ways(work: Work, at: int) -> bool:
    """Whether it is counted in how many ways the luminaires differ: "same fixture, two heights"."""
    if at + 1 >= len(work.atoms) or work.atoms[at].value > 6:
        return False
    atom = work.atoms[at + 1]
    word = work.folded[atom.start : atom.end]
    return word in _WAYS and word.endswith("s") and not work.is_number(at + 2)


_HOUSES = words_of(
    "auditorium storage garage park theater apartment complex campus facility house center building camp marina jail dorm arena stadium home"
)
_SIZED_BY = words_of("unit room rooms bed beds acre")


def _sizes_a_house(work: Work, at: int) -> bool:
    """Whether it tells how large a building is: "we are a 120 bed hospital", "240 room hotel"."""
    if at + 2 >= len(work.atoms):
        return False
    by, house = work.atoms[at + 1], work.atoms[at + 2]
    if (
        not (by.kind == "w" and len(by.text) > 2 and not by.text.endswith(("s", "ed", "ing", "y")))
        and by.text not in _SIZED_BY
    ):
        return False
    if "building" not in house.mean and house.text not in _HOUSES:
        return False
    follows = work.atoms[at + 3] if at + 3 < len(work.atoms) else None
    if follows is None or follows.kind in ("s", "b", "n"):
        return True
    return not (_trade(work, at + 3) or _trade(work, at + 4))


def _noun_of_others(work: Work, at: int) -> bool:
    """Whether a plural that the trade does not know follows: "240 cars"."""
    index = at + 1
    if index >= len(work.atoms):
        return False
    if work.text_at(at - 1) in ("qty", "quantity", "cant", "cantidad"):
        return False  # "qty 25 stairwells"
    atom = work.atoms[index]
    if (
        atom.kind == "w"
        and atom.text not in _LEADS
        and work.unit(index + 1) == "other"
        and not _measured(work, at)
    ):
        return True  # "112 parking spaces"
    text = atom.text
    return (
        atom.kind == "w"
        and len(text) >= 4
        and text.endswith("s")
        and not text.endswith(("ss", "us", "is"))
        and text not in _NO_NOUN
        and text not in _PLACES
        and text not in HOLDERS
        and not _measured(work, at)
    )


_PAPERS = words_of("quote estimate proposal bid ticket invoice cotizacion presupuesto")


def _of_a_paper(work: Work, at: int) -> bool:
    """Whether it is the number of a quote: "re: quote 5521 - change to 14", but not "quote 1200 troffers"."""
    if work.atoms[at].value < 1000 or work.text_at(at - 1) not in _PAPERS or "," in work.text_at(at):
        return False
    return at + 1 >= len(work.atoms) or work.text_at(at + 1) in ("-", ":", ",", ".", ";", " - ")


_METERED = words_of("bill bills account accounts billed electric utility service cuenta recibo")


def _metered(work: Work, at: int) -> bool:
    """As in "our bill was 2300 last month on 4 meters": meters that count power."""
    if work.text_at(at + 1) not in ("meters", "meter", "medidores") or work.text_at(at - 1) not in (
        "on",
        "for",
        "across",
        "over",
        "en",
    ):
        return False
    return any(work.text_at(n) in _METERED for n in range(max(0, at - 14), min(len(work.atoms), at + 8)))


def _clock(work: Work, at: int) -> bool:
    """Whether it is a time of day that told no hours: "we open at 6", "8:05", "9 am"."""
    if work.has(at + 1, "ampm") is not None and work.atoms[at].value <= 12:
        return True
    if (
        work.text_at(at + 1) == ":"
        and work.is_number(at + 2)
        and work.atoms[at + 1].glued
        and work.atoms[at + 2].glued
    ):
        return len(work.text_at(at + 2)) == 2
    if (
        work.text_at(at - 1) == ":"
        and work.atoms[at - 1].glued
        and work.atoms[at - 2].kind == "x"
        and at >= 2
    ):
        return len(work.text_at(at)) == 2 and work.atoms[at].glued
    return (
        work.text_at(at - 1) in ("at", "by", "after", "before", "until", "til", "till", "around", "@", "a")
        and work.atoms[at].value <= 12
        and any(work.text_at(index) in _MEETING for index in range(max(0, at - 4), at - 1))
        and not _measured(work, at)
    )


def _labelled_by_others(work: Work, at: int) -> bool:
    """Whether the word before names what the trade does not know: "Dept 40", "freight was 320"."""
    index = at - 1
    steps = 0
    while index >= 0 and steps < 3 and work.text_at(index) in _COPULAS:
        if ends_clause(work.atoms[index]) and work.text_at(index) != ":":
            return False
        index -= 1
        steps += 1
    if index < 0:
        return False
    atom = work.atoms[index]
    if not _of_other_matters(atom):
        return False
    if atom.text in _LEADS or atom.text in _PLACES or work.text_at(at + 1) in _SPOTS:
        return False
    if atom.text in _ORDINALS and work.atoms[at].value > 6:
        return False  # "the first two" are types, "the second 30 ft and the first 15" are not
    if (
        work.atoms[at].value in _TELLING
        or (work.atoms[at].value == 120 and _volts_near(work, at))
        or (work.text_at(at + 1) == "k" and work.atoms[at + 1].glued)
    ):
        return False
    return not _measured(work, at) and not work.unit(at + 1) and not _paired(work, at)


def _the_same(work: Work, at: int) -> bool:
    """Whether what is counted is the type before again: "in the second 9 of the same", "en el segundo 9 iguales"."""
    return any(work.has(n, "scope") == "same" for n in range(at, at + 3))


def _of_other_matters(atom: Atom) -> bool:
    """Whether a word says nothing of luminaires: a plain word, or a noun that is counted beside them ("trucks")."""
    if atom.mean.get("unit") == "other":
        return True
    return atom.kind == "w" and len(atom.text) >= 3 and atom.text.isalpha()


def _volts_near(work: Work, at: int) -> bool:
    """Whether another voltage stands close by: "gym on 277, halls 120"."""
    return any(
        index != at
        and work.atoms[index].kind == "n"
        and (work.atoms[index].value in _TELLING or work.unit(index + 1) == "v")
        for index in range(max(0, at - 8), min(len(work.atoms), at + 9))
    )


def _paired(work: Work, at: int) -> bool:
    """Whether a mark binds the number to another ("480/277", "12 x", "10-12")."""
    return work.text_at(at + 1) in ("/", "x", "-", "'", '"', "s", "%", "k") and work.atoms[at + 1].glued


def _counted(work: Work) -> list[int]:
    """The numbers that count luminaires, in order."""
    return [
        index
        for index, atom in enumerate(work.atoms)
        if atom.kind == "n"
        and work.is_number(index)
        and _measured(work, index)
        and work.unit(index + 1) in (None, "each", "w")
    ]


def take(work: Work, at: int) -> None:
    """Make a number one that is none of our business; it stays unread."""
    work.atoms[at] = work.atoms[at]._replace(kind="x", mean={"foreign": True})


def set_aside(work: Work, conversing: bool) -> None:
    """Take the numbers that measure something else out of the reading.

    Args:
        work: with the job's slots read: what they used is left alone.
        conversing: an answer may be short, so that a number is known by its noun or its clock only.
    """
    numbers = [index for index in range(len(work.atoms)) if work.is_number(index)]
    if not numbers:
        return
    for at in numbers:
        if work.is_number(at) and _clock(work, at):
            minutes = work.text_at(at + 1) == ":"
            take(work, at)
            if minutes:
                take(work, at + 2)
        elif work.is_number(at) and (
            _noun_of_others(work, at)
            or (
                work.text_at(at + 1) in ("head", "heads") and work.text_at(at + 2) == "of"
            )  # "200 head of cattle"
            or _of_ways(work, at)
            or _sizes_a_house(work, at)
            or _of_a_paper(work, at)
        ):
            take(work, at)
    if conversing or not any(_trade(work, index) for index in range(len(work.atoms))):
        return
    for at in numbers:
        if work.is_number(at) and _dimension(work, at):
            if work.unit(at + 1) == "m" and work.text_at(at - 2) not in ("pool", "alberca"):
                work.flags["metric"] = (at, at + 1)  # pools are told in metres by all
            take(work, at)
            work.use(at + 1, at + 2 if work.text_at(at + 2) in _LENGTHWISE else at + 1)
    for at in numbers:
        if _aged(work, at) or (work.is_number(at) and (_on_circuits(work, at) or _paid_out(work, at))):
            take(work, at)
        elif (
            work.is_number(at)
            and work.text_at(at + 1) in _WITH
            and work.text_at(at + 2).partition(" ")[0] in _FAULTY
        ):
            take(work, at)  # "7 barn lights, 4 with bad bulbs"
        elif (
            work.is_number(at)
            and work.atoms[at].value in _TELLING
            and work.folded.endswith("phase ", 0, work.atoms[at].start)
            and any(
                n != at
                and work.is_number(n)
                and (work.atoms[n].value == 120 or work.atoms[n].value in _TELLING)
                for n in numbers
            )
        ):
            take(work, at)  # "3 phase 480 but the lights are on 277"
        elif work.is_number(at) and work.text_at(at + 1) in _SPARE:
            _in_stock(work, at)
    counted = [*_counted(work), *(product.first for product in work.flags.get("tallies", ()))]
    first, last = (min(counted), max(counted)) if counted else (len(work.atoms), -1)
    for low, high in _clauses(work):
        inside = [at for at in range(low, high + 1) if work.is_number(at)]
        if inside:
            _weigh(work, low, high, inside, elsewhere=first < low or last > high)
    _breakdowns(work)


def _told_of_later(work: Work, low: int, high: int) -> bool:
    """Whether all types that a clause counts are named again behind it, and not counted: "put up 6 packs and 4 floods in 1998, packs are 100 hps"."""
    named = {work.has(n, "family") for n in range(low, high + 1)} - {None}
    if not named:
        return False
    for n in range(high + 1, len(work.atoms)):
        if work.has(n, "family") in named and not any(
            work.is_bare_count(k) for k in range(max(high + 1, n - 2), n)
        ):
            named.discard(work.has(n, "family"))
    return not named


def _weigh(work: Work, low: int, high: int, inside: list[int], elsewhere: bool) -> None:
    """Take numbers out of one clause: by the word before, by what the clause is about."""
    trade = any(_trade(work, index) for index in range(low, high + 1))
    words = {word for index in range(low, high + 1) for word in work.text_at(index).split()}
    stretch = work.folded[work.atoms[low].start : work.atoms[high].end]
    past = not _HISTORY.isdisjoint(words) and (
        any(cue in stretch for cue in _BACK_THEN) or _in_year(work, low, high)
    )
    past = past and not _told_of_later(work, low, high)
    about_others = elsewhere and ((not trade and not _BROKEN.isdisjoint(words)) or past)
    for at in inside:
        if work.is_number(at):
            _of_whole(work, at, words, elsewhere)
        if not work.is_number(at):
            continue
        if any("fix" in work.cue(n) for n in range(max(low, at - 3), at)) and any(
            work.unit(n + 1) in ("ft", "m", "w", "v") for n in inside if n < at
        ):
            continue  # "I said 15 ft to your guy but it's really 18"
        if elsewhere and _by_hand(work, at):
            take(work, at)
            continue
        if "fix" in work.cue(at - 1) and not work.has(at + 1, "unit"):
            continue  # "Ray says 14, it's 17"
        if work.text_at(at - 1) == "'" and work.atoms[at].glued:
            continue  # "low ceiling, 7'6"
        if work.text_at(at - 1) in ("qty", "quantity", "cantidad") and work.unit(at + 1) in (None, "each"):
            continue  # "model AB-12 qty 6"
        if "sino" in (work.text_at(at - 1), work.text_at(at - 2)):
            continue  # "no de 4 tubos sino de 3"
        if work.has(at + 1, "scope") == "same" and belongs_there(work, at):
            continue  # "Elm has 12 of the same"
        if work.text_at(at - 2) in ("pero", "but", "only") and work.has(at - 3, "scope") == "same":
            continue  # "3 iguales pero de 250"
        if "up" in work.cue(at + 1) and "poles" not in work.cue(at + 1):
            continue  # "sits 14 up"
        if hung_otherwise(work, at):
            continue  # "5 on the ground and 4 pole mount"
        if work.text_at(at - 1) in ("at", "@") and {work.text_at(at - 2), work.text_at(at - 3)} & HANGING:
            continue  # "hang em at 22"
        if (
            at == high
            and work.text_at(at - 1) in ("at", "@")
            and work.text_at(low) in _UPON
            and 7 <= work.atoms[at].value <= 80
            and not any(work.text_at(n).endswith("day") for n in range(low, high))
        ):
            continue  # "on wood poles at 25", "along the fence at 16"
        if work.unit(at + 1) in ("ft", "m") and _LIFTS.intersection(
            work.text_at(n) for n in (at - 1, at - 2, at + 2)
        ):
            take(work, at)
            continue
        if _metered(work, at):
            take(work, at)
            work.use(at + 1, at + 1)
            continue
        if (
            work.unit(at + 1) in ("ft", "m")
            and work.text_at(at - 1) in _STANDING
            and "qty" not in work.cue(at - 1)
        ):
            take(work, at)  # "racks 20 ft"
            work.use(at + 1, at + 1)
            continue
        if elsewhere and work.text_at(at + 1) in _PARTS:
            take(work, at)
            continue
        if (
            work.unit(at + 1) in ("ft", "m")
            and work.text_at(at - 1) in _BEING
            and work.text_at(at - 2) in _STRETCHES
            and work.has(at + 2, "source") not in LINEAR  # "strips in the shop are 8 ft T12"
        ):
            take(work, at)
            continue
        if (
            work.unit(at + 1) == "lamps"
            and work.text_at(at + 2) in ("left", "spare", "in stock", "on hand")
            and elsewhere
        ):
            take(work, at)
            continue
        if (
            about_others
            and work.unit(at + 1) not in ("w", "v", "ft", "m", "kelvin", "cri", "lumens")
            and not (work.text_at(at + 1) == "k" and work.atoms[at + 1].glued)
        ):
            take(work, at)
            if work.unit(at + 1) == "each":
                work.use(at + 1, at + 1)
        elif (
            (not trade and _labelled_by_others(work, at))
            or (elsewhere and _aside(work, at, low, high, trade))
            or (
                work.text_at(at - 1) in ("thru", "through", "to", "-", "and", "&")
                and at - 2 >= low
                and "foreign" in work.atoms[at - 2].mean
                and not _measured(work, at)
            )
        ):
            take(work, at)


_CIRCUITS = words_of("circuit circuits ckt ckts breaker breakers circuito circuitos")
_PAID = words_of("paid spent cost costs pagamos gastamos pague gaste costo")
_EACH = words_of("each ea apiece per cada / a")


def _on_circuits(work: Work, at: int) -> bool:
    """Whether a number counts what one circuit feeds: "3 per circuit", "circuits have 4 each"."""
    if work.text_at(at + 1) in ("per", "on", "to", "por", "a") and any(
        work.text_at(n) in _CIRCUITS for n in (at + 2, at + 3)
    ):
        return work.text_at(at + 1) != "on" or work.text_at(at + 2) in ("each", "a", "every", "one")
    return (
        work.text_at(at + 1) in ("each", "ea")
        and work.text_at(at - 1) in ("have", "has", "feed", "with", "at")
        and any(work.text_at(n) in _CIRCUITS for n in (at - 2, at - 3))
    )


def _paid_out(work: Work, at: int) -> bool:
    """Whether a number is a sum of money that went out, and nothing a luminaire: "paid 1,100 to the last guy"."""
    if work.atoms[at].value < 100:
        return False
    before = at - 1
    while before > at - 3 and work.text_at(before) in ("us", "me", "about", "$", "over", "nearly", "like"):
        before -= 1
    if _PAID.isdisjoint(work.text_at(before).split()) or work.has(at + 1, "unit") is not None:
        return False
    after = {work.text_at(n) for n in range(at + 1, at + 4)}
    return _EACH.isdisjoint(after) and not any(_trade(work, n) for n in (at + 1, at + 2))


_SPARE = words_of("spare extra leftover")


def _in_stock(work: Work, at: int) -> None:
    """Set aside lamps on the shelf: "40 spare F32T8 lamps"."""
    for index in range(at + 2, min(at + 7, len(work.atoms))):
        atom = work.atoms[index]
        if atom.mean.get("unit") == "lamps" or atom.text in (
            "lamps",
            "bulbs",
            "tubes",
            "ballasts",
            "ballast",
        ):
            take(work, at)
            work.use(at + 1, index)
            return
        if "family" in atom.mean or "size" in atom.mean or atom.kind in ("s", "b"):
            return


_KIN = words_of(
    "husband wife dad mom father mother son daughter brother sister boss he she uncle grandpa grandma neighbor esposo esposa papa mama"
)


def _aged(work: Work, at: int) -> bool:
    """Whether a bracketed number is somebody's age: "my husband (72) fell"."""
    return (
        work.is_number(at)
        and work.text_at(at - 1) == "("
        and work.text_at(at + 1) == ")"
        and work.text_at(at - 2) in _KIN
    )


_OF_THEM = frozenset(
    {"of them", "of em", "of those", "of these", "of 'em", "de ellas", "de ellos", "de esas", "de esos"}
)
_HANDLED = words_of("""put hung changed replaced installed rewired fixed did swapped mounted wired bought cleaned relamped painted moved broke hit
    puse cambie instale pusimos cambiamos instalamos colgo puso cambio instalo arreglo""")


def _by_hand(work: Work, at: int) -> bool:
    """Whether some of what is counted elsewhere were once put up or mended: "I put two of em up myself in '81"."""
    if work.text_at(at + 1) not in _OF_THEM and not (
        work.text_at(at + 1) in ("of", "de") and work.text_at(at + 2) in ("em", "them", "those", "ellas")
    ):
        return False
    verb = at - 1
    while verb > 0 and work.text_at(verb) in ("about", "like", "just", "maybe", "only", "up"):
        verb -= 1
    return (
        work.text_at(verb) in _HANDLED
        and verb > 0
        and work.atoms[verb - 1].kind in ("w", "p", "x")
        and work.text_at(verb - 1) not in ("and", "please", "pls", "to", "then", "y", "also")
    )


def _of_whole(work: Work, at: int, words: set[str], elsewhere: bool) -> None:
    """Take the part, and where it is counted elsewhere the whole, of "6 of 20 lot lights are out"."""
    step = at + 1
    if work.text_at(step).split(" ", 1)[0] != "of":
        return
    step += 2 if work.text_at(step + 1) in ("the", "our", "my", "those") else 1
    if (
        not work.is_number(step)
        or work.atoms[step].value <= work.atoms[at].value
        or work.unit(step + 1) not in (None, "each")
        or work.has(step + 1, "source") is not None  # "8 of our 250w wallpacks", "6 of the 400 halides"
        or _BROKEN.isdisjoint(words | ({"dead"} if "out" in words else set()))
    ):
        return
    take(work, at)
    if elsewhere and not (work.has(step + 1, "family") and not _counted_with_name(work, step)):
        take(work, step)


def _counted_with_name(work: Work, beside: int) -> bool:
    """Whether another number counts luminaires or ones of them: "2 of 5 floods died. Need 5 again"."""
    counting: list[int] | None = work.flags.get("counting")
    if counting is None:
        # looked for once, not for each number
        counting = work.flags["counting"] = [at for at in work.numbers if _names_what(work, at)]
    return any(at != beside and work.is_number(at) for at in counting[:40])


def _names_what(work: Work, at: int) -> bool:
    """Whether a luminaire word stands right behind a number, or a wish before it, and no whole of it."""
    behind = work.atoms[at + 1].mean if at + 1 < len(work.atoms) else {}
    named = not _NAMING.isdisjoint(behind) or "want" in work.cue(at - 1)
    return named and not work.text_at(at - 1).startswith("of")


_NAMING = frozenset({"family", "family_weak", "generic", "pointer"})


def _rows_alone(work: Work, at: int) -> bool:
    """Whether rows are counted without what is in them: "8 rows"."""
    if "rows" not in work.cue(at + 1):
        return False
    step = at + 3 if work.text_at(at + 2) in ("of", "with", "de", "w") else at + 2
    return not work.is_number(step)


def _aside(work: Work, at: int, low: int, high: int, trade: bool) -> bool:
    """Whether a number says something on the side, where the luminaires are counted elsewhere."""
    after = work.text_at(at + 1)
    if after == "head" and work.atoms[at].value > 1 and not _measured(work, at + 1):
        return True
    if after == "more" and work.unit(at + 2) in ("year", "days", "other", "hours", "week"):
        return True
    if after in ("for", "on") and any(work.text_at(index) in _GOODS for index in (at + 2, at + 3)):
        return True
    if after in _NOT_DOING and at == low:
        return True
    if trade and not (after == "units" or "rows" in work.cue(at + 1)):
        return False
    if after == "units":
        back = low
        while back > 0 and not (
            work.atoms[back - 1].kind == "b" or work.text_at(back - 1) in (".", ";", "!", "?")
        ):
            back -= 1
            if "family" in work.atoms[back].mean:
                return False  # "wall pack, 250W MH, 13 units"
    if after == "units" or _rows_alone(work, at):
        return not any(work.atoms[index].mean.get("family") for index in range(low, high + 1))
    if after in _VERBS:
        return True
    value = work.atoms[at].value
    if value in _TELLING or value in _USUAL or _measured(work, at) or _paired(work, at):
        return False
    if work.unit(at + 1) and (after != "in" or work.atoms[at + 1].glued):
        return False
    placed = after in _SPOTS or (after == "for" and work.text_at(at + 2) in ("the", "our"))
    if placed and (at == low or "join" in work.atoms[at - 1].mean):
        return False
    if belongs_there(work, at) and at == high:
        return False
    if "want" in work.cue(at - 2 if work.text_at(at - 1) in ("for", "on") else at - 1):
        return False  # "could you price 10 more", "get a quote for 9"
    # a word of another matter earlier in the clause
    return any(
        _of_other_matters(work.atoms[index])
        and work.text_at(index) not in _LEADS
        and work.text_at(index) not in _ORDINALS
        and work.text_at(index) not in _PLACES
        and work.text_at(index) not in HOLDERS
        for index in range(low, at)
    )


def _in_year(work: Work, low: int, high: int) -> bool:
    """Whether a masked year stands in the clause ("in 2019")."""
    return any(
        work.atoms[index].kind == "x" and work.atoms[index].text in ("in", "since", "year")
        for index in range(low, high + 1)
    )


def _in_a_lamp(work: Work, at: int) -> bool:
    """Whether a number right behind tubes says how many there are in each: "12 wraps, T12s, two in each"."""
    behind = at - 1
    while (
        behind > at - 6
        and behind >= 0
        and (
            work.atoms[behind].kind == "s"
            or len(work.text_at(behind)) == 2
            or work.unit(behind) == "ft"
            or work.unit(behind + 1) == "ft"
        )
    ):
        behind -= 1
    return work.has(behind, "source") in _TUBES or work.unit(behind) == "lamps"


_TUBES = frozenset({"T12", "T8", "T5", "T5HO", "CFL"})


_AT_EACH = words_of("for on at in over per above by outside en por para")


def _breakdowns(work: Work) -> None:
    """Take away a share of a count that was given whole: "16 wall packs (8 per side)"."""
    whole: list[float] = []
    for at in work.numbers:
        if not work.is_number(at):
            continue
        value = work.atoms[at].value
        unit = work.unit(at + 1)
        several = value >= 2 or not _AT_EACH.isdisjoint(work.text_at(at + 1).split())  # "1 each" may be lamps
        if whole and unit is None and several and not _in_a_lamp(work, at):
            share = any(
                _SHARES.intersection(work.text_at(index).split())
                and work.text_at(index + 1) not in ("fixture", "head", "lamp")
                for index in range(at + 1, min(at + 4, len(work.atoms)))
                if not any(ends_clause(work.atoms[n]) or _trade(work, n) for n in range(at + 1, index))
            )
            if share and work.has(at - 1, "source") in TUBES and value <= 8:
                continue  # "same fat T12s two in each": lamps
            if share and any(total > value and total % value == 0 for total in whole):
                take(work, at)
                continue
        if _measured(work, at) and unit in (None, "each"):
            whole.append(value)
