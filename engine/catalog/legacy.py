"""What a new luminaire of the old kind would cost: the like-for-like price beside which LED's extra cost is reckoned."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, model_validator

from engine.catalog.product import Optional, Price, clash
from engine.vocabulary import Family, LampSource

LegacyKey = tuple[Family, LampSource, float, int, float | None]


class LegacyLuminaire(BaseModel):
    """One new legacy luminaire, lamps and ballast included: a price to compare with, nothing that is offered.

    Attributes:
        watts: nominal watts of one lamp. ``lamps``: how many it holds. ``lamp_feet``: length of a linear lamp [ft].
        net_price_low, net_price, net_price_high: each, in the catalogue's currency; low and high bound the usual spread.
        basis: where the price is from, e.g. "market assumption for the demo".
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    family: Family
    source: LampSource
    watts: float = Field(gt=0, le=2000)
    lamps: int = Field(ge=1, le=24)
    lamp_feet: Annotated[Annotated[float, Field(gt=0, le=10)] | None, Optional] = None
    net_price_low: Price
    net_price: Price
    net_price_high: Price
    basis: str = Field(min_length=5, max_length=120)

    @model_validator(mode="after")
    def _hangs_together(self) -> "LegacyLuminaire":
        if not self.net_price_low <= self.net_price <= self.net_price_high:
            raise clash(
                "net_price",
                str(self.net_price),
                f"a value between net_price_low {self.net_price_low} and net_price_high {self.net_price_high}",
            )
        if self.source == "LED":
            raise clash("source", "LED", "a lamp technology from before LED")
        return self

    @property
    def key(self) -> LegacyKey:
        """What tells one row from another."""
        return (self.family, self.source, self.watts, self.lamps, self.lamp_feet)
