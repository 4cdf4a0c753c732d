"""Specimen and verdict: hours of a part of the year, or of half a day, are doubted and said to be unread."""

import pytest

from bot.reading import read_first


@pytest.mark.parametrize(
    ("text", "unread"),
    [
        ("on from Nov thru Mar, 10 hours a day, 6 floods 400 MH", ["from Nov thru Mar"]),
        ("half days on Saturday, 8 high bays 400 MH, M-F 7 to 5", ["half days on Saturday"]),
        ("12 hours a day in summer, 8 in winter, 10 high bays", ["in summer", "8 in winter"]),
        ("open 9 months a year, 10 hours a day. 20 wraps", ["9 months a year"]),
        ("pista de hielo, octubre a abril, 16 horas al dia, 30 campanas", ["octubre a abril"]),
    ],
)
def test_a_schedule_that_holds_for_a_part_is_doubted(text: str, unread: list[str]) -> None:
    reading = read_first(text).as_json()
    assert [text[start:end] for _, start, end in reading["unread"]] == unread
    assert "job.schedule" in [doubt["path"] for doubt in reading["doubts"]]


@pytest.mark.parametrize(
    "text",
    [
        "shop is on 10 hrs a day, 20 high bays, we need it in march",
        "summer camp has 12 barn lights, dusk to dawn",
        "12 high bays 10 hours a day, need them between March and April",
    ],
)
def test_a_month_beside_hours_is_no_part_of_them(text: str) -> None:
    reading = read_first(text).as_json()
    assert reading["unread"] == []
    assert "job.schedule" not in [doubt["path"] for doubt in reading["doubts"]]
