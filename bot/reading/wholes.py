"""A whole whose parts only stand in different spots of one place: "14 wall packs total, 8 front 6 back" is one type."""

from bot.reading.clause import Work
from bot.reading.words import words_of

_SIDES = words_of(
    """front back rear side sides north south east west left right top bottom upstairs downstairs inside outside outdoors indoors up down
    out frente atras adentro afuera arriba abajo norte sur este oeste oriente poniente along around by over above below near in on at
    al del en sobre por hall hallway hallways corridor lobby entry entrance stairs stairwell kitchen roof fence gate walk drive dock patio"""
)
_LINKS = words_of("the our my a de la el los las lado side sides wall end and y of to facing face")
_APART = words_of(
    """building buildings bldg bldgs lot lots shop warehouse office offices gym annex school plant campus barn barns store floor floors
    level levels phase house site yard garage edificio edificios nave bodega taller piso pisos nivel escuela planta unit units area"""
)
"""Places that hold a type of their own: the same luminaire in two buildings is two lines."""
_REACH = 5


def only_placed(work: Work, after: list[tuple[int, int]]) -> bool:
    """Whether nothing but a spot follows each part (its words from, to): no attribute, no building of its own."""
    for low, high in after:
        if not set(work.text_at(low).split(" ")) & _SIDES:
            return False
        for index in range(low, min(high, low + _REACH)):
            atom = work.atoms[index]
            if atom.kind in ("s", "b", "n") or "join" in atom.mean:
                break
            if not _APART.isdisjoint(atom.text.split(" ")):
                return False
            if len(atom.text) == 1 and atom.text not in ("a", "y"):
                return False  # "8 in A, 6 in B"
    return True
