"""Look-ups by key: a family, a default, a building, depreciation, a state's price of electricity and its carbon."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from engine.tables.miss import NoSuchRow
from engine.tables.rows import (
    BallastFactorRow,
    BuildingTypeRow,
    DefaultRow,
    DirtDepreciationRow,
    FamilyRow,
    LampDepreciationRow,
    OpticsFactorRow,
    StateRow,
    UsualControlSavingsRow,
)
from engine.tables.tables import Tables
from engine.vocabulary import Family, LampSource

Sector = Literal["commercial", "industrial", "residential", "all"]
Environment = Literal["exterior", "garage", "industrial", "interior"]


@dataclass(frozen=True, slots=True)
class ElectricRate:
    """An average price [USD/kWh] with the range that one customer's price may lie in."""

    usd_per_kwh: Decimal
    low: Decimal
    high: Decimal
    state: str
    period: str
    reference: str
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class Carbon:
    """Carbon dioxide [lb/MWh] of generation; low and high are the subregion, the state and the country."""

    lb_per_mwh: float
    low: float
    high: float
    area: str
    gas: str
    year: int
    reference: str
    seen: str
    provenance: str


def family_facts(tables: Tables, family: Family) -> FamilyRow | NoSuchRow:
    """Efficiency, mounting height, labor and surroundings of a family."""
    found = next((row for row in tables.families if row.family == family), None)
    return found or NoSuchRow("families.csv", family)


def default(tables: Tables, key: str) -> DefaultRow | NoSuchRow:
    """The figure to assume under ``key``, with low and high, as exact decimals."""
    found = next((row for row in tables.defaults if row.key == key), None)
    return found or NoSuchRow("defaults.csv", key, _alike(key, (row.key for row in tables.defaults)))


def building_type(tables: Tables, building: str) -> BuildingTypeRow | NoSuchRow:
    """Usual hours and days of a building by its key word."""
    keys = (row.building for row in tables.building_types)
    found = next((row for row in tables.building_types if row.building == building), None)
    return found or NoSuchRow("building_types.csv", building, _alike(building, keys))


def state_facts(tables: Tables, state: str) -> StateRow | NoSuchRow:
    """Name, middle and eGRID subregion of a state by its two letters."""
    found = next((row for row in tables.states if row.state == state), None)
    return found or NoSuchRow("states.csv", state)


def lamp_depreciation(tables: Tables, source: LampSource) -> LampDepreciationRow | NoSuchRow:
    """Lamp lumen depreciation of a source, LED among them."""
    found = next((row for row in tables.lamp_depreciation if row.lamp_source == source), None)
    return found or NoSuchRow("lamp_depreciation.csv", source)


def dirt_depreciation(
    tables: Tables, environment: str, light: Literal["legacy", "led"]
) -> DirtDepreciationRow | NoSuchRow:
    """Luminaire dirt depreciation for the surroundings that a family's row names."""
    rows = tables.dirt_depreciation
    found = next((row for row in rows if row.environment == environment and row.light == light), None)
    return found or NoSuchRow("dirt_depreciation.csv", f"{environment} {light}")


def optics_factor(tables: Tables, environment: str) -> OpticsFactorRow | NoSuchRow:
    """LED lumens that do the work of one delivered legacy lumen."""
    found = next((row for row in tables.optics_factor if row.environment == environment), None)
    return found or NoSuchRow("optics_factor.csv", environment)


def ballast_factor(
    tables: Tables, source: LampSource, ballast: str | None = None
) -> BallastFactorRow | NoSuchRow:
    """Light on this ballast over rated lumens; ``None`` takes the ballast usual for the source."""
    if ballast is None:
        usual = next((row for row in tables.usual_ballasts if row.lamp_source == source), None)
        ballast = usual.ballast if usual is not None else ""
    rows = [row for row in tables.ballast_factor if row.lamp_source == source]
    found = next((row for row in rows if row.ballast == ballast), None)
    near = tuple(f"ballast_factor.csv: {row.lamp_source} {row.ballast}" for row in rows[:3])
    return found or NoSuchRow("ballast_factor.csv", f"{source} {ballast}".strip(), near)


def control_savings(
    tables: Tables, control: Literal["motion", "dimming"], environment: str
) -> UsualControlSavingsRow | NoSuchRow:
    """The share of energy that a control is assumed to save in these surroundings."""
    rows = tables.usual_control_savings
    found = next((row for row in rows if row.control == control and row.environment == environment), None)
    return found or NoSuchRow("usual_control_savings.csv", f"{control} {environment}")


def electric_rate(
    tables: Tables, state: str | None, sector: Sector = "commercial"
) -> ElectricRate | NoSuchRow:
    """The newest average price a state has for a sector; ``None`` gives the whole country's.

    The range is the base times ``rate_spread`` of ``defaults.csv``.
    """
    code = state or "US"
    rows = sorted((row for row in tables.electric_rates if row.state == code), key=lambda row: row.period)
    priced = [(row, getattr(row, f"{sector}_usd_per_kwh")) for row in rows]
    spread = default(tables, "rate_spread")
    for row, price in reversed(priced):
        if isinstance(price, Decimal) and not isinstance(spread, NoSuchRow):
            return ElectricRate(
                usd_per_kwh=price,
                low=price * spread.value_low,
                high=price * spread.value_high,
                state=row.state,
                period=row.period,
                reference=f"electric_rates.csv: {row.state} {row.period} {sector}",
                seen=row.seen,
                provenance=row.provenance,
            )
    near = tuple(f"electric_rates.csv: {row.state} {row.period}" for row in rows)
    return NoSuchRow("electric_rates.csv", f"{code} {sector}", near)


def carbon(tables: Tables, state: str | None) -> Carbon | NoSuchRow:
    """Carbon dioxide per MWh where a state draws its power; ``None`` gives the country's average.

    Base: the newest trusted figure of the state's dominant subregion. The range takes in the figure of
    generation in the state and the country's average, since a customer's own share is not known.
    """
    trusted = sorted((row for row in tables.emission_factors if row.trusted), key=lambda row: row.year)
    national = [row for row in trusted if row.level == "national"]
    base = next((row for row in reversed(national) if row.gas == "CO2"), None)
    others = [row.lb_per_mwh for row in national]
    if state is not None:
        place = state_facts(tables, state)
        if isinstance(place, NoSuchRow):
            return place
        grid = [row for row in trusted if row.level == "subregion" and row.code == place.egrid_subregion]
        base = grid[-1] if grid else None
        others += [row.lb_per_mwh for row in trusted if row.level == "state" and row.code == state]
    if base is None:
        return NoSuchRow("emission_factors.csv", state or "US")
    return Carbon(
        lb_per_mwh=base.lb_per_mwh,
        low=min(base.lb_per_mwh, *others),
        high=max(base.lb_per_mwh, *others),
        area=base.name or base.code,
        gas=base.gas,
        year=base.year,
        reference=f"emission_factors.csv: {base.code} {base.year} {base.gas}",
        seen=base.seen,
        provenance=base.provenance,
    )


def _alike(asked: str, keys: Iterable[str]) -> tuple[str, ...]:
    """At most three keys that share words with ``asked``: most shared words first, then in alphabetical order."""
    words = set(asked.lower().replace("_", " ").split())
    ranked = sorted((-len(words & set(key.split("_"))), key) for key in keys)
    return tuple(key for shared, key in ranked if shared)[:3]
