"""The words of a question about light: bounded, in place, and never a luminaire's own numbers."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from bot.reading.asked_light import AskedOfLight, asked_of_light, blanked, folded_over
from bot.reading.text import fold

WORDS = st.sampled_from(
    [
        "how",
        "many",
        "150w",
        "led",
        "high",
        "bays",
        "do",
        "i",
        "need",
        "for",
        "30",
        "fc",
        "in",
        "a",
        "60",
        "x",
        "120",
        "ft",
        "warehouse",
        "2x4",
        "troffers",
        "fence",
        "30",
        "ft",
        "away",
        "out",
        "40",
        "feet",
        "6",
        "poles",
        "twin",
        "heads",
        "average",
        "lux",
        "300",
        "metros",
        "bodega",
        "5,000",
        "sq",
        "ft",
        "acre",
        "perimeter",
        "around",
        "600'",
        "wall",
        "1/2",
        "$0.11",
        "216-555-0148",
        ".5",
        "half",
        "a",
        "foot",
        "candle",
        "x",
        "by",
        "por",
        "*",
        "?",
        ".",
        ",",
        ";",
        "\n",
    ]
)


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("need 30 fc average", {"level_fc": 30.0, "level_is": "average"}),
        ("at least half a foot candle minimum", {"level_fc": 0.5, "level_is": "minimum"}),
        ("20-30 fc", {"level_fc": 20.0}),
        ("300 luxes", {"level_fc": 27.8709}),
        ("5 pies candela", {"level_fc": 5.0}),
        ("a 60x120 warehouse", {"length_ft": 120.0, "width_ft": 60.0, "space": "warehouse"}),
        ("room is 30' by 40'", {"length_ft": 40.0, "width_ft": 30.0}),
        ("lote de 30 x 50 metros", {"length_ft": 164.04, "width_ft": 98.43}),
        ("36 2x4 troffers", {}),
        ("12 x 250 W wall packs", {}),
        ("6 x 400w mh", {}),
        ("10,000 sq ft shop", {"area_ft2": 10000.0, "space": "shop"}),
        ("2 acre lot", {"area_ft2": 87120.0, "space": "parking_lot"}),
        ("400 metros cuadrados", {"area_ft2": 4305.6}),
        ("600 ft perimeter", {"run_ft": 600.0, "around": True, "space": "building"}),
        ("a 20 ft wall", {}),
        ("a 200 ft wall", {"run_ft": 200.0}),
        ("walkway 6 ft wide", {"path_ft": 6.0, "space": "walkway"}),
        ("the fence is 30 ft away", {"line_ft": 30.0}),
        ("25 feet to the property line", {"line_ft": 25.0}),
        ("reach out 40 feet", {"reach_ft": 40.0}),
        ("40 ft from the wall", {"reach_ft": 40.0}),
        ("6 poles with 2 heads each", {"poles": 6, "heads": 2, "on_poles": True}),
        ("quads on 4 poles", {"poles": 4, "heads": 4, "on_poles": True}),
        ("on 30 ft poles", {"on_poles": True}),
        ("about 300 ft", {"bare_ft": 300.0}),
        ("60 by 120", {"length_ft": 120.0, "width_ft": 60.0}),
        ("they are at 25 ft, 480v", {}),
    ],
)
def test_what_is_said_of_light_is_taken(text: str, values: dict[str, object]) -> None:
    found = asked_of_light(fold(text)).values
    found.pop("wants", None)

    assert found == values


@pytest.mark.parametrize(
    ("text", "wants"),
    [
        ("how many do I need", ["count"]),
        ("how many footcandles do I get", ["level"]),
        ("how far apart do they go", ["spacing"]),
        ("how far will they throw", ["reach"]),
        ("will it be as bright", ["compare", "level"]),
        ("how much spills over the fence", ["spill"]),
        ("cuantas campanas necesito", ["count"]),
        ("cuantos luxes", ["level"]),
        ("a que distancia van", ["spacing"]),
    ],
)
def test_what_is_wanted_is_told(text: str, wants: list[str]) -> None:
    assert asked_of_light(fold(text)).values["wants"] == wants


@given(st.one_of(st.text(max_size=300), st.lists(WORDS, max_size=40).map(" ".join)))
@example("1" * 4000)
@example("60 x " * 800)
@example("how many " + "a " * 2000 + "poles")
def test_nothing_breaks_it_and_every_passage_lies_in_the_text(text: str) -> None:
    folded = fold(text)
    asked = asked_of_light(folded)
    out = blanked(folded, asked)

    assert len(out) == len(folded)
    for start, end in asked.spans:
        assert 0 <= start < end <= len(folded)
        assert out[start:end].isspace()
    for name, value in asked.values.items():
        assert isinstance(value, bool | int | float | str | list), name


def test_a_bare_length_answers_what_is_missing() -> None:
    spill = AskedOfLight({"wants": ["spill"]})
    run = AskedOfLight({"wants": ["count"]})
    bare = AskedOfLight({"bare_ft": 30.0})

    assert folded_over(iter([spill, bare]))["line_ft"] == 30.0
    assert folded_over(iter([run, bare]))["run_ft"] == 30.0
    assert folded_over(iter([bare])) == {}
