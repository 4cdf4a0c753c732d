"""Tariffs as files that a user can write: seasons, periods of the day, monthly blocks, demand charges, tax.

One TOML file a tariff (samples of invented utilities lie in ``tariffs/``). Fixed monthly charges may be written down and
are not counted: no light changes them. Ratchets, minimum bills and riders are not modeled; a person reads the bill for those.

    name = "General service, time of use"
    utility = "..."
    source = "where the rates are from, with its date"
    tax_share = 0.06                 # on everything; 0 where none
    fixed_per_month = 25.00          # not counted

    [[season]]
    name = "summer"
    months = [6, 7, 8, 9]            # every month belongs to one season

    [[season.energy]]                # either periods, of which one may be "the rest" (no days, no hours) ...
    name = "peak"
    days = "weekday"                 # weekday, weekend or all
    hours = [[12, 18]]               # whole clock hours; [22, 6] runs over midnight
    usd_per_kwh = 0.21

    [[season.block]]                 # ... or blocks of a month's kWh; the last has no up_to_kwh
    up_to_kwh = 1000
    usd_per_kwh = 0.14

    [[season.demand]]                # none, one or more; without days and hours: any time
    name = "peak demand"
    days = "weekday"
    hours = [[12, 18]]
    usd_per_kw = 11.50               # a month
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib import resources
from typing import Annotated, Final, Literal

from pydantic import BaseModel, ConfigDict, Field

from engine.energy.load_shape import DAYS, HOURS, MONTHS, Day, hours_between
from engine.written_file import WrittenFileError, read_written

_NOT_A_NAME: Final = re.compile(r"[^a-z0-9]+")

Text = Annotated[str, Field(min_length=1, max_length=200, pattern=r"^[^\x00-\x1f\x7f]*$")]
Rate = Annotated[Decimal, Field(ge=0, le=5, decimal_places=8)]
Hour = Annotated[int, Field(ge=0, le=HOURS)]
Spans = Annotated[tuple[tuple[Hour, Hour], ...], Field(min_length=1, max_length=6)]
When = Literal["weekday", "weekend", "all"]


class TariffError(WrittenFileError):
    """A tariff file that cannot be used."""


@dataclass(frozen=True, slots=True)
class Period:
    """A part of the week with its price [USD/kWh].

    Attributes:
        name: as written; ``slug``: the same as a name in formulas.
        hours: clock hours by kind of day.
    """

    name: str
    slug: str
    hours: Mapping[Day, frozenset[int]]
    usd_per_kwh: Decimal


@dataclass(frozen=True, slots=True)
class Block:
    """A slice of a month's use with its price; ``up_to_kwh`` is ``None`` for the last."""

    up_to_kwh: Decimal | None
    usd_per_kwh: Decimal


@dataclass(frozen=True, slots=True)
class Demand:
    """A charge for the greatest power in a part of the week [USD/kW a month]; ``any_time`` where it is the whole week."""

    name: str
    slug: str
    hours: Mapping[Day, frozenset[int]]
    any_time: bool
    usd_per_kw: Decimal


@dataclass(frozen=True, slots=True)
class Season:
    """Months with one set of prices: periods or blocks (the other is empty), and demand charges."""

    name: str
    slug: str
    months: tuple[int, ...]
    energy: tuple[Period, ...]
    blocks: tuple[Block, ...]
    demand: tuple[Demand, ...]


@dataclass(frozen=True, slots=True)
class Tariff:
    """One tariff, checked.

    Attributes:
        file: where it was read from, without the folder.
        tax_share: on all charges [1].
    """

    file: str
    name: str
    utility: str
    source: str
    tax_share: Decimal
    seasons: tuple[Season, ...]

    @property
    def has_blocks(self) -> bool:
        """True where a price depends on how much is used in a month."""
        return any(season.blocks for season in self.seasons)

    @property
    def has_demand(self) -> bool:
        """True where power is billed beside energy."""
        return any(season.demand for season in self.seasons)


class _Written(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class _Energy(_Written):
    name: Text
    usd_per_kwh: Rate
    days: When | None = None
    hours: Spans | None = None


class _Block(_Written):
    usd_per_kwh: Rate
    up_to_kwh: Annotated[Decimal, Field(gt=0, le=10_000_000)] | None = None


class _Demand(_Written):
    name: Text
    usd_per_kw: Annotated[Decimal, Field(ge=0, le=200, decimal_places=8)]
    days: When | None = None
    hours: Spans | None = None


class _Season(_Written):
    name: Text
    months: Annotated[tuple[Annotated[int, Field(ge=1, le=12)], ...], Field(min_length=1, max_length=12)]
    energy: Annotated[tuple[_Energy, ...], Field(max_length=12)] = ()
    block: Annotated[tuple[_Block, ...], Field(max_length=12)] = ()
    demand: Annotated[tuple[_Demand, ...], Field(max_length=12)] = ()


class _Tariff(_Written):
    name: Text
    utility: Text
    source: Text
    tax_share: Annotated[Decimal, Field(ge=0, le=Decimal("0.5"))] = Decimal(0)
    fixed_per_month: Annotated[Decimal, Field(ge=0, le=1_000_000)] = Decimal(0)
    season: Annotated[tuple[_Season, ...], Field(min_length=1, max_length=12)]


def read_tariff(file: str, content: bytes) -> Tariff:
    """The tariff in ``content``, a TOML file named ``file``.

    Raises:
        TariffError: the first fault found.
    """
    written = read_written(file, content, _Tariff, TariffError)
    _check_months(file, written)
    _check_names(file, "season", [season.name for season in written.season])
    return Tariff(
        file=file,
        name=written.name,
        utility=written.utility,
        source=written.source,
        tax_share=written.tax_share,
        seasons=tuple(
            _season(file, f"season {n}", season) for n, season in enumerate(written.season, start=1)
        ),
    )


@cache
def sample_tariffs() -> Mapping[str, Tariff]:
    """The sample tariffs of invented utilities, by file name without its ending."""
    folder = resources.files("engine.money") / "tariffs"
    files = sorted((path for path in folder.iterdir() if path.name.endswith(".toml")), key=lambda p: p.name)
    return {path.name.removesuffix(".toml"): read_tariff(path.name, path.read_bytes()) for path in files}


def slug(name: str) -> str:
    """``name`` as a part of a name in a formula: small letters, digits and underscores."""
    return _NOT_A_NAME.sub("_", name.lower()).strip("_")


def _season(file: str, key: str, written: _Season) -> Season:
    if bool(written.energy) == bool(written.block):
        found = "both" if written.energy else "neither"
        raise TariffError(
            file, key, f"{found} of energy and block", "either [[season.energy]] or [[season.block]]"
        )
    _check_names(file, f"{key}, energy", [period.name for period in written.energy])
    _check_names(file, f"{key}, demand", [charge.name for charge in written.demand])
    _check_blocks(file, key, written.block)
    return Season(
        name=written.name,
        slug=slug(written.name),
        months=tuple(sorted(written.months)),
        energy=_periods(file, key, written.energy),
        blocks=tuple(Block(block.up_to_kwh, block.usd_per_kwh) for block in written.block),
        demand=tuple(
            Demand(
                name=charge.name,
                slug=slug(charge.name),
                hours=_hours(charge.days, charge.hours),
                any_time=charge.days is None and charge.hours is None,
                usd_per_kw=charge.usd_per_kw,
            )
            for charge in written.demand
        ),
    )  # fmt: skip


def _periods(file: str, key: str, written: Sequence[_Energy]) -> tuple[Period, ...]:
    taken: dict[tuple[Day, int], str] = {}
    rest: _Energy | None = None
    found: dict[str, Mapping[Day, frozenset[int]]] = {}
    for n, period in enumerate(written, start=1):
        if period.days is None and period.hours is None:
            if rest is not None:
                raise TariffError(
                    file, f"{key}, energy {n}", f"a second period for the rest ({period.name})",
                    "one period without days and hours",
                )  # fmt: skip
            rest = period
            continue
        hours = _hours(period.days, period.hours)
        for day in DAYS:
            for hour in sorted(hours[day]):
                other = taken.setdefault((day, hour), period.name)
                if other != period.name:
                    raise TariffError(
                        file, f"{key}, energy {n}, hours", f"{day} {hour}:00 in {period.name} and {other}",
                        "periods that do not overlap",
                    )  # fmt: skip
        found[period.name] = hours
    left: Mapping[Day, frozenset[int]] = {
        day: frozenset(hour for hour in range(HOURS) if (day, hour) not in taken) for day in DAYS
    }
    if written and rest is None and any(left.values()):
        day = next(day for day in DAYS if left[day])
        raise TariffError(
            file, f"{key}, energy", f"no price on a {day} at {min(left[day])}:00",
            "periods that cover the week, or one without days and hours for the rest",
        )  # fmt: skip
    return tuple(
        Period(period.name, slug(period.name), found.get(period.name, left), period.usd_per_kwh)
        for period in written
    )


def _hours(days: When | None, spans: Sequence[tuple[int, int]] | None) -> Mapping[Day, frozenset[int]]:
    hours = hours_between(spans) if spans is not None else frozenset(range(HOURS))
    return {day: hours if days in (None, "all", day) else frozenset() for day in DAYS}


def _check_months(file: str, written: _Tariff) -> None:
    named: dict[int, str] = {}
    for n, season in enumerate(written.season, start=1):
        for month in season.months:
            if month in named:
                raise TariffError(
                    file, f"season {n}, months", f"month {month} again (it is in {named[month]})", "each month once"
                )  # fmt: skip
            named[month] = season.name
    if missing := [month for month in MONTHS if month not in named]:
        raise TariffError(file, "season, months", f"no month {missing[0]}", "every month 1 to 12 in a season")


def _check_names(file: str, key: str, names: Sequence[str]) -> None:
    seen: set[str] = set()
    for name in names:
        short = slug(name)
        if not short or short in seen:
            raise TariffError(file, f"{key}, name", name, "names that differ, with a letter or digit in them")
        seen.add(short)


def _check_blocks(file: str, key: str, blocks: Sequence[_Block]) -> None:
    last = Decimal(0)
    for n, block in enumerate(blocks, start=1):
        where = f"{key}, block {n}, up_to_kwh"
        if block.up_to_kwh is None:
            if n != len(blocks):
                raise TariffError(file, where, "nothing", "a limit on every block but the last")
            continue
        if n == len(blocks):
            raise TariffError(file, where, str(block.up_to_kwh), "no limit on the last block")
        if block.up_to_kwh <= last:
            raise TariffError(file, where, str(block.up_to_kwh), f"more than {last} kWh, the block before")
        last = block.up_to_kwh
