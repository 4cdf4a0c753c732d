"""Writes the golden replies anew: run it on purpose, then read every difference.

python -m tests.unit.replies.rewrite_goldens
"""

from pathlib import Path

from bot.replies import CHANNELS, render
from bot.replies.words import LANGUAGES
from tests.unit.replies.samples import SAMPLES, TEXT

FOLDER = Path(__file__).parent / "goldens"
KEPT = (
    "wall_packs",
    "by_light",
    "two_lines",
    "never_pays",
    "hazardous_location",
    "danger",
    "greet",
    "compare",
    "explain",
    "light_in_a_room",
    "light_at_a_fence",
)
"""Samples kept whole in every channel and language; the others are kept for the terminal and the text message."""


def golden_names() -> list[tuple[str, str, str]]:
    """(sample, channel, language) of every golden."""
    return [
        (sample, channel, language)
        for sample in SAMPLES
        for channel in CHANNELS
        for language in LANGUAGES
        if sample in KEPT or channel in ("terminal", "sms")
    ]


def golden_path(sample: str, channel: str, language: str) -> Path:
    """Where the golden stands."""
    return FOLDER / f"{sample}.{channel}.{language}.txt"


def reply(sample: str, channel, language) -> str:
    """The reply as it is now, ending in a line break."""
    quote, reading = SAMPLES[sample]()
    texts = ("how did you get that",) if sample == "explain" else (TEXT,)
    return render(quote, reading, channel, language, texts) + "\n"


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for old in FOLDER.glob("*.txt"):
        old.unlink()
    for name in golden_names():
        golden_path(*name).write_text(reply(*name), encoding="utf-8")
