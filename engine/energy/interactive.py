"""What saved lighting does to cooling and heating: less to cool, more to heat. Outdoors and in open garages: nothing.

The factors are published for whole building types and one region each; they are a correction of some per cent with a
sign that depends on the heating. They correct energy bought, and never change what the lights themselves use.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from engine.figure import Figure, assumed, defined, derive, looked_up
from engine.tables import Tables
from engine.tables.rows import InteractiveEffectRow

Heating = Literal["electric", "heat_pump", "fuel", "refrigerated"]

_YIELD: Final = "lighting savings yield (energy)"
_FUEL: Final = "gas heating interaction"
_HVAC: Final[Mapping[Heating, str]] = {
    "electric": "electric resistance heat",
    "heat_pump": "heat pump",
    "fuel": "gas, oil or biomass heat",
    "refrigerated": "refrigerated space",
}
_USUAL_BUILDING: Final = "Other commercial"


@dataclass(frozen=True, slots=True)
class Interactive:
    """The correction for one space.

    Attributes:
        electric_factor: net electricity saved per kWh of lighting saved [1]; exactly 1 outdoors.
        fuel_therms_per_kwh: heating fuel saved per kWh of lighting saved [therm/kWh], negative: more is bought;
            ``None`` where no fuel heats.
    """

    electric_factor: Figure
    fuel_therms_per_kwh: Figure | None


def interactive(
    tables: Tables, hvac_building: str | None, heating: Heating | None, conditioned: bool
) -> Interactive:
    """The factors of a space.

    Args:
        tables: the reference tables.
        hvac_building: building of ``interactive_effects.csv``; ``None`` or unknown takes other commercial.
        heating: kind of heat or cold room; ``None`` if not known, then the factor is that of fuel heat and the range
            reaches over the kinds of heat.
        conditioned: false outdoors and in open garages.
    """
    if not conditioned:
        return Interactive(
            defined("electric_factor", 1.0, "1", "outdoors: no cooling, no heating to change"), None
        )
    rows = _rows(tables)
    building = hvac_building or _USUAL_BUILDING
    if (building, _HVAC["fuel"]) not in rows:
        building = _USUAL_BUILDING
    if heating is not None:
        row = rows[building, _HVAC[heating]]
        figure = looked_up(
            "electric_factor", row.value, "1", row.provenance, f"interactive_effects.csv: {building}, {row.hvac}"
        )  # fmt: skip
        return _with_fuel(tables, figure, building, heating)
    kinds = [rows[building, _HVAC[kind]].value for kind in ("electric", "heat_pump", "fuel")]
    row = rows[building, _HVAC["fuel"]]
    figure = assumed(
        "electric_factor", row.value, "1", min(kinds), max(kinds),
        f"{row.provenance}: {building}; kind of heat not known, fuel heat taken (the commonest, memory)",
        "heating",
    )  # fmt: skip
    return _with_fuel(tables, figure, building, "fuel")


def net_kwh_saved(kwh_saved: Figure, factors: Interactive, name: str = "net_kwh_saved_per_year") -> Figure:
    """Electricity saved with what cooling and electric heating change [kWh/yr]."""
    f = factors.electric_factor
    return derive(name, "kWh/yr", f"{kwh_saved.name} * {f.name}", kwh_saved, f)


def fuel_saved(
    kwh_saved: Figure, factors: Interactive, name: str = "fuel_saved_therms_per_year"
) -> Figure | None:
    """Heating fuel saved in a year [therm/yr], negative where more is bought; ``None`` where no fuel heats."""
    f = factors.fuel_therms_per_kwh
    return None if f is None else derive(name, "therm/yr", f"{kwh_saved.name} * {f.name}", kwh_saved, f)


def _with_fuel(tables: Tables, figure: Figure, building: str, heating: Heating) -> Interactive:
    if heating != "fuel":
        return Interactive(figure, None)
    row = next((r for r in tables.interactive_effects if r.building == building and r.factor == _FUEL), None)
    if row is None:
        return Interactive(figure, None)
    reference = f"interactive_effects.csv: {building}, {row.factor}"
    return Interactive(
        figure, looked_up("fuel_therms_per_kwh", row.value, "therm/kWh", row.provenance, reference)
    )


def _rows(tables: Tables) -> Mapping[tuple[str, str], InteractiveEffectRow]:
    return {(row.building, row.hvac): row for row in tables.interactive_effects if row.factor == _YIELD}
