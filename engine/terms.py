"""Terms that a seller or a finance officer sets for a quote, beside what the message says: taxes, lift, rebate program, discounting.

Everything is optional; what is not given is assumed from the tables, or left out and said to be left out (freight, sales tax).
"""

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from engine.written_file import WrittenFileError, read_written

Share = Annotated[Decimal, Field(ge=0, le=1)]
Rate = Annotated[Decimal, Field(gt=Decimal("-0.5"), le=1)]


class _Terms(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class RebateTerms(_Terms):
    """A rebate program. ``amount`` [USD] a luminaire, [USD/W] reduced, [USD/kWh] saved in a year, or [USD] for the job."""

    basis: Literal["per_luminaire", "per_watt_reduced", "per_kwh", "custom"]
    amount: Annotated[Decimal, Field(ge=0, le=10_000_000)]
    listed_only: bool = True
    least_lm_per_w: Annotated[float, Field(gt=0, le=300)] | None = None
    share_of_cost: Share | None = None
    per_account: Annotated[Decimal, Field(ge=0, le=100_000_000)] | None = None


class Terms(_Terms):
    """All terms. Shares are of 1, rates per year.

    Attributes:
        sales_tax_share, freight_share: of goods; left out of the project cost where not given.
        contingency_share: of goods, labor and lift; left out where not given.
        lift: whether a lift is rented where the height calls for one.
        relamping: how the present lamps are replaced: one at a time, or all together.
        discount_rate: real. ``energy_escalation``: above inflation. ``inflation``, ``loan_rate``: nominal.
        rebate: a program; it replaces a rebate that the message names.
    """

    sales_tax_share: Share | None = None
    freight_share: Share | None = None
    contingency_share: Share | None = None
    lift: bool = True
    relamping: Literal["spot", "group"] = "spot"
    discount_rate: Rate | None = None
    analysis_years: Annotated[int, Field(ge=1, le=40)] | None = None
    energy_escalation: Rate | None = None
    maintenance_escalation: Rate | None = None
    inflation: Rate | None = None
    loan_rate: Rate | None = None
    loan_months: Annotated[int, Field(ge=6, le=360)] | None = None
    rebate: RebateTerms | None = None


class TermsError(WrittenFileError):
    """A file of terms that cannot be used."""


def read_terms(file: str, content: bytes) -> Terms:
    """The terms in ``content``, a TOML file named ``file``, with the names of `Terms` as keys.

    Raises:
        TermsError: the first fault found.
    """
    return read_written(file, content, Terms, TermsError)
