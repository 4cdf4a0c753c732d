"""What holds luminaires: rooms, poles, doors; and whether a count is of each of them or of pieces on a list."""

from bot.reading.clause import Work
from bot.reading.words import words_of

HOLDERS = words_of(
    "classroom apartment office bay hallway hall aisle court wing stairwell restroom bathroom suite level "
    "deck side wall column store house site corner entrance gate cuarto salon edificio puerta piso labs "
    "lab booths booth docks dock sections section pods towers tower zones closets corridors corridor gyms "
    "hangars sheds islas pasillos oficinas casas unidades departamentos banos niveles kitchens kitchen "
    "garage ramps trailers shops doors door rooms room floors floor buildings building bldgs apartments "
    "units apts stairwells bays offices classrooms entrances restrooms hallways halls aisles courts "
    "fields lots decks levels columns corners sides walls stores houses cabins barns tables islands "
    "edificios puertas cuartos salones pisos stairs landings stations locations sites garages homes "
    "stalls bathrooms suites wings entries gates dugouts pumps "
    "nivel nave naves bodegas aula aulas salones cancha canchas locales modulo modulos torres torre sucursal sucursales tiendas "
    "habitacion habitaciones recamara recamaras cubiculo cubiculos plantas escaleras edificio puertas andenes anden bodega"
) | frozenset(["dock doors", "bay doors"])
"""Words for what is counted and then times what each of it has; poles have their own mark in the lexicon."""

_SIGNS = words_of(
    "signs billboard billboards anuncio anuncios espectacular espectaculares letrero letreros rotulo rotulos"
)


def is_sign(work: Work, at: int) -> bool:
    """Whether signs stand here that may be lit by floods: "5 billboards with 4 floods each"; exit signs are luminaires."""
    atom = work.atoms[at]
    return atom.text.rpartition(" ")[2] in _SIGNS and atom.mean.get("family", "sign") == "sign"


EACH = words_of("each ea apiece every cada")

HAVING = words_of(
    "has have with gets get had w w/ of : con tiene tienen lleva llevan hay there got contains takes needs"
)

PREPOSITIONS = words_of("on in at over by along around behind outside inside near above en sobre atras por")

_BETWEEN = words_of(", : / ' - tall high")

_NOUNS = ("family", "size", "family_weak", "generic")


def noun(work: Work, index: int) -> bool:
    return 0 <= index < len(work.atoms) and any(kind in work.atoms[index].mean for kind in _NOUNS)


def off_poles(work: Work, at: int) -> bool:
    """Whether what is counted here hangs on no pole: "each with two shoeboxes and 14 wall packs"."""
    family = next((work.has(n, "family") for n in range(at + 1, at + 6) if work.has(n, "family")), None)
    return family is not None and family not in ("area", "street", "flood", "post_top", "security")


def shared(work: Work, at: int) -> bool | None:
    """Whether "ea" behind the count at ``at`` shares it out over what holds it, where what is counted is named next.

    ``True`` in "12 rooms, 6 ea 2x4 troffers" and "6 ea troffers in 12 rooms"; ``False`` where "ea" is the unit of the count,
    as on an order: "3 ea 400 W floods, 2 poles"; ``None`` where no such word, or no name, stands there.
    """
    if work.text_at(at + 1) not in EACH or not _named(work, at + 2):
        return None
    count = len(work.atoms)
    index = at - 1
    while index >= 0 and index > at - 8:
        atom = work.atoms[index]
        if "poles" in work.cue(index):
            return not off_poles(work, at)
        if atom.text in HOLDERS:
            return True
        light = (
            atom.text in _BETWEEN or atom.text in HAVING or atom.mean.get("unit") in ("ft", "m")
        )  # its height may stand between
        if not light and not (atom.kind == "n" and work.unit(index + 1) in ("ft", "m")):
            break
        index -= 1
    for index in range(at + 2, min(at + 10, count - 2)):
        if work.atoms[index].kind in ("s", "b") and work.atoms[index].text not in ("'", "-"):
            break
        if work.text_at(index) in PREPOSITIONS and work.is_number(index + 1):
            return work.text_at(index + 2) in HOLDERS
    return False


def _named(work: Work, first: int) -> bool:
    """Whether luminaires are named from an atom on, before anything parts them from it."""
    for index in range(first, min(first + 4, len(work.atoms))):
        atom = work.atoms[index]
        if atom.kind in ("s", "b", "c"):
            return False
        if noun(work, index) or "source" in atom.mean or atom.mean.get("unit") == "w":
            return True
    return False
