"""The reference tables as one object: read on first use, checked row by row, told apart by a hash of their content.

Packaged tables lie beside this module. An operator may keep a folder of own tables: each ``<table>.csv`` found
there replaces the packaged one whole, with its own ``<table>.toml`` if there is one, else under the packaged rules.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache, cached_property
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, TypeVar

from engine.errors import ConfigurationError, TableError
from engine.tables import rows as r
from engine.tables.sheet import Sidecar, read_rows, read_sidecar

Row = TypeVar("Row")

ROW_TYPES: Final[Mapping[str, type[Any]]] = MappingProxyType(
    {
        "allowances": r.DefaultRow,
        "ballast_factor": r.BallastFactorRow,
        "bug_limits": r.BugLimitRow,
        "building_types": r.BuildingTypeRow,
        "cautions": r.CautionRow,
        "control_savings": r.ControlSavingsRow,
        "defaults": r.DefaultRow,
        "dirt_depreciation": r.DirtDepreciationRow,
        "dusk_to_dawn": r.DuskToDawnRow,
        "electric_rates": r.ElectricRateRow,
        "emission_factors": r.EmissionFactorRow,
        "exterior_power_allowance": r.ExteriorPowerRow,
        "families": r.FamilyRow,
        "generic_light": r.GenericLightRow,
        "interactive_effects": r.InteractiveEffectRow,
        "lamp_depreciation": r.LampDepreciationRow,
        "lamps": r.LampRow,
        "led_equivalents": r.LedEquivalentRow,
        "led_rule_of_thumb": r.LedRuleOfThumbRow,
        "light_classes": r.LightClassRow,
        "light_levels": r.LightLevelRow,
        "light_places": r.LightPlacesRow,
        "maintenance_costs": r.MaintenanceRow,
        "maintenance_groups": r.MaintenanceGroupRow,
        "operating_hours": r.OperatingHoursRow,
        "optics_factor": r.OpticsFactorRow,
        "room_surfaces": r.RoomSurfacesRow,
        "sources": r.SourceRow,
        "space_levels": r.SpaceLevelRow,
        "spaces": r.SpaceRow,
        "spill_limits": r.SpillLimitRow,
        "states": r.StateRow,
        "system_watts": r.SystemWattsRow,
        "usual_ballasts": r.UsualBallastRow,
        "usual_control_savings": r.UsualControlSavingsRow,
        "usual_heights": r.UsualHeightRow,
        "usual_lamps": r.UsualLampRow,
        "watts_observations": r.WattsObservationRow,
        "watts_per_lamp_watt": r.WattsPerLampWattRow,
    }
)
"""Every table there is, by file name, with the record one of its rows becomes."""


@dataclass(frozen=True)
class Tables:
    """All reference tables. A table is read and checked when first asked for; ``check`` reads them all.

    Attributes:
        version: the first 12 hexadecimal digits of a SHA-256 over every file's name and content.
    """

    version: str
    _files: Mapping[str, tuple[bytes, bytes]]

    def check(self) -> None:
        """Reads every table and what ties them together.

        Raises:
            TableError: the first fault.
        """
        for name in ROW_TYPES:
            getattr(self, name)
        self._check_ties()

    @property
    def contents(self) -> Mapping[str, tuple[bytes, bytes]]:
        """By table the bytes of its rows and of its sidecar; `tables_of` makes the same tables of them again."""
        return self._files

    def sidecar(self, table: str) -> Sidecar:
        """What ``table`` says about itself: title, source, columns with units."""
        return read_sidecar(f"{table}.toml", self._files[table][1])

    def _rows(self, table: str, row_type: type[Row]) -> tuple[Row, ...]:
        sidecar = self.sidecar(table)
        wanted = [field.name for field in fields(row_type)]  # type: ignore[arg-type]
        described = [column.name for column in sidecar.columns]
        if described != wanted:
            odd = next((name for name in described if name not in wanted), None)
            found = f"column {odd}" if odd else ", ".join(described)
            raise TableError(sidecar.file, None, odd, found, "the columns " + ", ".join(wanted))
        return read_rows(sidecar, f"{table}.csv", self._files[table][0], row_type)

    def _check_ties(self) -> None:
        """Keys that one table takes from another must be there."""
        groups = {row.group for row in self.maintenance_costs}
        for group in self.maintenance_groups:
            if group.group not in groups:
                _untied("maintenance_groups", "group", group.group, "a group of maintenance_costs.csv")
        hours = {(row.kind, row.name) for row in self.operating_hours}
        effects = {row.building for row in self.interactive_effects}
        for building in self.building_types:
            if (building.hours_kind, building.hours_row) not in hours:
                _untied("building_types", "hours_row", building.hours_row, "a name of operating_hours.csv")
            if building.hvac_building is not None and building.hvac_building not in effects:
                what = "a building of interactive_effects.csv"
                _untied("building_types", "hvac_building", building.hvac_building, what)
        levels = {(row.group, row.area, row.criterion, row.rule) for row in self.light_levels}
        for level in self.space_levels:
            if (level.group, level.area, level.criterion, level.rule) not in levels:
                _untied("space_levels", "area", level.area, "a row of light_levels.csv")
        areas = {row.area for row in self.exterior_power_allowance}
        for space in self.spaces:
            if space.allowance_area is not None and space.allowance_area not in areas:
                _untied(
                    "spaces",
                    "allowance_area",
                    space.allowance_area,
                    "an area of exterior_power_allowance.csv",
                )
        grids = {row.code for row in self.emission_factors if row.level == "subregion"}
        for state in self.states:
            if state.egrid_subregion not in grids:
                what = "a subregion of emission_factors.csv"
                _untied("states", "egrid_subregion", state.egrid_subregion, what)

    @cached_property
    def allowances(self) -> tuple[r.DefaultRow, ...]:
        return self._rows("allowances", r.DefaultRow)

    @cached_property
    def ballast_factor(self) -> tuple[r.BallastFactorRow, ...]:
        return self._rows("ballast_factor", r.BallastFactorRow)

    @cached_property
    def bug_limits(self) -> tuple[r.BugLimitRow, ...]:
        return self._rows("bug_limits", r.BugLimitRow)

    @cached_property
    def building_types(self) -> tuple[r.BuildingTypeRow, ...]:
        return self._rows("building_types", r.BuildingTypeRow)

    @cached_property
    def cautions(self) -> tuple[r.CautionRow, ...]:
        return self._rows("cautions", r.CautionRow)

    @cached_property
    def control_savings(self) -> tuple[r.ControlSavingsRow, ...]:
        return self._rows("control_savings", r.ControlSavingsRow)

    @cached_property
    def defaults(self) -> tuple[r.DefaultRow, ...]:
        return self._rows("defaults", r.DefaultRow)

    @cached_property
    def dirt_depreciation(self) -> tuple[r.DirtDepreciationRow, ...]:
        return self._rows("dirt_depreciation", r.DirtDepreciationRow)

    @cached_property
    def dusk_to_dawn(self) -> tuple[r.DuskToDawnRow, ...]:
        return self._rows("dusk_to_dawn", r.DuskToDawnRow)

    @cached_property
    def electric_rates(self) -> tuple[r.ElectricRateRow, ...]:
        return self._rows("electric_rates", r.ElectricRateRow)

    @cached_property
    def emission_factors(self) -> tuple[r.EmissionFactorRow, ...]:
        return self._rows("emission_factors", r.EmissionFactorRow)

    @cached_property
    def exterior_power_allowance(self) -> tuple[r.ExteriorPowerRow, ...]:
        return self._rows("exterior_power_allowance", r.ExteriorPowerRow)

    @cached_property
    def families(self) -> tuple[r.FamilyRow, ...]:
        return self._rows("families", r.FamilyRow)

    @cached_property
    def generic_light(self) -> tuple[r.GenericLightRow, ...]:
        return self._rows("generic_light", r.GenericLightRow)

    @cached_property
    def interactive_effects(self) -> tuple[r.InteractiveEffectRow, ...]:
        return self._rows("interactive_effects", r.InteractiveEffectRow)

    @cached_property
    def lamp_depreciation(self) -> tuple[r.LampDepreciationRow, ...]:
        return self._rows("lamp_depreciation", r.LampDepreciationRow)

    @cached_property
    def lamps(self) -> tuple[r.LampRow, ...]:
        return self._rows("lamps", r.LampRow)

    @cached_property
    def led_equivalents(self) -> tuple[r.LedEquivalentRow, ...]:
        return self._rows("led_equivalents", r.LedEquivalentRow)

    @cached_property
    def led_rule_of_thumb(self) -> tuple[r.LedRuleOfThumbRow, ...]:
        return self._rows("led_rule_of_thumb", r.LedRuleOfThumbRow)

    @cached_property
    def light_classes(self) -> tuple[r.LightClassRow, ...]:
        return self._rows("light_classes", r.LightClassRow)

    @cached_property
    def light_levels(self) -> tuple[r.LightLevelRow, ...]:
        return self._rows("light_levels", r.LightLevelRow)

    @cached_property
    def light_places(self) -> tuple[r.LightPlacesRow, ...]:
        return self._rows("light_places", r.LightPlacesRow)

    @cached_property
    def maintenance_costs(self) -> tuple[r.MaintenanceRow, ...]:
        return self._rows("maintenance_costs", r.MaintenanceRow)

    @cached_property
    def maintenance_groups(self) -> tuple[r.MaintenanceGroupRow, ...]:
        return self._rows("maintenance_groups", r.MaintenanceGroupRow)

    @cached_property
    def operating_hours(self) -> tuple[r.OperatingHoursRow, ...]:
        return self._rows("operating_hours", r.OperatingHoursRow)

    @cached_property
    def optics_factor(self) -> tuple[r.OpticsFactorRow, ...]:
        return self._rows("optics_factor", r.OpticsFactorRow)

    @cached_property
    def room_surfaces(self) -> tuple[r.RoomSurfacesRow, ...]:
        return self._rows("room_surfaces", r.RoomSurfacesRow)

    @cached_property
    def space_levels(self) -> tuple[r.SpaceLevelRow, ...]:
        return self._rows("space_levels", r.SpaceLevelRow)

    @cached_property
    def spaces(self) -> tuple[r.SpaceRow, ...]:
        return self._rows("spaces", r.SpaceRow)

    @cached_property
    def spill_limits(self) -> tuple[r.SpillLimitRow, ...]:
        return self._rows("spill_limits", r.SpillLimitRow)

    @cached_property
    def sources(self) -> tuple[r.SourceRow, ...]:
        return self._rows("sources", r.SourceRow)

    @cached_property
    def states(self) -> tuple[r.StateRow, ...]:
        return self._rows("states", r.StateRow)

    @cached_property
    def system_watts(self) -> tuple[r.SystemWattsRow, ...]:
        return self._rows("system_watts", r.SystemWattsRow)

    @cached_property
    def usual_ballasts(self) -> tuple[r.UsualBallastRow, ...]:
        return self._rows("usual_ballasts", r.UsualBallastRow)

    @cached_property
    def usual_control_savings(self) -> tuple[r.UsualControlSavingsRow, ...]:
        return self._rows("usual_control_savings", r.UsualControlSavingsRow)

    @cached_property
    def usual_heights(self) -> tuple[r.UsualHeightRow, ...]:
        return self._rows("usual_heights", r.UsualHeightRow)

    @cached_property
    def usual_lamps(self) -> tuple[r.UsualLampRow, ...]:
        return self._rows("usual_lamps", r.UsualLampRow)

    @cached_property
    def watts_observations(self) -> tuple[r.WattsObservationRow, ...]:
        return self._rows("watts_observations", r.WattsObservationRow)

    @cached_property
    def watts_per_lamp_watt(self) -> tuple[r.WattsPerLampWattRow, ...]:
        return self._rows("watts_per_lamp_watt", r.WattsPerLampWattRow)


def _untied(table: str, column: str, found: str, allowed: str) -> None:
    raise TableError(f"{table}.csv", None, column, found, allowed)


def load_tables(folder: Path | None = None) -> Tables:
    """The packaged tables, or those tables with the files of ``folder`` put in their place.

    The packaged tables are read when first used; those of a folder are checked at once.

    Raises:
        ConfigurationError: ``folder`` is no folder.
        TableError: a file in it names no table, or breaks a rule.
    """
    if folder is None:
        return _packaged()
    if not folder.is_dir():
        raise ConfigurationError(
            f"tables folder {folder.name!r}: found no folder, allowed: a folder with CSV files"
        )
    files = dict(_packaged()._files)
    for path in sorted(folder.iterdir()):
        if path.suffix not in (".csv", ".toml") or path.name.startswith("places_"):
            continue
        if path.stem not in ROW_TYPES:
            raise TableError(path.name, None, None, path.stem, "a table of " + ", ".join(ROW_TYPES))
        rows, sidecar = files[path.stem]
        files[path.stem] = (
            (path.read_bytes(), sidecar) if path.suffix == ".csv" else (rows, path.read_bytes())
        )
    tables = _tables(files)
    tables.check()
    return tables


def tables_of(contents: Mapping[str, tuple[bytes, bytes]]) -> Tables:
    """The tables that `Tables.contents` gave the bytes of, perhaps long ago.

    A table that this program has and ``contents`` lacks is the packaged one; one that this program lacks is left out.

    Raises:
        TableError: a row breaks a rule of this program.
    """
    packaged = _packaged()._files
    tables = _tables({name: contents.get(name, packaged[name]) for name in ROW_TYPES})
    tables.check()
    return tables


@cache
def _packaged() -> Tables:
    folder: Traversable = resources.files("engine.tables")
    return _tables(
        {
            name: ((folder / f"{name}.csv").read_bytes(), (folder / f"{name}.toml").read_bytes())
            for name in ROW_TYPES
        }
    )


def _tables(files: Mapping[str, tuple[bytes, bytes]]) -> Tables:
    digest = hashlib.sha256()
    for name, (rows, sidecar) in sorted(files.items()):
        for part in (name.encode(), rows, sidecar):
            digest.update(len(part).to_bytes(8, "big"))
            digest.update(part)
    return Tables(version=digest.hexdigest()[:12], _files=MappingProxyType(dict(files)))
