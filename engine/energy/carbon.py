"""Carbon dioxide that saved electricity leaves unmade: average output rates of the grid region, or of the country.

Average rates, not marginal ones: what a year's mix gives off, not what the last power plant did. Direct use only,
losses in the wires left out (they would add about 5 %).
"""

from engine.figure import Figure, defined, derive, looked_up
from engine.quantities import KG_PER_POUND
from engine.tables import NoSuchRow, Tables, carbon


def carbon_rate(tables: Tables, state: str | None) -> Figure:
    """Carbon dioxide per MWh [lb/MWh] where ``state`` draws its power; an unknown place has the country's average.

    Raises:
        LookupError: the tables hold no rate for the country.
    """
    row = carbon(tables, state)
    if isinstance(row, NoSuchRow):
        row = carbon(tables, None)
    if isinstance(row, NoSuchRow):
        raise LookupError("emission_factors.csv has no national rate")
    return looked_up(
        "carbon_lb_per_mwh", row.lb_per_mwh, "lb/MWh", f"{row.area}, {row.gas}, {row.year}: {row.provenance}",
        row.reference, row.low, row.high,
    )  # fmt: skip


def carbon_saved(kwh_saved: Figure, rate: Figure, name: str = "carbon_saved_lb_per_year") -> Figure:
    """Carbon dioxide not given off in a year [lb/yr]; negative where more is used."""
    return derive(name, "lb/yr", f"{kwh_saved.name} * {rate.name} / 1000", kwh_saved, rate)


def in_kilograms(carbon_saved_lb: Figure, name: str = "carbon_saved_kg_per_year") -> Figure:
    """The same in kilograms [kg/yr]."""
    each = defined("kg_per_lb", KG_PER_POUND, "kg/lb", "international pound, exact (NIST SP 811)")
    return derive(name, "kg/yr", f"{carbon_saved_lb.name} * {each.name}", carbon_saved_lb, each)
