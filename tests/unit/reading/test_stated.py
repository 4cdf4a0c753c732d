"""The plain JSON form of a reading is the one that the models give."""

import subprocess
import sys

import pytest

from bot.reading import read_first
from bot.reading.stated import CONTEXT_SLOTS, HOURS_SLOTS, JOB_SLOTS, LINE_SLOTS, PLACE_SLOTS, in_json
from engine.request import Context, Place, StatedHours, StatedJob, StatedLine
from tests.corpus.records import part_of, records

TEXTS = [
    turn["text"] for record in records() if part_of(record["id"]) == "tuning" for turn in record["turns"][:1]
]
MODELS = {
    "job": (StatedJob, JOB_SLOTS), "line": (StatedLine, LINE_SLOTS), "hours": (StatedHours, HOURS_SLOTS),
    "place": (Place, PLACE_SLOTS), "context": (Context, CONTEXT_SLOTS),
}  # fmt: skip


@pytest.mark.parametrize("name", MODELS)
def test_the_slots_are_those_of_the_models_in_their_order(name: str) -> None:
    model, forms = MODELS[name]
    assert list(forms) == list(model.model_fields)


def test_every_reading_of_the_tuning_part_has_the_json_form_that_its_models_give() -> None:
    for text in TEXTS:
        reading = read_first(text)
        shown = reading.as_json()
        assert repr(shown["job"]) == repr(reading.job.stated())
        assert repr(shown["lines"]) == repr([line.stated() for line in reading.lines])
        assert repr(shown["context"]) == repr(reading.context.stated())
    assert len(TEXTS) > 300


def test_whole_numbers_lose_their_point_and_measures_get_one() -> None:
    given = {"voltage": 277.0, "watts": 250, "qty": 12.0, "controls": ("dimming", "motion"), "finish": None}
    assert repr(in_json(given, LINE_SLOTS)) == repr(StatedLine.model_validate(given).stated())


def test_a_count_that_is_not_whole_is_not_rounded_away() -> None:
    assert in_json({"qty": 12.5}, LINE_SLOTS) == {"qty": 12.5}


def test_reading_a_message_loads_no_models() -> None:
    code = (
        "import sys\nfrom bot.reading import read_first\nread_first('12 floods at 20 ft').as_json()\n"
        "print(*[name for name in ('pydantic', 'numpy', 'aiohttp', 'jinja2') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == []
