"""One record per table: a field per column, in the order of the file, as the sidecar beside it describes.

Units, meanings and allowed ranges stand in the sidecars (``<table>.toml``); a blank cell is ``None``.
Every row says how its figure was got (``seen``) and from where (``provenance``).
"""

from dataclasses import dataclass
from decimal import Decimal

from engine.vocabulary import Arrangement, Family, LampSource, Space


@dataclass(frozen=True, slots=True)
class SourceRow:
    """The documents that provenance keys stand for (``sources.csv``)."""

    key: str
    document: str
    year: str
    read: str
    used_for: str
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class GenericLightRow:
    """A generic light distribution; the numbers are those of `engine.light.shapes.Shape` (``generic_light.csv``)."""

    family: Family
    form: str
    rank: int
    lamp_sources: tuple[str, ...]
    optics: tuple[str, ...]
    symmetry: str
    peak_deg: float
    side_peak_deg: float
    spread_deg: float
    spread_above_deg: float
    lateral_deg: float
    lateral_spread_deg: float
    house_share: float
    nadir_share: float
    body_exponent: float
    side_body_exponent: float
    cutoff_deg: float
    side_cutoff_deg: float
    uplight_share: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class LightPlacesRow:
    """Where the light of a family counts, and how far apart its luminaires usually are (``light_places.csv``)."""

    family: Family
    arrangement: str
    spacing_heights_low: float
    spacing_heights: float
    spacing_heights_high: float
    line_heights: float | None
    plane_ft_low: float
    plane_ft: float
    plane_ft_high: float
    level_fc: float
    lower_level_fc: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class UsualHeightRow:
    """The mounting height to take where none was said (``usual_heights.csv``)."""

    family: Family
    lamp_lumens_to: float | None
    height_ft_low: float
    height_ft: float
    height_ft_high: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class SystemWattsRow:
    """Input watts of a legacy luminaire: lamps plus ballast (``system_watts.csv``)."""

    lamp_source: LampSource
    lamp_watts: float
    lamps: int
    lamp_feet: float | None
    ballast: str
    watts_low: float
    watts: float
    watts_high: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class UsualBallastRow:
    """Which ballast to take where none was said (``usual_ballasts.csv``)."""

    lamp_source: LampSource
    rank: int
    ballast: str
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class WattsPerLampWattRow:
    """Input watts per lamp watt, for lamps that have no row of their own (``watts_per_lamp_watt.csv``)."""

    lamp_source: LampSource
    ratio_low: float
    ratio: float
    ratio_high: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class WattsObservationRow:
    """Input watts seen in one opened source (``watts_observations.csv``)."""

    lamp_source: LampSource
    lamp_watts: float
    lamps: int
    lamp_feet: float | None
    ballast: str
    watts_low: float
    watts_high: float
    basis: str
    used: bool
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class BallastFactorRow:
    """Light from a lamp on this ballast over its rated lumens (``ballast_factor.csv``)."""

    lamp_source: LampSource
    ballast: str
    factor_low: float
    factor: float
    factor_high: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class LampRow:
    """One legacy lamp: light, life, color (``lamps.csv``)."""

    lamp_source: LampSource
    lamp_watts: float
    lamp_feet: float | None
    initial_lumens_low: float
    initial_lumens: float
    initial_lumens_high: float
    mean_lumens_low: float
    mean_lumens: float
    mean_lumens_high: float
    rated_life_hours: int
    cri: int
    cct_k: int
    restrike: str
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class FamilyRow:
    """One luminaire family: what it lets out, where it hangs, what it takes to change (``families.csv``)."""

    family: Family
    efficiency_low: float
    efficiency: float
    efficiency_high: float
    height_ft_low: float
    height_ft_high: float
    led_lm_per_w_low: float
    led_lm_per_w_high: float
    labor_minutes_low: float
    labor_minutes: float
    labor_minutes_high: float
    relamp_minutes: float
    mounts: tuple[str, ...]
    environment: str
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class LedEquivalentRow:
    """Published statements of what LED replaces what (``led_equivalents.csv``)."""

    application: str
    lamp_source: LampSource | None
    lamp_watts: float | None
    led_watts_low: float | None
    led_watts_high: float | None
    led_lumens_low: float | None
    led_lumens_high: float | None
    seen: str
    provenance: str
    note: str | None


@dataclass(frozen=True, slots=True)
class LedRuleOfThumbRow:
    """LED watts usually sold in place of a legacy lamp, by family (``led_rule_of_thumb.csv``)."""

    family: Family
    lamp_source: LampSource | None
    lamp_watts: float | None
    lamps: int | None
    lamp_feet: float | None
    size: str | None
    led_watts_low: float
    led_watts_high: float
    seen: str
    provenance: str
    note: str | None


@dataclass(frozen=True, slots=True)
class MaintenanceRow:
    """Minutes and dollars to replace one lamp or one ballast (``maintenance_costs.csv``)."""

    group: str
    title: str
    spot_minutes_low: float
    spot_minutes: float
    spot_minutes_high: float
    group_minutes_low: float
    group_minutes: float
    group_minutes_high: float
    lamp_usd_low: Decimal
    lamp_usd: Decimal
    lamp_usd_high: Decimal
    ballast_usd_low: Decimal | None
    ballast_usd: Decimal | None
    ballast_usd_high: Decimal | None
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class MaintenanceGroupRow:
    """Which lamp group a lamp belongs to (``maintenance_groups.csv``)."""

    lamp_source: LampSource
    watts_from: float
    watts_to: float
    feet_from: float | None
    feet_to: float | None
    group: str
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class OperatingHoursRow:
    """Hours a year that lights burn, by building, space or schedule (``operating_hours.csv``)."""

    kind: str
    name: str
    location: str
    annual_hours: float
    coincidence: float | None
    confidence: str
    seen: str
    provenance: str
    note: str | None


@dataclass(frozen=True, slots=True)
class BuildingTypeRow:
    """Kinds of building by key word, with usual hours (``building_types.csv``)."""

    building: str
    title: str
    location: str
    hours_kind: str
    hours_row: str
    annual_hours_low: float
    annual_hours: float
    annual_hours_high: float
    days_per_week_low: float
    days_per_week: float
    days_per_week_high: float
    hvac_building: str | None
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class ElectricRateRow:
    """Average price of electricity by state (``electric_rates.csv``)."""

    state: str
    period: str
    residential_usd_per_kwh: Decimal | None
    commercial_usd_per_kwh: Decimal | None
    industrial_usd_per_kwh: Decimal | None
    all_usd_per_kwh: Decimal | None
    seen: str
    provenance: str
    note: str | None


@dataclass(frozen=True, slots=True)
class DuskToDawnRow:
    """Computed dark hours of one year in fourteen cities (``dusk_to_dawn.csv``)."""

    city: str
    state: str
    latitude: float
    longitude: float
    year: int
    sunset_to_sunrise_hours: float
    civil_hours: float
    three_degrees_hours: float
    half_hour_inside_hours: float
    shortest_night_hours: float
    longest_night_hours: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class ControlSavingsRow:
    """Published savings of lighting controls (``control_savings.csv``)."""

    control: str
    scope: str
    savings_low: float | None
    savings: float | None
    savings_high: float | None
    basis: str
    confidence: str
    seen: str
    provenance: str
    note: str | None


@dataclass(frozen=True, slots=True)
class UsualControlSavingsRow:
    """Savings to assume for a control, by surroundings (``usual_control_savings.csv``)."""

    control: str
    environment: str
    savings_low: float
    savings: float
    savings_high: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class InteractiveEffectRow:
    """What saved lighting does to heating and cooling (``interactive_effects.csv``)."""

    building: str
    factor: str
    hvac: str
    value_low: float
    value: float
    value_high: float
    meaning: str
    confidence: str
    seen: str
    provenance: str
    note: str | None


@dataclass(frozen=True, slots=True)
class EmissionFactorRow:
    """Pounds of carbon dioxide per MWh of electricity (``emission_factors.csv``)."""

    level: str
    code: str
    name: str | None
    year: int
    gas: str
    lb_per_mwh: float
    trusted: bool
    seen: str
    provenance: str
    note: str | None


@dataclass(frozen=True, slots=True)
class LightLevelRow:
    """Illuminances that rules, guides and ordinances ask for (``light_levels.csv``)."""

    group: str
    area: str
    criterion: str
    fc_low: float | None
    fc: float | None
    fc_high: float | None
    lux_low: float | None
    lux: float | None
    lux_high: float | None
    uniformity: str | None
    rule: str
    seen: str
    provenance: str
    note: str | None


@dataclass(frozen=True, slots=True)
class SpaceRow:
    """A kind of place that light is asked for (``spaces.csv``)."""

    space: Space
    arrangement: Arrangement
    least_fc_low: float | None
    least_fc: float | None
    least_fc_high: float | None
    allowance_area: str | None
    usual_family: Family
    families: tuple[str, ...]
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class SpaceLevelRow:
    """A row of ``light_levels.csv`` that is told as guidance for a kind of place (``space_levels.csv``)."""

    space: Space
    rank: int
    group: str
    area: str
    criterion: str
    rule: str
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class RoomSurfacesRow:
    """Reflectances to assume of a room (``room_surfaces.csv``)."""

    environment: str
    ceiling_low: float
    ceiling: float
    ceiling_high: float
    walls_low: float
    walls: float
    walls_high: float
    floor_low: float
    floor: float
    floor_high: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class SpillLimitRow:
    """Light on an upright face at a property line that a model ordinance lets be (``spill_limits.csv``)."""

    zone: str
    words: str
    vertical_fc: float
    vertical_lux: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class BugLimitRow:
    """Most lumens of a zone for each rating of backlight, uplight or glare (``bug_limits.csv``)."""

    letter: str
    zone: str
    types: str
    to_0: float
    to_1: float
    to_2: float
    to_3: float
    to_4: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class LightClassRow:
    """A class of roadway, area or flood light by how far it spreads (``light_classes.csv``)."""

    kind: str
    name: str
    over: float
    up_to: float | None
    unit: str
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class ExteriorPowerRow:
    """Exterior lighting power that energy codes allow (``exterior_power_allowance.csv``)."""

    edition: str
    area: str
    unit: str
    tradable: bool
    zone0: float
    zone1: float
    zone2: float
    zone3: float
    zone4: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class LampDepreciationRow:
    """Lamp lumen depreciation (LLD): mean over initial lumens (``lamp_depreciation.csv``)."""

    lamp_source: LampSource
    lld_low: float
    lld: float
    lld_high: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class DirtDepreciationRow:
    """Luminaire dirt depreciation (LDD) by surroundings (``dirt_depreciation.csv``)."""

    environment: str
    light: str
    ldd_low: float
    ldd: float
    ldd_high: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class OpticsFactorRow:
    """LED lumens that do the work of one delivered legacy lumen (``optics_factor.csv``)."""

    environment: str
    factor_low: float
    factor: float
    factor_high: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class UsualLampRow:
    """Which lamps a family usually holds, and how often (``usual_lamps.csv``)."""

    family: Family
    size: str | None
    lamp_source: LampSource
    lamp_watts: float
    lamps: int
    lamp_feet: float | None
    weight: float
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class DefaultRow:
    """Figures to assume where nothing was said, and how far they may be off (``defaults.csv``)."""

    key: str
    value_low: Decimal
    value: Decimal
    value_high: Decimal
    unit: str | None
    seen: str
    provenance: str
    note: str | None


@dataclass(frozen=True, slots=True)
class StateRow:
    """States: middle of the ZIP codes, and the grid they draw from (``states.csv``)."""

    state: str
    name: str
    latitude: float
    longitude: float
    egrid_subregion: str
    seen: str
    provenance: str
    note: str | None


@dataclass(frozen=True, slots=True)
class CautionRow:
    """A caution that a reply must carry, when, and the public rule behind it (``cautions.csv``)."""

    key: str
    hazard: str
    when: str
    say: str
    rule: str
    seen: str
    provenance: str
