"""What a conversation has asked of light so far: its messages folded into one question, as long as they are about one job.

The reading's state does not hold it: it is read from the texts again, which costs a fraction of a millisecond and only where
light was asked about.
"""

from collections.abc import Sequence
from typing import Any, Final

from pydantic import ValidationError

from bot.reading.asked_light import ASKED_OF_LIGHT, AskedOfLight, asked_of_light, folded_over
from bot.reading.intents import asks_layout
from bot.reading.mail import own_words
from bot.reading.shape import Reading
from bot.reading.text import fold, mend_digits
from engine.request import AskedLight

MOST_TURNS: Final = 40
"""Messages that are looked back at."""
LATELY: Final = 3


def answers_layout_question(asked: str | None, text: str) -> bool:
    """Whether ``text`` gives what our question about light asked for."""
    if not (asked or "").startswith(ASKED_OF_LIGHT):
        return False
    values = _read(text).values.keys()
    return bool(values - {"wants", "space", "poles", "heads"}) or bool(
        values and not asks_layout(_folded(text))
    )


def light_asked(texts: Sequence[str], reading: Reading) -> AskedLight | None:
    """What is asked of light in the messages that the present job is from; ``None`` where nothing is.

    Args:
        texts: of all messages, the last one last.
        reading: the whole state after it; what it was said in tells where the job begins.
    """
    if not texts:
        return None
    last = len(texts) - 1
    first = min((turn for turn, _, _ in reading.spans.values()), default=last)
    heard = [_read(text) for text in texts[max(first, last - MOST_TURNS) :]]
    values = folded_over(iter(heard))
    if not values.get("wants"):
        return None
    return _checked(values)


def lately_asked_light(texts: Sequence[str]) -> bool:
    """Whether one of the few messages before the last asked about light: "how did you get that" is about its answer."""
    return any(asks_layout(_folded(text)) for text in texts[-1 - LATELY : -1])


def _read(text: str) -> AskedOfLight:
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
