"""Words behind "same": which slots are as before ("same voltage", "same lamp", "same volts, same color and height")."""

from bot.reading.clause import Work
from bot.reading.words import words_of

_LAMP = ("source", "watts", "lamps", "lamp_feet")
_SAME_SLOTS = {
    "voltage": ("voltage",), "voltages": ("voltage",), "volts": ("voltage",), "volt": ("voltage",), "voltaje": ("voltage",),
    "height": ("height_ft",), "heights": ("height_ft",), "altura": ("height_ft",), "ht": ("height_ft",), "lamp": _LAMP, "lamps": _LAMP,
    "lampara": _LAMP, "lamparas": _LAMP, "foco": _LAMP, "focos": _LAMP, "bulb": _LAMP, "bulbs": _LAMP, "tubes": _LAMP, "tubos": _LAMP,
    "watts": ("watts",), "wattage": ("watts",), "watt": ("watts",), "potencia": ("watts",), "finish": ("finish",), "acabado": ("finish",),
    "color": ("finish",), "colour": ("finish",), "colors": ("finish",), "paint": ("finish",), "mount": ("mount",), "mounting": ("mount",), "montaje": ("mount",),
    "controls": ("controls",), "control": ("controls",), "optic": ("optic",), "optics": ("optic",), "distribution": ("optic",),
    "kelvin": ("cct_k",), "cct": ("cct_k",), "source": ("source",),
}  # fmt: skip
_OF_LIGHT = words_of("temp temperature temps")
_UP = words_of("height ht heights")
ALONE = frozenset({"misma", "la misma", "el mismo"})
"""Words that say sameness of what is named behind them, and of nothing else: "la misma escuela" is another thing."""
_SAME = ALONE | {"same", "the same", "exact same", "mismo", "mismos", "mismas", "los mismos", "las mismas"}
_GOES_ON = words_of("and & / + y e n plus also")


def same_slots(word: str) -> tuple[str, ...]:
    """The slots that "same <word>" speaks of; none where the word is no slot's name."""
    return _SAME_SLOTS.get(word, ()) if word != "type" else _LAMP


def _name(work: Work, at: int) -> tuple[tuple[str, ...], int]:
    """The slots named at ``at`` and the index of the name's last atom: "lamp type", "mounting height", "color temp"."""
    word, behind = work.text_at(at), work.text_at(at + 1)
    if word in ("color", "colour") and behind in _OF_LIGHT:
        return ("cct_k",), at + 1
    if word in ("mounting", "mount", "pole", "hanging") and behind in _UP:
        return ("height_ft",), at + 1
    if word == "lamp" and behind in ("type", "types", "wattage", "watts"):
        return _LAMP, at + 1
    return same_slots(word), at


def same_as(work: Work, at: int) -> tuple[tuple[str, ...], int]:
    """The slots that are said to be the same from "same" at ``at`` on, and the last atom that names one.

    "same lamp same volts same color", "same color and voltage": each name may have its own "same", or share the one before.
    """
    slots, last = _name(work, at + 1)
    if not slots:
        return (), at
    while True:
        step = last + 1
        joined = comma = anew = False
        while step < len(work.atoms) and step < last + 5:
            text = work.text_at(step)
            if text == ",":
                comma = True
            elif text in _GOES_ON:
                joined = True
            elif text in _SAME:
                anew = True
            elif text not in ("the", "w/", "with"):
                break
            step += 1
        more, end = _name(work, step) if joined or comma or anew else ((), step)
        if not more or (not anew and _has_value(work, end + 1)):
            return slots, last
        slots += tuple(slot for slot in more if slot not in slots)
        last = end


def value_of_all(work: Work, slots: tuple[str, ...], last: int) -> bool:
    """Whether a value of what is the same follows: "4 floods 250 hps, same height 18'" is the height of all."""
    if len(slots) != 1 or last + 1 >= len(work.atoms) or work.atoms[last + 1].kind != "n":
        return False
    value, unit = work.atoms[last + 1].value, work.unit(last + 2)
    if slots[0] == "height_ft":
        return unit in ("ft", "m") or work.text_at(last + 2) == "'"
    if slots[0] == "voltage":
        return unit == "v" or (unit is None and value in (120, 208, 240, 277, 347, 480))
    return False


def _has_value(work: Work, at: int) -> bool:
    """Whether what is named gets a value of its own: "same lamp and height 20"."""
    return work.text_at(at) in (":", "=", "is", "of", "at", "-") or (
        at < len(work.atoms) and work.atoms[at].kind == "n"
    )
