"""What luminaires hang near: "4 wallpacks by the black gate", "next to the 277v transformer", "near the time clock".

What is said of such a thing is not said of the luminaires: its colour, voltage, height or controls are theirs no more than its name.
"""

from bot.reading.clause import Work
from bot.reading.supply import VOLTS
from bot.reading.words import words_of

_NEAR = words_of(
    "near nearby beside behind opposite along alongside around facing past junto cerca frente detras atras"
)
_LED_ON = {"next": "to", "across": "from", "close": "to", "adjacent": "to", "outside": "of", "back": "of"}
"""Words that are near only with another: "next to"."""
_LINKS = words_of("to from of a al de del")
_OWN = words_of("a an our their his her my that this un una nuestra nuestro su")
_SORT = words_of(
    "old new big small large tall little main front back rear side north south east west upper lower other first second last existing rusty steel brick"
)
_SAID = frozenset({"finish", "controls", "damp_or_wet", "voltage", "mount"})
_LUMINAIRE = frozenset({"family", "source", "size", "led", "generic", "pointer", "code"})
_THINGS = words_of("light lights lamp lamps fixture fixtures head heads ones one unit units luces lamparas")
_REACH = 6


def landmarks(work: Work) -> None:
    """Take what is said of a thing near the luminaires out of the reading."""
    if not work.speaks_of("finish", "controls", "damp_or_wet", "unit:ft", "unit:v", "family_weak"):
        return
    for at, atom in enumerate(work.atoms):
        if (
            atom.text in _NEAR
            or (atom.text in _LED_ON and work.text_at(at + 1) == _LED_ON[atom.text])
            or (atom.text == "by" and "the" in work.cue(at + 1))
        ):
            _aside(work, at + 1)


def _aside(work: Work, at: int) -> None:
    """Set aside what is said of the thing whose phrase begins at ``at``, its article first."""
    while work.text_at(at) in _LINKS:
        at += 1
    if "the" not in work.cue(at) and work.text_at(at) not in _OWN and work.text_at(at - 1) != "del":
        return
    if "the" in work.cue(at) or work.text_at(at) in _OWN:
        at += 1
    told: list[int] = []
    for index in range(at, min(at + _REACH, len(work.atoms))):
        atom = work.atoms[index]
        if work.used[index] or atom.kind in ("s", "b"):
            return
        if atom.kind == "n":
            unit = work.unit(index + 1)
            if unit not in ("ft", "v") and not (atom.value in VOLTS and _is_panel(work, index + 1)):
                return
            told.append(index)
        elif atom.mean.get("unit") in ("ft", "v"):
            told.append(index)
        elif _is_panel(work, index) and told:
            work.atoms[index] = atom._replace(mean={})
            _use(work, told)
            return
        elif not _SAID.isdisjoint(atom.mean):
            told.append(index)
            if "controls" in atom.mean and _ends(work, index + 1):
                _use(work, told)  # "by the time clock"
                return
        elif not _LUMINAIRE.isdisjoint(atom.mean) and not _flagpole(work, index):
            return
        elif (atom.kind == "w" and atom.text not in _SORT and atom.text not in _THINGS) or _flagpole(
            work, index
        ):
            if index + 1 < len(work.atoms) and work.text_at(index + 1) in ("pole", "poles"):
                continue
            if work.has(index + 1, "finish") is not None and work.has(index + 1, "es") and not told:
                told.append(index + 1)  # "junto a la puerta negra"
            _use(work, told)
            return


def _use(work: Work, told: list[int]) -> None:
    for index in told:
        work.used[index] = 1


def _ends(work: Work, at: int) -> bool:
    return at >= len(work.atoms) or work.atoms[at].kind in ("s", "b")


def _is_panel(work: Work, at: int) -> bool:
    """Whether a panel stands here that may be the one with the breakers."""
    return work.text_at(at) in ("panel", "panels") and work.text_at(at + 1) not in _THINGS


def _flagpole(work: Work, at: int) -> bool:
    return work.text_at(at) in ("pole", "poles") and work.text_at(at - 1) in (
        "flag",
        "utility",
        "power",
        "gate",
    )
