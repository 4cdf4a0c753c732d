"""Rebates: what a program pays, who decides whether it pays, and what caps it.

A rebate is a program's promise, not ours: equipment must qualify and most programs want approval before purchase.
How a rebate is taxed is out of scope (a tax adviser's matter); every result says so.
"""

from collections.abc import Sequence
from decimal import Decimal
from typing import Final, Literal

from engine.figure import Figure, defined, derive, total
from engine.proposal import Reason
from engine.record import record

Basis = Literal["per_luminaire", "per_watt_reduced", "per_kwh", "custom"]

REBATE_KEYS: Final = (
    "rebate_not_listed",  # the product is not on the qualified-products list that the program asks for
    "rebate_low_efficacy",  # efficacy: float lm/W; least: float lm/W
    "rebate_nothing_saved",  # basis: str; the program pays for watts or kWh and none are saved
    "rebate_needs_present_light",  # basis: str; the present luminaire is not known
    "rebate_above_cost",  # rebate: Decimal before the cap; cost: Decimal
    "rebate_share_capped",  # share: float of cost; rebate: Decimal before the cap
    "rebate_account_capped",  # cap: Decimal; rebate: Decimal before the cap
    "rebate_approval_first",  # always, with a rebate
    "rebate_tax_not_considered",  # always, with a rebate
)


@record
class RebateProgram:
    """A program's terms.

    Attributes:
        basis: what it pays for. ``custom``: an amount for the whole job.
        amount: [USD] a luminaire, [USD/W] reduced, [USD/kWh] saved in the first year, or [USD] for the job.
        listed_only: only products on a qualified-products list.
        least_lm_per_w: least efficacy [lm/W], or ``None``.
        share_of_cost: at most this share of the cost [1], or ``None``; without one, the cost itself is the cap.
        per_account: at most this for the whole job [USD], or ``None``.
    """

    basis: Basis
    amount: Figure
    listed_only: bool = True
    least_lm_per_w: float | None = None
    share_of_cost: Figure | None = None
    per_account: Figure | None = None


@record
class RebateLine:
    """What a program looks at on one line.

    Attributes:
        cost: what the rebate may not exceed [USD].
        kw_saved, kwh_saved: [kW], [kWh/yr]; ``None`` where the present luminaire is not known.
        listed: on the qualified-products list. ``lm_per_w``: efficacy [lm/W].
    """

    qty: Figure
    cost: Figure
    kw_saved: Figure | None
    kwh_saved: Figure | None
    listed: bool
    lm_per_w: float


@record
class Rebate:
    """A rebate and why it is what it is.

    Attributes:
        figure: [USD], zero where nothing is paid.
        eligible: whether the program pays at all.
        reasons: keys of `REBATE_KEYS` with their values.
    """

    figure: Figure
    eligible: bool
    reasons: tuple[Reason, ...]


ALWAYS_SAID: Final = (Reason("rebate_approval_first", {}), Reason("rebate_tax_not_considered", {}))
NO_REBATE: Final = defined("rebate", Decimal("0.00"), "USD", "no rebate counted")


def line_rebate(program: RebateProgram, line: RebateLine) -> Rebate:
    """What ``program`` pays for one line. For a program that pays for the job (``custom``), see `job_rebate`.

    Raises:
        ValueError: the program pays for the job, not by line.
    """
    if program.basis == "custom":
        raise ValueError("a custom rebate is paid for the job, not by line")
    against = ineligible(program, line)
    if against:
        return Rebate(NO_REBATE, False, against)
    formula, inputs = _before_caps(program, line)
    cap, cap_inputs = _cap(program, line.cost)
    figure = derive("rebate", "USD", f"least({formula}, {cap})", *inputs, *cap_inputs)
    full = derive("rebate_before_cap", "USD", formula, *inputs).value
    return Rebate(figure, True, (*_capped(program, full, line.cost, figure), *ALWAYS_SAID))


def ineligible(program: RebateProgram, line: RebateLine) -> tuple[Reason, ...]:
    """Why ``program`` pays nothing for a line; empty where it pays."""
    out = []
    if program.listed_only and not line.listed:
        out.append(Reason("rebate_not_listed", {}))
    if program.least_lm_per_w is not None and line.lm_per_w < program.least_lm_per_w:
        out.append(
            Reason("rebate_low_efficacy", {"efficacy": line.lm_per_w, "least": program.least_lm_per_w})
        )
    if program.basis in ("per_watt_reduced", "per_kwh"):
        saved = line.kw_saved if program.basis == "per_watt_reduced" else line.kwh_saved
        if saved is None:
            out.append(Reason("rebate_needs_present_light", {"basis": program.basis}))
        elif saved.value <= 0:
            out.append(Reason("rebate_nothing_saved", {"basis": program.basis}))
    return tuple(out)


def job_rebate(program: RebateProgram, lines: Sequence[Rebate], cost: Figure) -> Rebate:
    """The job's rebate: the sum of its lines, or the custom amount, under the caps that hold for the whole job.

    Args:
        program: the terms.
        lines: what each line gets; for a custom program, whether each line qualifies.
        cost: of the job [USD].
    """
    if program.basis == "custom":
        if not any(line.eligible for line in lines):
            by_key = {reason.key: reason for line in reversed(lines) for reason in reversed(line.reasons)}
            return Rebate(NO_REBATE, False, tuple(by_key.values())[::-1])
        formula, inputs = program.amount.name, [program.amount]
        full = program.amount.value
        cap, cap_inputs = _cap(program, cost)
    else:
        if not lines:
            return Rebate(NO_REBATE, False, ())
        subtotal = total("rebate_of_lines", "USD", [line.figure for line in lines])
        formula, inputs = subtotal.name, [subtotal]
        full = subtotal.value
        cap, cap_inputs = "", []
    eligible = program.basis == "custom" or any(line.eligible for line in lines)
    account = program.per_account
    caps = [text for text in (cap, account.name if account is not None else "") if text]
    if account is not None:
        cap_inputs = [*cap_inputs, account]
    if not caps:
        return Rebate(derive("rebate", "USD", formula, *inputs), eligible, ALWAYS_SAID if eligible else ())
    figure = derive("rebate", "USD", f"least({formula}, {', '.join(caps)})", *inputs, *cap_inputs)
    reasons = _capped(program, full, cost, figure) if program.basis == "custom" else ()
    if account is not None and full > account.value and figure.value == account.value:
        reasons = (Reason("rebate_account_capped", {"cap": account.value, "rebate": full}),)
    return Rebate(figure, eligible, (*reasons, *ALWAYS_SAID) if eligible else ())


def _before_caps(program: RebateProgram, line: RebateLine) -> tuple[str, list[Figure]]:
    amount = program.amount
    if program.basis == "per_luminaire":
        return f"{line.qty.name} * {amount.name}", [line.qty, amount]
    saved = line.kw_saved if program.basis == "per_watt_reduced" else line.kwh_saved
    if saved is None:
        raise ValueError(f"a rebate {program.basis} needs what is saved")
    watts = " * 1000" if program.basis == "per_watt_reduced" else ""
    return f"{saved.name}{watts} * {amount.name}", [saved, amount]


def _cap(program: RebateProgram, cost: Figure) -> tuple[str, list[Figure]]:
    share = program.share_of_cost
    if share is None:
        return cost.name, [cost]
    return f"{share.name} * {cost.name}", [cost, share]


def _capped(program: RebateProgram, full: Decimal, cost: Figure, figure: Figure) -> tuple[Reason, ...]:
    if full <= figure.value:
        return ()
    share = program.share_of_cost
    if share is not None and share.value < 1:
        return (Reason("rebate_share_capped", {"share": float(share.value), "rebate": full}),)
    return (Reason("rebate_above_cost", {"rebate": full, "cost": cost.value}),)
