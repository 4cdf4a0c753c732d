"""What a conversation has asked of light so far: its messages folded into one question, as long as they are about one job.

The reading's state does not hold it: it is read from the texts again, which costs a fraction of a millisecond and only where
light was asked about.
"""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from pydantic import ValidationError

from bot.reading.intents import asks_layout
from bot.reading.mail import own_words
from bot.reading.message import ASKED_OF_LIGHT
from bot.reading.shape import Reading
from bot.reading.text import fold, mend_digits
from engine.catalog.catalogue import Catalogue
from engine.request import AskedLight, StatedLine
from engine.tables import Tables
from engine.vocabulary import Family

if TYPE_CHECKING:
    from bot.reading.asked_light import AskedOfLight

MOST_TURNS: Final = 40
"""Messages that are looked back at."""
LATELY: Final = 3
NEAR_ENOUGH: Final = 0.35
"""So far, as a share, the nearest watts of a catalogue may be from those asked for."""
MOST_LED_WATTS: Final[Mapping[Family, float]] = {
    "wall_pack": 120, "area": 300, "street": 250, "flood": 300, "high_bay": 240, "low_bay": 200, "canopy": 120, "garage": 80,
    "troffer": 70, "panel": 70, "strip": 90, "bollard": 40, "post_top": 100,
}  # fmt: skip
"""LED luminaires of a kind draw no more than that (common practice, no source)."""


def answers_layout_question(asked: str | None, text: str) -> bool:
    """Whether ``text`` gives what our question about light asked for."""
    if not (asked or "").startswith(ASKED_OF_LIGHT):
        return False
    values = _read(text).values.keys()
    return bool(values - {"wants", "space", "poles", "heads"}) or bool(
        values and not asks_layout(_folded(text))
    )


def tells_size_again(texts: Sequence[str], text: str) -> bool:
    """Whether ``text`` is how large what is to be lit is, and one of the few messages before asked about light: "actually 80 x 60"."""
    return lately_asked_light((*texts, "")) and {"length_ft", "width_ft"} <= _read(text).values.keys()


def light_asked(texts: Sequence[str], reading: Reading) -> AskedLight | None:
    """What is asked of light in the messages that the present job is from; ``None`` where nothing is.

    Args:
        texts: of all messages, the last one last.
        reading: the whole state after it; what it was said in tells where the job begins.
    """
    if not texts:
        return None
    from bot.reading.asked_light import folded_over

    last = len(texts) - 1
    first = min((turn for turn, _, _ in reading.spans.values()), default=last)
    heard = [_read(text) for text in texts[max(first, last - MOST_TURNS) :]]
    values = folded_over(iter(heard))
    if not values.get("wants"):
        if reading.intent != "layout":
            return None
        values["wants"] = ["level"]
    return _checked(values)


def with_usual_lights(
    lines: tuple[StatedLine, ...], asked: AskedLight, tables: Tables
) -> tuple[tuple[StatedLine, ...], AskedLight]:
    """The lines with the kind of luminaire that usually lights such a place, where none is named; and whether that was done.

    Without any line one is made, if something was said that such luminaires are to light.
    """
    if {"count", "spacing"} & set(asked.wants) and any(_names_led(line) for line in lines):
        lines = tuple(
            line.model_copy(update={"led_watts": line.watts, "watts": None}) if _names_led(line) else line
            for line in lines
        )
        asked = asked.model_copy(update={"watts_are_led": True})
    family = _usual_family(asked, tables)
    sized = asked.length_ft or asked.area_ft2 or asked.run_ft
    if family is None or any(line.family is not None for line in lines) or not (lines or sized):
        return lines, asked
    named = tuple(line.model_copy(update={"family": family}) for line in lines) or (
        StatedLine(family=family),
    )
    return named, asked.model_copy(update={"family_is_taken": True})


def with_nearest_watts(
    lines: tuple[StatedLine, ...], asked: AskedLight, catalogue: Catalogue
) -> tuple[StatedLine, ...]:
    """The lines with the catalogue's nearest LED watts, where what was asked for is in no catalogue but something near is."""
    return tuple(_nearest(line, catalogue) for line in lines)


def _nearest(line: StatedLine, catalogue: Catalogue) -> StatedLine:
    wanted = line.led_watts
    if wanted is None or line.family is None:
        return line
    watts = [p.input_watts for p in catalogue.of_kind("luminaire", line.family) if p.family == line.family]
    best = min(watts, key=lambda each: (abs(each - wanted), each), default=None)
    if best is None or abs(best - wanted) > NEAR_ENOUGH * wanted:
        return line
    return line.model_copy(update={"led_watts": best})


def _names_led(line: StatedLine) -> bool:
    """Whether the watts are rather those of the lights to be bought: nothing hangs there yet, and LEDs of the kind draw as much."""
    if line.watts is None or line.source is not None or line.qty is not None or line.led_watts is not None:
        return False
    return line.family is not None and line.watts <= MOST_LED_WATTS.get(line.family, 0.0)


def _usual_family(asked: AskedLight, tables: Tables) -> Family | None:
    space = next((row for row in tables.spaces if row.space == asked.space), None)
    if asked.on_poles and (space is None or space.arrangement != "poles"):
        return "area"
    return None if space is None else space.usual_family


def lately_asked_light(texts: Sequence[str]) -> bool:
    """Whether one of the few messages before the last asked about light: "how did you get that" is about its answer."""
    return any(asks_layout(_folded(text)) for text in texts[-1 - LATELY : -1])


def _read(text: str) -> "AskedOfLight":
    # only a question about light pays for its words
    from bot.reading.asked_light import asked_of_light

    return asked_of_light(_folded(text))


def _folded(text: str) -> str:
    return own_words(mend_digits(fold(text)))


def _checked(values: dict[str, Any]) -> AskedLight | None:
    """The values that are within bounds; what is not (a lot of 40 miles) is left out, as if it had not been said."""
    try:
        return AskedLight.model_validate(values)
    except ValidationError as error:
        wrong = {str(part) for fault in error.errors() for part in fault["loc"][:1]}
    kept = {slot: value for slot, value in values.items() if slot not in wrong}
    return AskedLight.model_validate(kept) if kept.get("wants") else None
