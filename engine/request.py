"""What the writer stated, in the public shape: the engine's input, and the half of a reading that computes.

Nothing here is assumed. A slot that was not stated is ``None`` and is left out of the JSON form.
The shape is fixed by the project's reading contract; bounds here are those beyond which a value is a
slip of the pen and not a job (``qty`` 0, a rate of 11 per kWh); they give one clear line each.
"""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from engine.vocabulary import (
    Control,
    Dampness,
    Family,
    Finish,
    LampSource,
    LightWant,
    Mount,
    Optic,
    Size,
    Space,
)

Voltage = Annotated[int, Field(ge=12, le=600)] | Literal["120-277", "347-480"]


class _Stated(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)

    def stated(self) -> dict[str, Any]:
        """The slots that were stated, in declared order, as JSON values."""
        return self.model_dump(mode="json", exclude_none=True)


class Place(_Stated):
    """Where the job is: a US city, a two-letter state, a ZIP code, in any combination."""

    city: str | None = Field(default=None, max_length=80)
    state: str | None = Field(default=None, pattern=r"^[A-Z]{2}$")
    zip: str | None = Field(default=None, pattern=r"^[0-9]{5}$")

    @model_validator(mode="after")
    def _says_something(self) -> "Place":
        if self.city is None and self.state is None and self.zip is None:
            raise ValueError("a place needs a city, a state or a zip")
        return self


class StatedHours(_Stated):
    """Hours as the writer put them: a day (and days a week), or a year."""

    hours_per_day: float | None = Field(default=None, gt=0, le=24)
    days_per_week: float | None = Field(default=None, gt=0, le=7)
    hours_per_year: float | None = Field(default=None, gt=0, le=8784)

    @model_validator(mode="after")
    def _one_way_of_saying(self) -> "StatedHours":
        if (self.hours_per_day is None) == (self.hours_per_year is None):
            raise ValueError("give hours_per_day (with or without days_per_week), or hours_per_year")
        return self


Schedule = Literal["dusk_to_dawn", "always_on"] | StatedHours


class StatedJob(_Stated):
    """What holds for the whole job. Money in currency units, rates per kWh and per kW and month."""

    rate_per_kwh: float | None = Field(default=None, gt=0, le=6)
    demand_rate_per_kw: float | None = Field(default=None, ge=0, le=200)
    schedule: Schedule | None = None
    place: Place | None = None
    rebate_per_luminaire: float | None = Field(default=None, ge=0, le=100_000)
    labor_per_luminaire: float | None = Field(default=None, ge=0, le=100_000)
    budget: float | None = Field(default=None, ge=0, le=1e9)
    payback_limit_years: float | None = Field(default=None, gt=0, le=100)
    needed_by: str | None = Field(default=None, max_length=80)
    customer: str | None = Field(default=None, max_length=120)
    site: str | None = Field(default=None, max_length=120)
    po: str | None = Field(default=None, max_length=60)
    metric: bool | None = None


class StatedLine(_Stated):
    """One luminaire type. Heights and spacings in feet, watts per lamp unless the name says otherwise."""

    qty: int | None = Field(default=None, ge=1, le=1_000_000)
    family: Family | None = None
    source: LampSource | None = None
    watts: float | None = Field(default=None, gt=0, le=5000)
    lamps: int | None = Field(default=None, ge=1, le=24)
    lamp_feet: float | None = Field(default=None, gt=0, le=10)
    size: Size | None = None
    input_watts: float | None = Field(default=None, gt=0, le=10_000)
    height_ft: float | None = Field(default=None, gt=0, le=200)
    spacing_ft: float | None = Field(default=None, gt=0, le=1000)
    voltage: Voltage | None = None
    cct_k: int | None = Field(default=None, ge=1500, le=10_000)
    cri: int | None = Field(default=None, ge=1, le=100)
    optic: Optic | None = None
    dark_sky: bool | None = None
    controls: tuple[Control, ...] | None = None
    finish: Finish | None = None
    mount: Mount | None = None
    led_watts: float | None = Field(default=None, gt=0, le=5000)
    led_lumens: float | None = Field(default=None, gt=0, le=1_000_000)
    emergency_backup: bool | None = None
    damp_or_wet: Dampness | None = None
    keep_housing: bool | None = None
    price_now: float | None = Field(default=None, ge=0, le=100_000)


class Request(_Stated):
    """A reading's computing half: ``{"job": {...}, "lines": [{...}, ...]}``."""

    job: StatedJob = StatedJob()
    lines: tuple[StatedLine, ...] = Field(default=(), max_length=5000)
    context: "Context | None" = None
    light: "AskedLight | None" = None


class Context(_Stated):
    """What was said about the place of use beside the public slots: it steers assumptions only.

    ``building``: key of a building type in the operating-hours table ("office", "warehouse", ...).
    """

    building: str | None = Field(default=None, max_length=60)


class AskedLight(_Stated):
    """What was asked about light, beside the luminaires themselves. Lengths in feet, levels in footcandles.

    ``wants``: the light level, how many, how far apart, whether it stays as bright, how far it reaches, what spills over.
    ``space``: key of the spaces table ("parking_lot", "warehouse", ...).
    ``level_fc``, ``level_is``: the level asked for, and whether as an average or as the darkest point's.
    ``length_ft``, ``width_ft``: of the room or lot; ``area_ft2`` where only that was said.
    ``run_ft``: of wall, path or street; ``around``: it runs round a building and closes.
    ``path_ft``: width of the path, drive or street. ``reach_ft``: how far out light is wanted.
    ``line_ft``: from the luminaires to the property line. ``poles``, ``heads``: poles, and heads on each; ``on_poles``: poles were spoken of.
    ``family_is_taken``: the kind of luminaire was not said; the place's usual one was put in.
    ``watts_are_led``: watts that were said bare are taken for those of the lights to be bought.
    """

    wants: tuple[LightWant, ...] = Field(default=(), max_length=6)
    space: Space | None = None
    level_fc: float | None = Field(default=None, gt=0, le=1000)
    level_is: Literal["average", "minimum"] | None = None
    length_ft: float | None = Field(default=None, gt=0, le=20_000)
    width_ft: float | None = Field(default=None, gt=0, le=20_000)
    area_ft2: float | None = Field(default=None, gt=0, le=1e8)
    run_ft: float | None = Field(default=None, gt=0, le=100_000)
    around: bool | None = None
    path_ft: float | None = Field(default=None, gt=0, le=500)
    reach_ft: float | None = Field(default=None, gt=0, le=1000)
    line_ft: float | None = Field(default=None, gt=0, le=1000)
    poles: int | None = Field(default=None, ge=1, le=10_000)
    heads: int | None = Field(default=None, ge=1, le=4)
    on_poles: bool | None = None
    family_is_taken: bool | None = None
    watts_are_led: bool | None = None


Request.model_rebuild()

JOB_SLOTS = tuple(StatedJob.model_fields)
LINE_SLOTS = tuple(StatedLine.model_fields)
LIGHT_SLOTS = tuple(AskedLight.model_fields)
