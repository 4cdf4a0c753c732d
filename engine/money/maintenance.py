"""Upkeep of lights, before and after: relamping and reballasting by burn hours, access by height, disposal, LED allowance.

Lamps that fail one at a time settle into one replacement per rated life and lamp (rated life is when half have failed,
near enough the mean). What a luminaire costs per hour of burning is worked out once per kind of luminaire; a line then
multiplies by its number and hours.
"""

from dataclasses import dataclass, field
from typing import Final, Literal

from engine.figure import Figure, defined, derive, looked_up
from engine.money.allowances import allowance
from engine.record import record
from engine.tables import NoSuchRow, Tables, lamp, maintenance
from engine.tables.provenance import part
from engine.tables.rows import MaintenanceRow
from engine.vocabulary import HID_SOURCES, LINEAR_SOURCES, LampSource

Practice = Literal["spot", "group"]
Access = Literal["ladder", "lift", "high_lift"]

NO_MERCURY: Final = frozenset({"INC", "HAL", "LPS", "LED"})
"""Lamps that are not universal waste for their mercury (low-pressure sodium is hazardous for its sodium: other rules)."""


@record
class LampUpkeep:
    """What one existing luminaire costs to keep.

    Attributes:
        relamp_cost: one lamp replaced: lamp, labor, access, recycling [USD].
        reballast_cost: one ballast replaced [USD]; ``None`` where there is none.
        per_burn_hour: of the whole luminaire [USD/h].
        relamps_per_burn_hour: lamps a luminaire needs per hour of burning [1/h].
    """

    relamp_cost: Figure
    reballast_cost: Figure | None
    per_burn_hour: Figure
    relamps_per_burn_hour: Figure


@record
class UpkeepRates:
    """Prices of the job that upkeep rests on: labor [USD/h], lift [USD/day], recycling [USD a lamp], lift threshold [ft]."""

    labor_usd_per_hour: Figure
    lift_usd_per_day: Figure
    recycling_usd_per_lamp: Figure
    lift_from_height_ft: Figure


MOST_KEPT: Final = 1024


@dataclass(slots=True)
class UpkeepOfJob:
    """Upkeep by kind of luminaire and access, each worked out once and shared by the lines and jobs it holds for."""

    tables: Tables
    rates: UpkeepRates
    practice: Practice = "spot"
    _made: dict[tuple[object, ...], LampUpkeep | NoSuchRow] = field(default_factory=dict)

    def of(
        self,
        source: LampSource,
        lamp_watts: float,
        lamps: int,
        lamp_feet: float | None,
        ballast: str,
        height_ft: float,
    ) -> LampUpkeep | NoSuchRow:
        """Upkeep of one luminaire; ``NoSuchRow`` where the tables know no such lamp.

        Args:
            source: kind of lamp.
            lamp_watts: of one lamp [W].
            lamps: in the luminaire.
            lamp_feet: length of a linear lamp [ft].
            ballast: as in the system-watts table; "" where there is none.
            height_ft: above the floor or ground [ft].
        """
        reach = access(height_ft, self.rates.lift_from_height_ft)
        key = (source, lamp_watts, lamps, lamp_feet, ballast, reach)
        found = self._made.get(key)
        if found is None:
            if len(self._made) >= MOST_KEPT:
                self._made.clear()
            found = self._made[key] = self._work_out(source, lamp_watts, lamps, lamp_feet, ballast, reach)
        return found

    def _work_out(
        self,
        source: LampSource,
        lamp_watts: float,
        lamps: int,
        lamp_feet: float | None,
        ballast: str,
        reach: Access,
    ) -> LampUpkeep | NoSuchRow:
        row = maintenance(self.tables, source, lamp_watts, lamp_feet)
        if isinstance(row, NoSuchRow):
            return row
        life = lamp(self.tables, source, lamp_watts, lamp_feet)
        if isinstance(life, NoSuchRow):
            return life
        rated_life = looked_up(
            "rated_life_hours", life.rated_life_hours, "h", life.provenance, life.reference
        )
        relamp = self._relamp_cost(source, row, reach)
        count = defined("lamps", lamps, "1", "lamps a luminaire")
        formula, inputs = "lamps / rated_life_hours", [count, rated_life]
        if self.practice == "group":
            share = allowance("group_relamp_share")
            formula, inputs = f"lamps / ({share.name} * rated_life_hours)", [count, rated_life, share]
        relamps = derive("relamps_per_burn_hour", "1/h", formula, *inputs)
        reballast = self._reballast_cost(row, reach)
        if reballast is None:
            per_hour = derive(
                "upkeep_per_burn_hour", "USD/h", "relamps_per_burn_hour * relamp_cost", relamps, relamp
            )
        else:
            kind = "electronic" if "electronic" in ballast else "magnetic"
            per_hour = derive(
                "upkeep_per_burn_hour",
                "USD/h",
                f"relamps_per_burn_hour * relamp_cost + ballasts * reballast_cost / {kind}_ballast_life_hours",
                relamps,
                relamp,
                defined("ballasts", ballasts_in(source, lamps, ballast), "1", "ballasts a luminaire"),
                reballast,
                allowance(f"{kind}_ballast_life_hours"),
            )
        return LampUpkeep(relamp, reballast, per_hour, relamps)

    def _relamp_cost(self, source: LampSource, row: MaintenanceRow, reach: Access) -> Figure:
        ref = f"maintenance_costs.csv: {row.group}"
        price = looked_up(
            "lamp_price",
            row.lamp_usd,
            "USD",
            part(row.provenance, "prices"),
            ref,
            row.lamp_usd_low,
            row.lamp_usd_high,
        )
        spot = looked_up(
            "spot_minutes", row.spot_minutes, "min", part(row.provenance, "times"), ref, row.spot_minutes_low, row.spot_minutes_high
        )  # fmt: skip
        terms = ["lamp_price"]
        inputs = [price, spot, self.rates.labor_usd_per_hour]
        labor = self.rates.labor_usd_per_hour.name
        if self.practice == "group":
            group = looked_up(
                "group_minutes", row.group_minutes, "min", part(row.provenance, "times"), ref, row.group_minutes_low, row.group_minutes_high
            )  # fmt: skip
            early = allowance("early_failures_share")
            terms += [
                f"(group_minutes + {early.name} * spot_minutes) / 60 * {labor}",
                f"{early.name} * lamp_price",
            ]
            inputs += [group, early]
        else:
            terms.append(f"spot_minutes / 60 * {labor}")
        if source not in NO_MERCURY:
            terms.append(self.rates.recycling_usd_per_lamp.name)
            inputs.append(self.rates.recycling_usd_per_lamp)
        if reach != "ladder":
            day = self._lift_day(reach)
            if self.practice == "group":
                hours = allowance("lift_hours_per_day")
                terms.append(f"{day.name} * group_minutes / (60 * {hours.name})")
                inputs += [day, hours]
            else:
                shared = allowance("relamps_per_lift_day")
                terms.append(f"{day.name} / {shared.name}")
                inputs += [day, shared]
        return derive("relamp_cost", "USD", " + ".join(terms), *inputs)

    def _reballast_cost(self, row: MaintenanceRow, reach: Access) -> Figure | None:
        if row.ballast_usd is None:
            return None
        price = looked_up(
            "ballast_price", row.ballast_usd, "USD", part(row.provenance, "prices"), f"maintenance_costs.csv: {row.group}",
            row.ballast_usd_low, row.ballast_usd_high,
        )  # fmt: skip
        minutes = allowance("reballast_minutes")
        formula = f"ballast_price + {minutes.name} / 60 * {self.rates.labor_usd_per_hour.name}"
        inputs = [price, minutes, self.rates.labor_usd_per_hour]
        if reach != "ladder":
            day, shared = self._lift_day(reach), allowance("relamps_per_lift_day")
            formula += f" + {day.name} / {shared.name}"
            inputs += [day, shared]
        return derive("reballast_cost", "USD", formula, *inputs)

    def _lift_day(self, reach: Access) -> Figure:
        return self.rates.lift_usd_per_day if reach == "lift" else allowance("high_lift_usd_per_day")


def access(height_ft: float, lift_from_height_ft: Figure) -> Access:
    """What it takes to reach ``height_ft`` [ft]: a ladder up to the threshold, above it a rented lift."""
    if height_ft <= lift_from_height_ft.value:
        return "ladder"
    return "lift" if height_ft <= allowance("high_lift_from_height_ft").value else "high_lift"


def ballasts_in(source: LampSource, lamps: int, ballast: str) -> int:
    """Ballasts in a luminaire: one a lamp for HID; for linear lamps one for two (magnetic) or four (electronic). Common practice."""
    if source in HID_SOURCES:
        return lamps
    if source in LINEAR_SOURCES or source == "CFL":
        each = 4 if "electronic" in ballast else 2
        return -(-lamps // each)
    return lamps


def upkeep_before(upkeep: LampUpkeep, qty: Figure, hours_per_year: Figure) -> Figure:
    """Upkeep of a line's present luminaires in a year [USD/yr]."""
    return derive(
        "maintenance_before_per_year",
        "USD/yr",
        "qty * hours_per_year * upkeep_per_burn_hour",
        qty,
        hours_per_year,
        upkeep.per_burn_hour,
    )


def relamps_per_year(upkeep: LampUpkeep, qty: Figure, hours_per_year: Figure) -> Figure:
    """Lamps to expect to replace in a year [1/yr]; for the explanation, no money rests on it."""
    return derive(
        "relamps_per_year",
        "1/yr",
        "qty * hours_per_year * relamps_per_burn_hour",
        qty,
        hours_per_year,
        upkeep.relamps_per_burn_hour,
    )


def upkeep_after(
    qty: Figure,
    unit_price: Figure,
    visit_minutes: Figure,
    labor_usd_per_hour: Figure,
    led_maintenance_share: Figure,
    analysis_years: Figure,
    warranty_years: Figure | None = None,
) -> Figure:
    """Allowance for LED luminaires in a year [USD/yr]: a share of them needs a visit, and outside the warranty half a luminaire.

    Args:
        qty: luminaires.
        unit_price: of a luminaire [USD].
        visit_minutes: labor of one visit [min].
        labor_usd_per_hour: [USD/h].
        led_maintenance_share: share of luminaires needing a visit in a year [1/yr].
        analysis_years: over which the warranty is spread [yr].
        warranty_years: on material [yr]; ``None`` takes the usual.
    """
    warranty = warranty_years if warranty_years is not None else allowance("warranty_years")
    years = analysis_years.name
    return derive(
        "maintenance_after_per_year",
        "USD/yr",
        f"{qty.name} * {led_maintenance_share.name} * ({visit_minutes.name} / 60 * {labor_usd_per_hour.name}"
        f" + {unit_price.name} / 2 * greatest({years} - {warranty.name}, 0) / {years})",
        qty,
        led_maintenance_share,
        visit_minutes,
        labor_usd_per_hour,
        unit_price,
        analysis_years,
        warranty,
    )


def upkeep_saved(before: Figure, after: Figure) -> Figure:
    """Upkeep saved in a year [USD/yr]; negative where the new lights cost more to keep."""
    return derive(
        "maintenance_saved_per_year",
        "USD/yr",
        "maintenance_before_per_year - maintenance_after_per_year",
        before,
        after,
    )
