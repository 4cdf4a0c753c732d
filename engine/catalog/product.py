"""One product of a catalogue: the row model that a CSV line must satisfy, bounds and cross-checks included."""

from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from engine.vocabulary import Control, Dampness, Family, Finish, LampSource, Mount, Optic, Size

Kind = Literal["luminaire", "retrofit_kit", "lamp"]
Shielding = Literal["standard", "cutoff", "full_cutoff"]
SupplyVoltage = Literal["120", "120-277", "347-480", "277-480", "12"]


def _split(value: Any) -> Any:
    """A cell holds several values parted by ``|``."""
    if isinstance(value, str):
        return tuple(part for part in (p.strip() for p in value.split("|")) if part)
    return value


def _blank_is_none(value: Any) -> Any:
    return None if isinstance(value, str) and not value.strip() else value


Listed = BeforeValidator(_split)
Optional = BeforeValidator(_blank_is_none)


class Product(BaseModel):
    """One orderable product. Prices are each, in the catalogue's currency; net is what the trade customer pays.

    Attributes:
        kind: a whole ``luminaire``, a ``retrofit_kit`` for an existing housing, or a replacement ``lamp``.
        series: the body that variants share; ``shielding`` tells standard, cutoff and full-cutoff variants of one body apart.
        input_watts: at the driver's input. ``lumens``: out of the luminaire, initial, at the middle colour temperature.
        cct_k: colour temperatures it can be had in (or be switched to in the field).
        optic: the distribution, where the trade names one.
        replaces_source: for lamps and kits, the lamp technology that comes out.
        wet_rating: marked suitable for wet or damp locations; ``None`` means dry only.
        l70_hours: reported L70 life by ANSI/IES TM-21. ``lm79``, ``lm80``: test report numbers.
        bug: backlight, uplight, glare rating by IES TM-15, as "B1-U0-G1".
        stock: pieces by branch.
        rebate_listed: on the qualified-products list that utility rebates ask for.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    part_number: str = Field(pattern=r"^[A-Z0-9][A-Z0-9./-]{2,39}$")
    description: str = Field(min_length=5, max_length=160)
    maker: str = Field(min_length=2, max_length=60)
    kind: Kind
    family: Family
    series: str = Field(min_length=2, max_length=40)
    shielding: Annotated[Shielding | None, Optional] = None
    size: Annotated[Size | None, Optional] = None
    lamp_feet: Annotated[float | None, Optional, Field(default=None, gt=0, le=10)] = None
    replaces_source: Annotated[tuple[LampSource, ...], Listed] = ()
    input_watts: float = Field(gt=0, le=2000)
    lumens: float = Field(gt=0, le=300_000)
    efficacy_lm_per_w: float = Field(gt=0, le=260)
    cct_k: Annotated[tuple[Annotated[int, Field(ge=1800, le=6500)], ...], Listed] = Field(min_length=1)
    cri: int = Field(ge=60, le=100)
    voltage: SupplyVoltage
    optic: Annotated[Optic | None, Optional] = None
    mounts: Annotated[tuple[Mount, ...], Listed] = ()
    finishes: Annotated[tuple[Finish, ...], Listed] = ()
    wet_rating: Annotated[Dampness | None, Optional] = None
    controls: Annotated[tuple[Control, ...], Listed] = ()
    emergency_option: bool = False
    safety_listing: str = Field(min_length=2, max_length=60)
    l70_hours: int = Field(ge=15_000, le=500_000)
    surge_kv: float = Field(ge=0, le=40)
    ambient_low_c: int = Field(ge=-60, le=10)
    ambient_high_c: int = Field(ge=20, le=80)
    lm79: str = Field(max_length=40)
    lm80: str = Field(max_length=40)
    dark_sky: bool = False
    bug: Annotated[str | None, Optional, Field(default=None, pattern=r"^B[0-5]-U[0-5]-G[0-5]$")] = None
    warranty_years: int = Field(ge=1, le=15)
    weight_lb: float = Field(gt=0, le=300)
    list_price: Decimal = Field(gt=0, le=100_000, max_digits=9, decimal_places=2)
    net_price: Decimal = Field(gt=0, le=100_000, max_digits=9, decimal_places=2)
    stock: tuple[tuple[str, int], ...] = ()
    lead_time_days: int = Field(ge=0, le=365)
    rebate_listed: bool = False

    @model_validator(mode="after")
    def _hangs_together(self) -> "Product":
        if self.net_price > self.list_price:
            raise ValueError("net_price is above list_price")
        if abs(self.lumens / self.input_watts - self.efficacy_lm_per_w) > 1.0:
            raise ValueError(
                f"efficacy_lm_per_w {self.efficacy_lm_per_w:g} is not lumens / input_watts = {self.lumens / self.input_watts:.1f}"
            )
        if self.ambient_low_c >= self.ambient_high_c:
            raise ValueError("ambient_low_c is not below ambient_high_c")
        if self.kind != "luminaire" and not self.replaces_source:
            raise ValueError("a kit or a lamp must say what it replaces (replaces_source)")
        return self

    @property
    def in_stock(self) -> int:
        """Pieces on hand over all branches."""
        return sum(n for _, n in self.stock)
