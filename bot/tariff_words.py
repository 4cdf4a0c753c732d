"""A tariff in plain words, for who wrote the file and wants to see that it says what the utility's sheet says."""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Final

from engine.energy.load_shape import DAYS, HOURS, Day
from engine.money.tariff import Block, Demand, Period, Season, Tariff

_MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December",
)  # fmt: skip
_ALL_DAY: Final = frozenset(range(HOURS))


def tariff_lines(tariff: Tariff) -> Iterator[str]:
    """The tariff, line by line."""
    yield f"{tariff.name}, {tariff.utility}"
    yield f"Source: {tariff.source}"
    yield f"Tax on everything: {_percent(tariff.tax_share)}" if tariff.tax_share else "No tax on it."
    for season in tariff.seasons:
        yield ""
        months = months_in_words(season.months)
        yield season.name if season.name.lower() == months else f"{season.name}: {months}"
        yield from _season(season)
    yield ""
    yield "Fixed charges are left out: no light changes them. Ratchets, minimum bills and riders are not modeled."


def _season(season: Season) -> Iterator[str]:
    for period in season.energy:
        yield f"  {period.name}: {_money(period.usd_per_kwh)} a kWh, {_period_hours(period)}"
    yield from _blocks(season.blocks)
    for charge in season.demand:
        yield f"  {charge.name}: {_money(charge.usd_per_kw)} a kW each month, {_demand_hours(charge)}"
    if not season.demand:
        yield "  no demand charge"


def _blocks(blocks: Sequence[Block]) -> Iterator[str]:
    last: Decimal | None = None
    for block in blocks:
        price = f"{_money(block.usd_per_kwh)} a kWh"
        if block.up_to_kwh is None:
            yield f"  above {last:,} kWh a month: {price}" if last is not None else f"  every kWh: {price}"
        elif last is None:
            yield f"  up to {block.up_to_kwh:,} kWh a month: {price}"
        else:
            yield f"  from {last:,} to {block.up_to_kwh:,} kWh a month: {price}"
        last = block.up_to_kwh


def _period_hours(period: Period) -> str:
    return week_in_words(period.hours)


def _demand_hours(charge: Demand) -> str:
    return "at any time" if charge.any_time else week_in_words(charge.hours)


def week_in_words(hours: Mapping[Day, frozenset[int]]) -> str:
    """When in the week: "weekdays 1 pm to 7 pm, weekends all day"."""
    if all(hours[day] == _ALL_DAY for day in DAYS):
        return "all the time"
    if hours["weekday"] == hours["weekend"]:
        return f"every day {_spans(hours['weekday'])}"
    return ", ".join(f"{day}s {_spans(hours[day])}" for day in DAYS if hours[day]) or "never"


def _spans(hours: frozenset[int]) -> str:
    """Full clock hours as spans; one that runs over midnight is one span."""
    if hours == _ALL_DAY:
        return "all day"
    starts = sorted(h for h in hours if (h - 1) % HOURS not in hours)
    out = []
    for start in starts:
        end = start
        while end % HOURS in hours:
            end += 1
        out.append(f"{_clock(start)} to {_clock(end)}")
    return " and ".join(out)


def _clock(hour: int) -> str:
    named = {0: "midnight", 12: "noon"}
    hour %= HOURS
    return named.get(hour) or f"{(hour - 1) % 12 + 1} {'am' if hour < 12 else 'pm'}"


def months_in_words(months: Sequence[int]) -> str:
    """Months as spans; one that runs over the new year is one span: "October to May"."""
    if len(months) == len(_MONTHS):
        return "all year"
    held = set(months)
    out = []
    for start in sorted(m for m in held if (m - 2) % 12 + 1 not in held):
        end = start
        while end % 12 + 1 in held:
            end = end % 12 + 1
        first, last = _MONTHS[start - 1], _MONTHS[end - 1]
        out.append(first if first == last else f"{first} to {last}")
    return ", ".join(out)


def _money(amount: Decimal) -> str:
    text = f"{amount.normalize():f}"
    whole, _, places = text.partition(".")
    return f"${whole}.{places.ljust(2, '0')}"


def _percent(share: Decimal) -> str:
    return f"{(100 * share).normalize():f} %"
