"""One product of a catalogue: the row model that a CSV line must satisfy, bounds and cross-checks included."""

from decimal import Decimal
from typing import Annotated, Any, Final, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from engine.vocabulary import Control, Dampness, Family, Finish, LampSource, Mount, Optic, Size

Kind = Literal["luminaire", "retrofit_kit", "lamp"]
Shielding = Literal["standard", "cutoff", "full_cutoff"]
SupplyVoltage = Literal["120", "120-277", "347-480", "277-480", "12"]
LampBase = Literal[
    "E26", "E39", "G13", "R17d", "FA8", "G5", "G24q", "GX23", "2G11", "GU10", "GU5.3"
]  # fmt: skip
Wiring = Literal["type_A", "type_B", "type_AB"]


def clash(column: str, found: str, allowed: str) -> PydanticCustomError:
    """Columns that contradict each other; ``column`` is the one to look at first."""
    return PydanticCustomError(
        "clash", "found {found}; allowed is {allowed}", {"column": column, "found": found, "allowed": allowed}
    )


def _split(value: Any) -> Any:
    """A cell holds several values parted by ``|``, none of them blank, none twice; a blank cell holds none."""
    if not isinstance(value, str):
        return value
    if not value.strip():
        return ()
    parts = tuple(part.strip() for part in value.split("|"))
    if "" in parts or len(set(parts)) < len(parts):
        raise PydanticCustomError("uneven_list", "allowed is values parted by |, none blank and none twice")
    return parts


def _to_the_cent(value: Decimal) -> Decimal:
    """One way of writing a price, so that 179 and 179.00 are the same bytes."""
    return value.quantize(Decimal("0.01"))


def _blank_is_none(value: Any) -> Any:
    return None if isinstance(value, str) and not value.strip() else value


Listed = BeforeValidator(_split)
Price = Annotated[
    Decimal, Field(gt=0, le=100_000, max_digits=9, decimal_places=2), AfterValidator(_to_the_cent)
]
Optional = BeforeValidator(_blank_is_none)
PHOTOMETRY_NAME: Final = r"^(?:[A-Za-z0-9][A-Za-z0-9 ._()+-]{0,60}/){0,2}[A-Za-z0-9][A-Za-z0-9 ._()+-]{0,80}\.(?:[iI][eE][sS]|[lL][dD][tT])$"
"""At most two folders down, no part beginning with a point: there is no way out of the catalogue's folder."""


class Product(BaseModel):
    """One orderable product. Prices are each, in the catalogue's currency; net is what the trade customer pays.

    Attributes:
        kind: a whole ``luminaire``, a ``retrofit_kit`` for an existing housing, or a replacement ``lamp``.
        series: the body that variants share; ``shielding`` tells standard, cutoff and full-cutoff variants of one body apart.
        input_watts: at the driver's input. ``lumens``: out of the luminaire, initial, at the middle colour temperature.
        cct_k: colour temperatures it can be had in (or be switched to in the field).
        optic: the distribution, where the trade names one.
        family: where it belongs; ``also_fits`` names further families whose housings a kit or a lamp goes into.
        lamp_feet: nominal length of a linear luminaire, kit or lamp.
        replaces_source: for lamps and kits, the lamp technology that comes out.
        base: for lamps, the base by its ANSI/IEC designation.
        wiring: for tubes and other lamps on a ballast: type A runs on the ballast, type B on line voltage with the
            ballast taken out of circuit, type AB on either (UL 1993 practice).
        wet_rating: marked suitable for wet or damp locations; ``None`` means dry only.
        l70_hours: reported L70 life by ANSI/IES TM-21. ``lm79``, ``lm80``: test report numbers.
        bug: backlight, uplight, glare rating by IES TM-15, as "B1-U0-G1".
        stock: pieces on hand by branch.
        lead_time_days: to get what is not on hand.
        rebate_listed: on the qualified-products list that utility rebates ask for.
        photometry: its photometric file (LM-63 or EULUMDAT), by name relative to the catalogue's folder.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    part_number: str = Field(pattern=r"^[A-Z0-9][A-Z0-9./-]{2,39}$")
    description: str = Field(min_length=5, max_length=160)
    maker: str = Field(min_length=2, max_length=60)
    kind: Kind
    family: Family
    also_fits: Annotated[tuple[Family, ...], Listed] = ()
    series: str = Field(min_length=2, max_length=40)
    shielding: Annotated[Shielding | None, Optional] = None
    size: Annotated[Size | None, Optional] = None
    lamp_feet: Annotated[Annotated[float, Field(gt=0, le=10)] | None, Optional] = None
    replaces_source: Annotated[tuple[LampSource, ...], Listed] = ()
    base: Annotated[LampBase | None, Optional] = None
    wiring: Annotated[Wiring | None, Optional] = None
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
    bug: Annotated[Annotated[str, Field(pattern=r"^B[0-5]-U[0-5]-G[0-5]$")] | None, Optional] = None
    warranty_years: int = Field(ge=1, le=15)
    weight_lb: float = Field(gt=0, le=300)
    list_price: Price
    net_price: Price
    stock: tuple[tuple[str, int], ...] = ()
    lead_time_days: int = Field(ge=0, le=365)
    rebate_listed: bool = False
    photometry: Annotated[Annotated[str, Field(pattern=PHOTOMETRY_NAME, max_length=120)] | None, Optional] = (
        None
    )

    @model_validator(mode="after")
    def _hangs_together(self) -> "Product":
        if self.net_price > self.list_price:
            raise clash(
                "net_price", str(self.net_price), f"a net_price not above list_price {self.list_price}"
            )
        efficacy = self.lumens / self.input_watts
        if abs(efficacy - self.efficacy_lm_per_w) > 1.0:
            raise clash(
                "efficacy_lm_per_w",
                f"{self.efficacy_lm_per_w:g}",
                f"lumens / input_watts = {efficacy:.1f}, within 1",
            )
        if self.kind != "luminaire" and not self.replaces_source:
            raise clash("replaces_source", "nothing", "the lamp technology that a kit or a lamp replaces")
        if self.family in self.also_fits:
            raise clash("also_fits", self.family, "families other than the product's own")
        return self

    @property
    def in_stock(self) -> int:
        """Pieces on hand over all branches."""
        return sum(n for _, n in self.stock)
