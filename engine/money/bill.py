"""What a tariff makes of lights: the price of their kWh, what their kW costs, a year's bill before and after.

The price of a kWh is weighed by when the lights burn, so that a line's saving stays one product, kWh times price.
Demand is worth something only where the lights stand in the billed peak; night lights seldom do, and then the figure is
zero with the reason. Fixed charges are left out: no light changes them.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Final

from engine.energy.load_shape import DAYS, MONTHS, Day, LoadShape, days_in
from engine.figure import Figure, assumed, defined, derive, looked_up, total
from engine.money.tariff import Block, Demand, Season, Tariff
from engine.proposal import Reason
from engine.quantities import decimal
from engine.record import record

TARIFF_KEYS: Final = (
    "demand_not_at_night",  # charges: tuple[str]: lit only when the billed peak is past, so nothing is saved
    "demand_peak_assumed",  # hours: tuple[int, int]: when the building is taken to peak
    "demand_partly_met",  # charges: tuple[str]: lit in a part of the billed hours
    "last_block_assumed",  # the site's use is not known: savings are priced at the last block
    "fixed_charges_ignored",  # always, with a tariff
)

BUILDING_PEAK: Final[Mapping[Day, frozenset[int]]] = {
    "weekday": frozenset(range(12, 16)),
    "weekend": frozenset(),
}
"""When a building is taken to set a demand that is billed for any time: weekdays noon to four (common practice, no source)."""
_PEAK_HOURS: Final = (12, 16)


@record
class Priced:
    """A price or a worth, with what should be said about it."""

    figure: Figure
    notes: tuple[Reason, ...] = ()


@record
class Bill:
    """A year's charges for a load [USD], exact; fixed charges are not in it."""

    energy: Decimal
    demand: Decimal
    tax: Decimal

    @property
    def total(self) -> Decimal:
        """All of it [USD/yr]."""
        return self.energy + self.demand + self.tax


def energy_price(tariff: Tariff, shape: LoadShape, name: str = "rate_per_kwh") -> Priced:
    """What a kWh of lights burning in this shape costs, tax in it [USD/kWh].

    Where a season has blocks, savings are priced at its last block, with the dearest and the cheapest block as the range,
    until the site's own use is known (`block_price`).

    Raises:
        ValueError: the shape has no hours.
    """
    hours = shape.hours_per_year
    if hours <= 0:
        raise ValueError("lights that never burn have no price of a kWh")
    terms: list[str] = []
    inputs: list[Figure] = []
    notes: list[Reason] = [Reason("fixed_charges_ignored", {})]
    for season in tariff.seasons:
        if season.blocks:
            share = sum(shape.hours_by_month[m - 1] for m in season.months) / hours
            prices = [(season.slug, share, _last_block(tariff, season))]
            if len(season.blocks) > 1:
                notes.append(Reason("last_block_assumed", {}))
        else:
            prices = [
                (
                    f"{season.slug}_{period.slug}",
                    _hours_in(shape, season.months, period.hours) / hours,
                    _price(
                        tariff, f"price_{season.slug}_{period.slug}", period.usd_per_kwh, "USD/kWh",
                        f"{season.name}, {period.name}",
                    ),
                )
                for period in season.energy
            ]  # fmt: skip
        for short, share, price in prices:
            if share > 0 and len(prices) == len(tariff.seasons) == 1:
                terms.append(price.name)
                inputs.append(price)
            elif share > 0:
                terms.append(f"share_{short} * {price.name}")
                inputs += [
                    defined(
                        f"share_{short}", share, "1", "share of the lit hours, schedule against calendar"
                    ),
                    price,
                ]
    unique = tuple(dict.fromkeys(note.key for note in notes))
    formula, tax = _taxed(tariff, " + ".join(terms))
    return Priced(derive(name, "USD/kWh", formula, *inputs, *tax), tuple(Reason(key, {}) for key in unique))


def block_price(
    tariff: Tariff,
    shape: LoadShape,
    kwh_before: Figure,
    kwh_after: Figure,
    other_kwh_per_month: Figure,
    name: str = "rate_per_kwh",
) -> Priced:
    """The mean price of the kWh that are saved, where blocks are filled by all that the site uses [USD/kWh].

    The bill of each month before less the bill after, over the kWh saved in the year.

    Args:
        tariff: one that has blocks in every season.
        shape: when the lights burn, before and after alike.
        kwh_before: of the lights [kWh/yr].
        kwh_after: likewise, not the same.
        other_kwh_per_month: what the site uses beside these lights, the same each month [kWh/month].
        name: of the figure.
    """
    if not all(season.blocks for season in tariff.seasons):
        raise ValueError(f"{tariff.name} has seasons without blocks: energy_price tells its price")
    if kwh_before.value == kwh_after.value:
        raise ValueError("nothing is saved, so no price can be told")
    bills = []
    for when, kwh in (("before", kwh_before), ("after", kwh_after)):
        months = []
        for month in MONTHS:
            season = next(s for s in tariff.seasons if month in s.months)
            share = defined(
                f"share_month_{month}",
                shape.hours_by_month[month - 1] / shape.hours_per_year,
                "1",
                "share of the lit hours, schedule against calendar",
            )
            months.append(
                _month_charge(tariff, season, f"energy_{when}_{month}", kwh, share, other_kwh_per_month)
            )
        bills.append(total(f"energy_bill_{when}", "USD/yr", months))
    formula, tax = _taxed(
        tariff, f"(energy_bill_before - energy_bill_after) / ({kwh_before.name} - {kwh_after.name})"
    )
    figure = derive(name, "USD/kWh", formula, *bills, kwh_before, kwh_after, *tax)
    return Priced(figure, (Reason("fixed_charges_ignored", {}),))


def demand_worth(
    tariff: Tariff, shape: LoadShape, own_meter: bool = False, name: str = "demand_usd_per_kw_year"
) -> Priced:
    """What one kW of lights taken away saves in demand charges in a year, tax in it [USD/kW/yr].

    A charge for certain hours is saved by the share of those hours that the lights are on (base: the mean; low and high: the
    least and the greatest hour, since the peak may fall in any). A charge for any time is set by the building's own
    peak, taken to fall on weekday afternoons; on a meter of their own the lights set the peak themselves.
    """
    terms: list[str] = []
    inputs: list[Figure] = []
    dark: list[str] = []
    partly: list[str] = []
    notes: list[Reason] = []
    for season in tariff.seasons:
        for charge in season.demand:
            met = _coincidence(shape, season, charge, own_meter)
            if charge.any_time and not own_meter:
                notes.append(Reason("demand_peak_assumed", {"hours": _PEAK_HOURS}))
            if met.value == 0:
                dark.append(charge.name)
                continue
            if met.value < 1:
                partly.append(charge.name)
            price = _price(
                tariff, f"price_{season.slug}_{charge.slug}", charge.usd_per_kw, "USD/kW/month", f"{season.name}, {charge.name}"
            )  # fmt: skip
            months = defined(
                f"months_{season.slug}", len(season.months), "month/yr", f"months of {season.name}"
            )
            if months.name not in {figure.name for figure in inputs}:
                inputs.append(months)
            terms.append(f"{months.name} * {price.name} * {met.name}")
            inputs += [price, met]
    if dark:
        notes.append(Reason("demand_not_at_night", {"charges": tuple(dict.fromkeys(dark))}))
    if partly:
        notes.append(Reason("demand_partly_met", {"charges": tuple(dict.fromkeys(partly))}))
    unique = tuple({note.key: note for note in notes}.values())
    if not terms:
        why = (
            "lit when the billed peak is past" if tariff.has_demand else f"{tariff.name}: no demand is billed"
        )
        return Priced(defined(name, Decimal(0), "USD/kW/yr", why), unique)
    formula, tax = _taxed(tariff, " + ".join(terms))
    return Priced(derive(name, "USD/kW/yr", formula, *inputs, *tax), unique)


def yearly_bill(
    tariff: Tariff,
    kw: float,
    shape: LoadShape,
    other_kwh_per_month: float = 0.0,
    own_meter: bool = False,
) -> Bill:
    """The charges of a year for ``kw`` of lights [USD], reckoned month by month without figures: for checks and pictures.

    Blocks are filled by the site's other use first, and only what the lights add is returned.
    """
    energy = demand = Decimal(0)
    for season in tariff.seasons:
        for period in season.energy:
            energy += decimal(kw * _hours_in(shape, season.months, period.hours)) * period.usd_per_kwh
        if season.blocks:
            for month in season.months:
                other = decimal(other_kwh_per_month)
                kwh = decimal(kw * shape.hours_by_month[month - 1])
                energy += block_charge(season.blocks, other + kwh) - block_charge(season.blocks, other)
        for charge in season.demand:
            met = _coincidence(shape, season, charge, own_meter)
            demand += decimal(kw) * decimal(met.value) * charge.usd_per_kw * len(season.months)
    return Bill(energy, demand, (energy + demand) * tariff.tax_share)


def block_charge(blocks: Sequence[Block], kwh: Decimal) -> Decimal:
    """A month's charge for ``kwh`` [USD], exact."""
    charge = floor = Decimal(0)
    for block in blocks:
        top = kwh if block.up_to_kwh is None else min(kwh, block.up_to_kwh)
        charge += max(top - floor, Decimal(0)) * block.usd_per_kwh
        floor = block.up_to_kwh if block.up_to_kwh is not None else floor
    return charge


def _month_charge(
    tariff: Tariff,
    season: Season,
    name: str,
    kwh: Figure,
    share: Figure,
    other: Figure,
) -> Figure:
    use = derive(f"{name}_kwh", "kWh", f"{other.name} + {kwh.name} * {share.name}", other, kwh, share)
    terms = []
    inputs: list[Figure] = [use]
    floor = ""
    for n, block in enumerate(season.blocks, start=1):
        row = f"{season.name}, block {n}"
        price = _price(tariff, f"price_{season.slug}_block_{n}", block.usd_per_kwh, "USD/kWh", row)
        inputs.append(price)
        top, limit = use.name, ""
        if block.up_to_kwh is not None:
            figure = _price(tariff, f"limit_{season.slug}_block_{n}", block.up_to_kwh, "kWh", row)
            inputs.append(figure)
            limit = figure.name
            top = f"least({use.name}, {limit})"
        terms.append(f"greatest({top} - {floor}, 0) * {price.name}" if floor else f"{top} * {price.name}")
        floor = limit
    return derive(name, "USD", " + ".join(terms), *inputs)


def _last_block(tariff: Tariff, season: Season) -> Figure:
    prices = [block.usd_per_kwh for block in season.blocks]
    name = f"price_{season.slug}_last_block"
    if len(prices) == 1:
        return _price(tariff, name, prices[0], "USD/kWh", f"{season.name}, block 1")
    return assumed(
        name, prices[-1], "USD/kWh", min(prices), max(prices),
        f"{tariff.name} ({tariff.utility}): {tariff.source}; which block the saved kWh come from is not known",
        f"{tariff.file}: {season.name}, last block",
    )  # fmt: skip


def _price(tariff: Tariff, name: str, value: Decimal, unit: str, row: str) -> Figure:
    source = f"{tariff.name} ({tariff.utility}): {tariff.source}"
    return looked_up(name, value, unit, source, f"{tariff.file}: {row}")


def _taxed(tariff: Tariff, formula: str) -> tuple[str, tuple[Figure, ...]]:
    if not tariff.tax_share:
        return formula, ()
    inner = f"({formula})" if " " in formula else formula
    return f"{inner} * (1 + tax_share)", (_price(tariff, "tax_share", tariff.tax_share, "1", "tax_share"),)


def _hours_in(shape: LoadShape, months: Sequence[int], hours: Mapping[Day, frozenset[int]]) -> float:
    return sum(shape.hours_within(month, day, hours[day]) for month in months for day in DAYS)


def _coincidence(shape: LoadShape, season: Season, charge: Demand, own_meter: bool) -> Figure:
    """Share of the lights' power that stands in the billed peak of a season [1]."""
    name = f"met_{season.slug}_{charge.slug}"
    if own_meter:
        greatest = max(
            shape.on[month - 1][d][hour]
            for month in season.months
            for d, day in enumerate(DAYS)
            for hour in charge.hours[day]
        )
        return defined(
            name, 1.0 if greatest > 0 else 0.0, "1", "the lights have a meter of their own and set its peak"
        )
    window = BUILDING_PEAK if charge.any_time else charge.hours
    by_hour: dict[tuple[Day, int], float] = {}
    for d, day in enumerate(DAYS):
        for hour in window[day]:
            lit = sum(shape.on[month - 1][d][hour] * days_in(month, day) for month in season.months)
            by_hour[day, hour] = lit / sum(days_in(month, day) for month in season.months)
    shares = list(by_hour.values())
    low, high = min(shares), max(shares)
    # An hour weighs by its days: weekdays count five times for a weekend's two.
    weights = [5 if day == "weekday" else 2 for day, _ in by_hour]
    mean = sum(w * s for w, s in zip(weights, shares, strict=True)) / sum(weights)
    when = "building's peak, weekdays noon to four" if charge.any_time else "billed hours"
    if low == high:
        return defined(name, mean, "1", f"share of the {when} that the lights are on")
    return assumed(
        name, mean, "1", low, high, f"mean share of the {when} that the lights are on; the peak may fall in any of them"
    )  # fmt: skip
