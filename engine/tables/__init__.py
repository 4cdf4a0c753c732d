"""Reference tables with provenance (one CSV and one TOML sidecar each) and the look-ups into them.

    from engine.tables import load_tables, system_watts
    system_watts(load_tables(), "MH", 250)

A look-up that finds nothing returns ``NoSuchRow``; a table that breaks its own rules raises ``TableError``.
"""

from engine.tables.facts import (
    Carbon,
    ElectricRate,
    ballast_factor,
    building_type,
    carbon,
    control_savings,
    default,
    dirt_depreciation,
    electric_rate,
    family_facts,
    lamp_depreciation,
    optics_factor,
    state_facts,
)
from engine.tables.lamps import Lamp, UsualLamp, UsualLamps, lamp, maintenance, usual_lamps
from engine.tables.miss import NoSuchRow
from engine.tables.tables import ROW_TYPES, Tables, load_tables
from engine.tables.watts import SystemWatts, system_watts

__all__ = [
    "ROW_TYPES",
    "Carbon",
    "ElectricRate",
    "Lamp",
    "NoSuchRow",
    "SystemWatts",
    "Tables",
    "UsualLamp",
    "UsualLamps",
    "ballast_factor",
    "building_type",
    "carbon",
    "control_savings",
    "default",
    "dirt_depreciation",
    "electric_rate",
    "family_facts",
    "lamp",
    "lamp_depreciation",
    "load_tables",
    "maintenance",
    "optics_factor",
    "state_facts",
    "system_watts",
    "usual_lamps",
]
