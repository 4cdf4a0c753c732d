"""Five realistic jobs, worked by hand beside the engine.

The arithmetic below is what a person would put in a spreadsheet: plain numbers, step by step, from the inputs to each main
figure. Nothing of it calls the engine or one of its formulas. Where a number is not part of the job itself, the comment says
which row of the reference tables or of the demo catalog it was copied from; if that row is changed, the number here is to be
changed with it.

    python -m tests.reference.five_jobs        prints both side by side
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from engine.catalog.loader import load_catalogue
from engine.proposal import Quote
from engine.quote import make_quote
from engine.request import Request
from engine.tables import load_tables
from engine.terms import RebateTerms, Terms

CATALOGUE = Path(__file__).parents[2] / "catalog_demo"

# The terms that all five jobs share, so that no present value rests on an assumption: 15 years, 3 % a year above inflation,
# power rising by 0.5 % a year above inflation, upkeep rising with inflation.
YEARS = 15
DISCOUNT = 0.03
POWER_RISE = 0.005
SHARED = {
    "discount_rate": "0.03",
    "analysis_years": 15,
    "energy_escalation": "0.005",
    "maintenance_escalation": "0",
    "inflation": "0.025",
    "loan_rate": "0.08",
    "loan_months": 60,
}

# Prices and times that most jobs share, copied from the reference tables.
LABOR = 95.00  # dollars an hour (defaults: labor_usd_per_hour)
LIFT_DAY = 350.00  # dollars (defaults: lift_usd_per_day)
LIFT_DELIVERY = 200.00  # dollars (allowances: lift_delivery_usd)
LIFT_MINUTES_A_DAY = 7 * 60  # seven working hours (allowances: lift_hours_per_day)
LAMPS_A_LIFT_DAY = 4  # dark lamps that a day of lift is kept waiting for (allowances: relamps_per_lift_day)
RECYCLING = 1.00  # dollars a lamp (defaults: recycling_usd_per_lamp)
REBALLAST_HOURS = 45 / 60  # (allowances: reballast_minutes)
LED_VISITS = 0.01  # of the LED lights, a year (defaults: led_maintenance_share)
MAGNETIC_BALLAST = 50_000  # hours of life (allowances: magnetic_ballast_life_hours)
ELECTRONIC_BALLAST = 60_000  # hours of life (allowances: electronic_ballast_life_hours)

Figures = Mapping[str, float]


@dataclass(frozen=True)
class HandJob:
    """A job, the terms it is quoted on, what the engine is expected to offer, and its figures worked by hand."""

    name: str
    request: Mapping[str, object]
    terms: Terms
    parts: Sequence[str]
    by_hand: Callable[[], Figures]


def night_wall_packs() -> Figures:
    """Sixteen 250 W metal halide wall packs at 22 ft, 4,100 hours a year, 11.8 cents, sales tax 7 %, freight 2 %."""
    # Power: a 250 W metal halide with its ballast draws 295 W (system watts: MH 250 W CWA); DUNLIN/05P draws 52 W.
    kw_before = 16 * 295 / 1000  # 4.72
    kw_after = 16 * 52 / 1000  # 0.832
    kwh_before = 4.72 * 4100  # 19,352
    kwh_after = 0.832 * 4100  # 3,411.2
    energy = (19_352 - 3_411.2) * 0.118  # 15,940.8 kWh at 11.8 cents

    # Upkeep today. A lamp: 28 dollars, 30 minutes (upkeep: metal halide medium), recycling, a fourth of a lift day.
    lamp_change = 28 + 30 / 60 * LABOR + RECYCLING + LIFT_DAY / LAMPS_A_LIFT_DAY  # 164.00
    # A ballast: 110 dollars (same row), 45 minutes, a fourth of a lift day.
    ballast_change = 110 + REBALLAST_HOURS * LABOR + LIFT_DAY / LAMPS_A_LIFT_DAY  # 268.75
    burned = 16 * 4100  # 65,600 lamp-hours a year
    before = burned / 10_000 * lamp_change + burned / MAGNETIC_BALLAST * ballast_change  # lamp life 10,000 h
    # Upkeep of the LED: one in a hundred needs a visit of 25 minutes; the product is under warranty for 5 of 15 years.
    after = 16 * LED_VISITS * (25 / 60 * LABOR + 252 / 2 * 10 / 15)
    upkeep = before - after

    # Cost: 16 at 252 dollars; 25 minutes each (kinds of light: wall pack); 400 minutes are one day of lift.
    product = 16 * 252.00
    labor = 16 * 25 / 60 * LABOR
    lift = 1 * LIFT_DAY + LIFT_DELIVERY
    disposal = 16 * RECYCLING
    project = product + labor + lift + disposal + 0.02 * product + 0.07 * product
    # Buying new anyway: a new metal halide wall pack costs 134 dollars (prices of the present kind).
    premium = product - 16 * 134.00

    saved = energy + upkeep
    return {
        "kw_before": kw_before,
        "kw_after": kw_after,
        "kw_saved": kw_before - kw_after,
        "kwh_before_per_year": kwh_before,
        "kwh_saved_per_year": kwh_before - kwh_after,
        "energy_cost_saved_per_year": energy,
        "maintenance_saved_per_year": upkeep,
        "saved_per_year": saved,
        "product_cost": product,
        "labor_cost": labor,
        "lift_cost": lift,
        "project_cost": project,
        "rebate": 0.0,
        "net_cost": project,
        "simple_payback_years": project / saved,
        "energy_payback_years": project / energy,
        "premium_payback_years": premium / saved,
        "npv": present_value(energy, POWER_RISE) + present_value(upkeep, 0.0) - project,
    }


def office_troffers() -> Figures:
    """Sixty 2x4 troffers with four 32 W T8, 12 hours on 5 days, 12.5 cents and 14 dollars a kW; labor 40 dollars each."""
    # Power: four 32 W T8 on an electronic ballast draw 114 W (system watts); SISKIN/07A draws 60 W.
    kw_before = 60 * 114 / 1000  # 6.84
    kw_after = 60 * 60 / 1000  # 3.60
    hours = 12 * 5 * 52  # 3,120
    energy = (6.84 - 3.60) * hours * 0.125  # 10,108.8 kWh
    # Demand: nine lights in ten are on at the building's peak (common practice, no source), twelve months.
    demand = (6.84 - 3.60) * 14 * 0.9 * 12

    # Upkeep: a lamp 3 dollars, 20 minutes; a ballast 20 dollars (upkeep: linear 4 ft); reached without a lift.
    lamp_change = round(3 + 20 / 60 * LABOR + RECYCLING, 2)  # 35.67: what one change costs, to the cent
    ballast_change = 20 + REBALLAST_HOURS * LABOR
    before = (
        60 * hours * (4 / 24_000 * lamp_change + 1 / ELECTRONIC_BALLAST * ballast_change)
    )  # lamp life 24,000 h
    after = 60 * LED_VISITS * (25 / 60 * LABOR + 118 / 2 * 10 / 15)
    upkeep = before - after

    product = 60 * 118.00
    labor = 60 * 40.00
    disposal = 60 * 4 * RECYCLING
    project = product + labor + disposal
    premium = product - 60 * 63.00  # a new T8 troffer (prices of the present kind)

    saved = energy + demand + upkeep
    return {
        "kw_before": kw_before,
        "kw_after": kw_after,
        "kw_saved": kw_before - kw_after,
        "kwh_before_per_year": kw_before * hours,
        "kwh_saved_per_year": (kw_before - kw_after) * hours,
        "energy_cost_saved_per_year": energy,
        "demand_cost_saved_per_year": demand,
        "maintenance_saved_per_year": upkeep,
        "saved_per_year": saved,
        "product_cost": product,
        "labor_cost": labor,
        "project_cost": project,
        "rebate": 0.0,
        "net_cost": project,
        "simple_payback_years": project / saved,
        "energy_payback_years": project / energy,
        "premium_payback_years": premium / saved,
        "npv": present_value(energy + demand, POWER_RISE) + present_value(upkeep, 0.0) - project,
    }


def warehouse_high_bays() -> Figures:
    """Twenty-four 400 W metal halide high bays at 26 ft, 16 hours on 6 days, 9 cents; 25 cents a watt, capped; 5 % contingency."""
    # Power: 458 W with the ballast (system watts: MH 400 W CWA); GANNET/04W draws 125 W.
    kw_before = 24 * 458 / 1000  # 10.992
    kw_after = 24 * 125 / 1000  # 3.000
    hours = 16 * 6 * 52  # 4,992
    energy = (10.992 - 3.000) * hours * 0.09

    # Upkeep: as for the wall packs, but a 400 W lamp lasts 20,000 hours.
    lamp_change = 28 + 30 / 60 * LABOR + RECYCLING + LIFT_DAY / LAMPS_A_LIFT_DAY
    ballast_change = 110 + REBALLAST_HOURS * LABOR + LIFT_DAY / LAMPS_A_LIFT_DAY
    before = 24 * hours * (lamp_change / 20_000 + ballast_change / MAGNETIC_BALLAST)
    after = 24 * LED_VISITS * (40 / 60 * LABOR + 152 / 2 * 10 / 15)  # 40 minutes a high bay
    upkeep = before - after

    product = 24 * 152.00
    labor = 24 * 40 / 60 * LABOR
    lift = 3 * LIFT_DAY + LIFT_DELIVERY  # 960 minutes are more than two days of 420
    disposal = 24 * RECYCLING
    contingency = 0.05 * (product + labor + lift)
    project = product + labor + lift + disposal + contingency
    # Rebate: 7,992 W less at 25 cents is 1,998 dollars; half of the 3,648 dollars of goods is 1,824; an account gets 1,800.
    rebate = min(7_992 * 0.25, 0.5 * product, 1_800.00)
    net = project - rebate

    saved = energy + upkeep
    return {
        "kw_before": kw_before,
        "kw_after": kw_after,
        "kw_saved": kw_before - kw_after,
        "kwh_before_per_year": kw_before * hours,
        "kwh_saved_per_year": (kw_before - kw_after) * hours,
        "energy_cost_saved_per_year": energy,
        "maintenance_saved_per_year": upkeep,
        "saved_per_year": saved,
        "product_cost": product,
        "labor_cost": labor,
        "lift_cost": lift,
        "contingency": contingency,
        "project_cost": project,
        "rebate": rebate,
        "net_cost": net,
        "simple_payback_years": net / saved,
        "energy_payback_years": net / energy,
        "premium_payback_years": 0.0,  # 3,648 less 1,800 is less than 24 new ones of the present kind at 132 dollars
        "npv": present_value(energy, POWER_RISE) + present_value(upkeep, 0.0) - net,
    }


def mixed_site() -> Figures:
    """Ten 400 W sodium area lights at 25 ft and fourteen 175 W metal halide wall packs at 15 ft, 4,250 hours, 10.5 cents."""
    # Power: 465 W and 215 W with their ballasts (system watts); AVOCET/05C.2 draws 150 W, DOTTEREL/02P draws 45 W.
    kw_before = 10 * 465 / 1000 + 14 * 215 / 1000  # 4.65 + 3.01 = 7.66
    kw_after = 10 * 150 / 1000 + 14 * 45 / 1000  # 1.50 + 0.63 = 2.13
    energy = (7.66 - 2.13) * 4250 * 0.105

    # Upkeep of the sodium lights: lamp 18 dollars, 24,000 hours; ballast 110 dollars (upkeep: sodium medium).
    poles = (
        10
        * 4250
        * (
            (18 + 30 / 60 * LABOR + RECYCLING + LIFT_DAY / LAMPS_A_LIFT_DAY) / 24_000
            + (110 + REBALLAST_HOURS * LABOR + LIFT_DAY / LAMPS_A_LIFT_DAY) / MAGNETIC_BALLAST
        )
    )
    # Of the wall packs: lamp 25 dollars, 10,000 hours; ballast 85 dollars (upkeep: metal halide small); a lift at 15 ft too.
    walls = (
        14
        * 4250
        * (
            (25 + 30 / 60 * LABOR + RECYCLING + LIFT_DAY / LAMPS_A_LIFT_DAY) / 10_000
            + (85 + REBALLAST_HOURS * LABOR + LIFT_DAY / LAMPS_A_LIFT_DAY) / MAGNETIC_BALLAST
        )
    )
    led_poles = 10 * LED_VISITS * (35 / 60 * LABOR + 480 / 2 * 10 / 15)
    led_walls = 14 * LED_VISITS * (25 / 60 * LABOR + 118 / 2 * 10 / 15)
    upkeep = poles + walls - led_poles - led_walls

    product = 10 * 480.00 + 14 * 118.00  # 4,800 + 1,652
    labor = 10 * 35 / 60 * LABOR + 14 * 25 / 60 * LABOR
    lift = 2 * LIFT_DAY + LIFT_DELIVERY  # 350 + 350 minutes are 700, two days of 420
    disposal = 24 * RECYCLING
    project = product + labor + lift + disposal
    premium = product - 10 * 206.00 - 14 * 104.00  # new ones of the present kinds

    saved = energy + upkeep
    return {
        "kw_before": kw_before,
        "kw_after": kw_after,
        "kw_saved": kw_before - kw_after,
        "kwh_before_per_year": kw_before * 4250,
        "kwh_saved_per_year": (kw_before - kw_after) * 4250,
        "energy_cost_saved_per_year": energy,
        "maintenance_saved_per_year": upkeep,
        "saved_per_year": saved,
        "product_cost": product,
        "labor_cost": labor,
        "lift_cost": lift,
        "project_cost": project,
        "rebate": 0.0,
        "net_cost": project,
        "simple_payback_years": project / saved,
        "energy_payback_years": project / energy,
        "premium_payback_years": premium / saved,
        "npv": present_value(energy, POWER_RISE) + present_value(upkeep, 0.0) - project,
    }


def school_lamp_swap() -> Figures:
    """A hundred and twenty 4-lamp T8 troffers that keep their housings, 10 hours on 5 days, 14 cents, lamps changed in groups."""
    # Power: 114 W today (system watts); four FIELDFARE/03K of 13 W.
    kw_before = 120 * 114 / 1000  # 13.68
    kw_after = 120 * 4 * 13 / 1000  # 6.24
    hours = 10 * 5 * 52  # 2,600
    energy = (13.68 - 6.24) * hours * 0.14

    # Upkeep today: all lamps are changed together at 70 % of 24,000 hours, 5 minutes each; one lamp in ten fails before and
    # takes 20 minutes and a lamp of its own (allowances: group_relamp_share, early_failures_share; upkeep: linear 4 ft).
    lamp_change = round(3 + (5 + 0.1 * 20) / 60 * LABOR + 0.1 * 3 + RECYCLING, 2)  # 15.38
    ballast_change = 20 + REBALLAST_HOURS * LABOR
    before = 120 * hours * (4 / (0.7 * 24_000) * lamp_change + 1 / ELECTRONIC_BALLAST * ballast_change)
    after = 120 * LED_VISITS * (25 / 60 * LABOR + 6.20 / 2 * 10 / 15)
    upkeep = before - after

    product = 120 * 4 * 6.20  # 480 lamps
    labor = 120 * 25 / 60 * LABOR
    disposal = 120 * 4 * RECYCLING
    project = product + labor + disposal

    saved = energy + upkeep
    return {
        "kw_before": kw_before,
        "kw_after": kw_after,
        "kw_saved": kw_before - kw_after,
        "kwh_before_per_year": kw_before * hours,
        "kwh_saved_per_year": (kw_before - kw_after) * hours,
        "energy_cost_saved_per_year": energy,
        "maintenance_saved_per_year": upkeep,
        "saved_per_year": saved,
        "product_cost": product,
        "labor_cost": labor,
        "project_cost": project,
        "rebate": 0.0,
        "net_cost": project,
        "simple_payback_years": project / saved,
        "energy_payback_years": project / energy,
        "npv": present_value(energy, POWER_RISE) + present_value(upkeep, 0.0) - project,
    }


def present_value(yearly: float, rise: float) -> float:
    """Fifteen yearly amounts at each year's end, growing by ``rise``, brought back to today one by one."""
    value = 0.0
    for year in range(1, YEARS + 1):
        value += yearly * (1 + rise) ** year / (1 + DISCOUNT) ** year
    return value


JOBS: tuple[HandJob, ...] = (
    HandJob(
        "night wall packs with a lift",
        {
            "job": {"rate_per_kwh": 0.118, "schedule": {"hours_per_year": 4100}},
            "lines": [
                {"qty": 16, "family": "wall_pack", "source": "MH", "watts": 250, "height_ft": 22, "voltage": 277}
            ],
        },
        Terms.model_validate(SHARED | {"sales_tax_share": "0.07", "freight_share": "0.02"}),
        ("DUNLIN/05P",),
        night_wall_packs,
    ),
    HandJob(
        "office troffers with a demand charge",
        {
            "job": {
                "rate_per_kwh": 0.125,
                "demand_rate_per_kw": 14,
                "schedule": {"hours_per_day": 12, "days_per_week": 5},
                "labor_per_luminaire": 40,
            },
            "lines": [
                {
                    "qty": 60, "family": "troffer", "source": "T8", "watts": 32, "lamps": 4, "size": "2x4", "lamp_feet": 4,
                    "voltage": 277,
                }
            ],
            "context": {"building": "office"},
        },
        Terms.model_validate(SHARED),
        ("SISKIN/07A",),
        office_troffers,
    ),
    HandJob(
        "warehouse high bays with a rebate for each watt",
        {
            "job": {"rate_per_kwh": 0.09, "schedule": {"hours_per_day": 16, "days_per_week": 6}},
            "lines": [
                {"qty": 24, "family": "high_bay", "source": "MH", "watts": 400, "height_ft": 26, "voltage": 277}
            ],
            "context": {"building": "warehouse"},
        },
        Terms.model_validate(
            SHARED
            | {
                "contingency_share": "0.05",
                "rebate": RebateTerms(
                    basis="per_watt_reduced", amount="0.25", share_of_cost="0.5", per_account="1800"
                ),
            }
        ),
        ("GANNET/04W",),
        warehouse_high_bays,
    ),
    HandJob(
        "a site with poles and wall packs",
        {
            "job": {"rate_per_kwh": 0.105, "schedule": {"hours_per_year": 4250}},
            "lines": [
                {"qty": 10, "family": "area", "source": "HPS", "watts": 400, "height_ft": 25, "voltage": 480},
                {"qty": 14, "family": "wall_pack", "source": "MH", "watts": 175, "height_ft": 15, "voltage": 277},
            ],
        },
        Terms.model_validate(SHARED),
        ("AVOCET/05C.2", "DOTTEREL/02P"),
        mixed_site,
    ),
    HandJob(
        "a lamp swap that keeps the housings",
        {
            "job": {"rate_per_kwh": 0.14, "schedule": {"hours_per_day": 10, "days_per_week": 5}},
            "lines": [
                {
                    "qty": 120, "family": "troffer", "source": "T8", "watts": 32, "lamps": 4, "lamp_feet": 4,
                    "keep_housing": True, "voltage": 120,
                }
            ],
            "context": {"building": "school"},
        },
        Terms.model_validate(SHARED | {"lift": False, "relamping": "group"}),
        ("FIELDFARE/03K",),
        school_lamp_swap,
    ),
)  # fmt: skip


def quoted(job: HandJob) -> Quote:
    """The engine's quote of the job, on the demo catalog and the packaged tables."""
    return make_quote(
        Request.model_validate(job.request), load_catalogue(CATALOGUE), load_tables(), job.terms
    )


def side_by_side() -> list[str]:
    """Both, figure by figure, with the difference."""
    out = []
    for job in JOBS:
        totals = quoted(job).totals
        out += [job.name, f"  {'figure':<30}{'engine':>14}{'by hand':>14}{'difference':>12}"]
        for name, hand in job.by_hand().items():
            engine = float(totals[name].value)
            out.append(f"  {name:<30}{engine:>14,.3f}{hand:>14,.3f}{engine - hand:>12,.3f}")
        out.append("")
    return out


if __name__ == "__main__":
    print("\n".join(side_by_side()))
