"""An answer that tells something else: a lamp beside its number is that lamp's watts, whatever was asked."""

import pytest

from bot.conversation import read_turns

CASES = [
    ("lines.0.voltage", "they're 150 sodium", {"source": "HPS", "watts": 150.0}),
    ("lines.0.voltage", "150 hps", {"source": "HPS", "watts": 150.0}),
    ("lines.*.voltage", "sodio 250", {"source": "HPS", "watts": 250.0}),
    ("lines.0.height_ft", "150 sodium", {"source": "HPS", "watts": 150.0}),
    ("lines.0.height_ft", "400 mh, 30 up", {"source": "MH", "watts": 400.0, "height_ft": 30.0}),
    ("lines.0.voltage", "400 mh, 277", {"source": "MH", "watts": 400.0, "voltage": 277}),
    ("lines.0.voltage", "277", {"voltage": 277}),
    ("lines.0.height_ft", "25", {"height_ft": 25.0}),
    ("lines.0.lamps", "4 T8", {"source": "T8", "lamps": 4}),
    ("job.rate_per_kwh", "they're 150 sodium", {"source": "HPS", "watts": 150.0}),
    ("job.schedule", "400 mh", {"source": "MH", "watts": 400.0}),
]


@pytest.mark.parametrize(("asked", "text", "told"), CASES, ids=[f"{a}: {t}" for a, t, _ in CASES])
def test_a_lamp_is_told_whatever_was_asked(asked: str, text: str, told: dict[str, object]) -> None:
    last = read_turns([("15 cobras", None), (text, asked)])[-1].as_json()

    assert last["lines"] == [{"qty": 15, "family": "street"} | told]
    assert last["job"] == {}


def test_a_bare_number_answers_about_the_job() -> None:
    last = read_turns([("15 cobras", None), ("400 mh and 11", "job.rate_per_kwh")])[-1].as_json()

    assert last["job"] == {"rate_per_kwh": 0.11}
    assert last["lines"] == [{"qty": 15, "family": "street", "source": "MH", "watts": 400.0}]
