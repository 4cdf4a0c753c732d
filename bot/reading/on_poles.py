"""What hangs on poles and is called nothing else: the pole lights of a lot, unless the poles stand along a road."""

from bisect import bisect_left

from bot.reading.atoms import Atom
from bot.reading.clause import Work
from bot.reading.message import Said
from bot.reading.words import words_of

_LIGHTS = words_of(
    """head heads light lights lite lites fixture fixtures luminaire luminaires lamp lamps cabeza cabezas lampara lamparas luminaria
    luminarias luminario luminarios luz luces foco focos footer footers"""
)
_LOTS = words_of("lot lots parking estacionamiento estacionamientos playa aparcamiento parqueo")
_ROADS = words_of(
    """street streets st road roads rd roadway roadways boulevard blvd avenue ave highway hwy interchange ramp ramps mast masts wood wooden
    utility calle calles avenida carretera bulevar madera"""
)
_STYLES = ("single", "twin", "triple", "quad")
_NEAR = 90
"""Characters between a pole and the watts that hang on it."""


def poles_of(work: Work) -> list[Atom]:
    """The words for poles that carry pole lights; none where nothing says that they do."""
    if not work.speaks_of("cue:poles"):
        return []
    poles: list[Atom] = []
    carry = False
    for at, atom in enumerate(work.atoms):
        words = atom.text.split(" ")
        if not _ROADS.isdisjoint(words):
            return []
        cues = work.cue(at)
        if "poles" in cues and atom.text not in ("standards", "posts"):
            poles.append(atom)
            # "8 poles 400 MH": the poles are what is counted
            carry = carry or (
                at > 0
                and work.atoms[at - 1].kind == "n"
                and work.unit(at - 1) is None
                and _number_next(work, at + 1)
            )
        carry = (
            carry
            or not _LIGHTS.isdisjoint(words)
            or not _LOTS.isdisjoint(words)
            or any(style in cues for style in _STYLES)
        )
    return poles if carry else []


def _number_next(work: Work, at: int) -> bool:
    """Whether a number stands at an atom, a joining word before it perhaps: "3 postes de 250 sodio"."""
    if work.text_at(at) in ("de", "of", "w", "w/", "with", "con", "at", "@"):
        at += 1
    return at < len(work.atoms) and work.atoms[at].kind == "n"


def on_poles(watts: Said, poles: list[Atom], stop: int) -> Said | None:
    """The family of what has these watts and hangs on the nearest of the poles before ``stop``; ``None`` where none is near."""
    nearest = bisect_left(poles, watts.start, key=lambda atom: atom.start)
    for pole in poles[max(0, nearest - 1) : nearest + 1]:
        if abs(pole.start - watts.start) < _NEAR and pole.start < stop:
            return Said("area", pole.start, pole.end, rule="heads on poles")
    return None
