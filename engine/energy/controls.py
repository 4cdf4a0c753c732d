"""What controls save of the energy of the lights they are on: published factors, or standby by time nobody is there.

A factor holds for the lights under control and for energy, never for the connected load. Photocells and timers that set
when lights burn are hours (`engine.energy.hours`), not factors: count each once.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

from engine.figure import Figure, assumed, defined, derive, looked_up
from engine.proposal import Reason
from engine.record import record
from engine.tables import NoSuchRow, Tables, control_savings
from engine.vocabulary import Control

CONTROL_KEYS: Final = (
    "controls_overlap",  # controls: tuple[str]: savings multiply, they do not add up
    "control_sets_hours",  # control: str: a photocell or timer is counted in the hours, not as a saving on top
    "motion_on_egress",  # motion control where a way out must stay lit: ask
)

Factored = Literal["motion", "dimming"]
_SEVERAL: Final = "multiple strategies combined"
_FACTORED: Final[tuple[Factored, Factored]] = ("motion", "dimming")


@record
class ControlSaving:
    """Share of energy saved [1], as figure ``control_savings``; ``None`` where no control saves by a factor."""

    figure: Figure | None
    notes: tuple[Reason, ...] = ()


@dataclass(slots=True)
class ControlsOfJob:
    """Savings by controls and surroundings, each worked out once and shared by the lines it holds for."""

    tables: Tables
    _made: dict[tuple[tuple[Control, ...], str], ControlSaving]

    def of(self, controls: Sequence[Control], environment: str) -> ControlSaving:
        """What ``controls`` save in surroundings ``exterior``, ``garage``, ``industrial`` or ``interior``."""
        key = (tuple(controls), environment)
        found = self._made.get(key)
        if found is None:
            found = self._made[key] = control_saving(self.tables, controls, environment)
        return found


def controls_of_job(tables: Tables) -> ControlsOfJob:
    """An empty `ControlsOfJob` over ``tables``."""
    return ControlsOfJob(tables, {})


def control_saving(tables: Tables, controls: Sequence[Control], environment: str) -> ControlSaving:
    """What ``controls`` save of the energy of the lights under them [1], from the table of usual savings.

    Two controls leave each its share of what the other left: 1 - (1 - a)(1 - b). Indoors the sum is held to what was
    measured for several strategies together, since the same dark hour can't be saved twice.
    """
    notes = [Reason("control_sets_hours", {"control": c}) for c in ("photocell", "timer") if c in controls]
    parts = []
    for control in _FACTORED:
        if control not in controls:
            continue
        row = control_savings(tables, control, environment)
        if isinstance(row, NoSuchRow):
            continue
        parts.append(
            looked_up(
                f"{control}_savings", row.savings, "1", row.provenance,
                f"usual_control_savings.csv: {control} {environment}", row.savings_low, row.savings_high,
            )
        )  # fmt: skip
    if "motion" in controls and environment in ("interior", "garage"):
        notes.append(Reason("motion_on_egress", {}))
    if not parts:
        return ControlSaving(None, tuple(notes))
    if len(parts) > 1:
        notes.append(Reason("controls_overlap", {"controls": _FACTORED}))
    left = " * ".join(f"(1 - {part.name})" for part in parts)
    formula = f"1 - {left}"
    together = _together(tables) if len(parts) > 1 and environment in ("interior", "industrial") else None
    if together is not None:
        formula = f"least({formula}, {together.name})"
        parts.append(together)
    return ControlSaving(derive("control_savings", "1", formula, *parts), tuple(notes))


def motion_with_standby(vacant_share: Figure, standby_level: Figure, name: str = "control_savings") -> Figure:
    """Share of energy saved by lights that fall to ``standby_level`` of full power while nobody is there [1].

    Args:
        vacant_share: share of the lit hours without anybody, 0 to 1.
        standby_level: share of full power on standby, 0 (off) to 1.
        name: of the figure.

    Raises:
        ValueError: a share outside 0 to 1.
    """
    for figure in (vacant_share, standby_level):
        if not 0 <= figure.value <= 1:
            raise ValueError(f"{figure.name} {figure.value} is not between 0 and 1")
    return derive(name, "1", f"{vacant_share.name} * (1 - {standby_level.name})", vacant_share, standby_level)


@cache
def usual_standby() -> tuple[Figure, Figure]:
    """Vacant share and standby level to assume outdoors and in garages where neither was said."""
    vacant = assumed(
        "vacant_share", 0.5, "1", 0.3, 0.8, "common practice, no source: half the dark hours; ask"
    )
    standby = assumed(
        "standby_level", 0.5, "1", 0.1, 0.5,
        "ASHRAE 90.1-2019 9.4.1.4 asks for a cut by at least half while vacant (read second hand)",
    )  # fmt: skip
    return vacant, standby


def kwh_with_controls(kw: Figure, hours_per_year: Figure, saving: Figure | None, name: str) -> Figure:
    """Energy of lights in a year [kWh/yr], less what their controls save."""
    if saving is None:
        saving = NO_CONTROLS
    formula = f"{kw.name} * {hours_per_year.name} * (1 - {saving.name})"
    return derive(name, "kWh/yr", formula, kw, hours_per_year, saving)


def _together(tables: Tables) -> Figure | None:
    row = next((r for r in tables.control_savings if r.control == _SEVERAL), None)
    if row is None or row.savings is None:
        return None
    return looked_up(
        "several_strategies_savings", row.savings, "1", row.provenance, f"control_savings.csv: {row.control}"
    )


NO_CONTROLS: Final = defined("control_savings", 0.0, "1", "no control that saves by a factor")
