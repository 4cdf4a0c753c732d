"""How probable it is that every slot of a state is right: a logistic of a few signs, fitted on the corpus' tuning part."""

import math
import tomllib
from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from bot.conversation.state import Held
from bot.reading.compiled import FOLDER

FILE: Final = FOLDER.parents[1] / "conversation" / "confidence.toml"
SIGNS: Final = (
    "always",
    "slots",
    "close",
    "closest",
    "doubts",
    "unread",
    "faults",
    "guessed",
    "empty",
    "risk",
)
"""What the weights are of:

``slots``: log of 1 + how many are held. ``close``: sum over the slots of exp(-margin). ``closest``: the greatest of these.
``doubts``, ``unread``, ``faults``: how many. ``guessed``: slots by a misspelt word or a default rule. ``empty``: 1 where
nothing is held. ``risk``: square root of how many slots of the last message are expected to be wrong (see
`bot.reading.unsure`).
"""


@lru_cache(maxsize=1)
def weights() -> tuple[float, ...]:
    """One weight a sign."""
    stored = tomllib.loads(FILE.read_text(encoding="utf-8"))["weights"]
    return tuple([float(stored[sign]) for sign in SIGNS])


def signs(held: Iterable[Held], unread: int, faults: int, risk: float = 0.0) -> tuple[float, ...]:
    """The signs of a state and its last message, in the order of `SIGNS`."""
    slots = doubts = guessed = 0
    close = closest = 0.0
    for one in held:
        slots += 1
        if one.others:
            doubts += 1
        if one.rule.startswith("fuzzy"):
            guessed += 1
        if one.margin < 9.0:
            nearness = math.exp(-max(one.margin, 0.0))
            close += nearness
            closest = max(closest, nearness)
    return (
        1.0, math.log1p(slots), min(close, 4.0), closest, min(doubts, 4), min(unread, 4), min(faults, 4), min(guessed, 4),
        float(slots == 0), math.sqrt(min(risk, 9.0)),
    )  # fmt: skip


def confidence(held: Iterable[Held], unread: int, faults: int, risk: float = 0.0) -> float:
    """Between 0 and 1: the share of such states of which every slot is right."""
    score = sum(
        weight * sign for weight, sign in zip(weights(), signs(held, unread, faults, risk), strict=True)
    )
    return 1.0 / (1.0 + math.exp(-max(-30.0, min(30.0, score))))
