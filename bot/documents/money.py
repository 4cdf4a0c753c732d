"""The money of a quote's document: three figures for the head of the page, and a table of label and value."""

from bot.replies.money_view import MoneyView
from bot.replies.words import Words

Row = dict[str, str]
"""``label``, ``value`` and ``weight``: "sum" for what others add up to, "part" for what is in the row above, else ""."""


def headline(money: MoneyView, words: Words) -> list[Row]:
    """Saving, payback and project cost, each with a sentence; without the first two where nothing is known of the old lights."""
    project = _big(
        "project_head",
        money.project_cost,
        _say("after_rebate", words, value=money.net_cost) if money.rebate else "",
        words,
    )
    if not money.knows_saving:
        return [project]
    key = "energy_from_to" if money.kwh_percent else "energy_from_to_more"
    energy = _say(
        key, words, before=money.kwh_before, after=money.kwh_after, percent=money.kwh_percent
    )  # fmt: skip
    if money.at_once:
        payback = _big("payback_head", _say("at_once", words), _say("rebate_pays", words), words)
    elif money.payback:
        says = [_say("likely", words, range=money.payback_range)] if money.payback_range else []
        if money.energy_payback:
            says.append(_say("energy_alone", words, value=money.energy_payback_about))
        payback = _big("payback_head", money.payback_about, ". ".join(says), words)
    else:
        payback = _big("payback_head", _say("never", words), "", words)
    saved = money.saved if money.pays else _say("nothing_saved", words)
    return [_big("saved_head", saved, energy, words), payback, project]


def money_rows(money: MoneyView, words: Words) -> list[Row]:
    """The table; rows of what the quote does not have are left out."""
    rows: list[Row] = []

    def add(key: str, value: str, weight: str = "") -> None:
        if value:
            rows.append({"label": _say(key, words), "value": value, "weight": weight})

    def yearly(amount: str, sign: str = "") -> str:
        return _say(f"{sign}a_year", words, value=amount) if amount else ""

    if money.knows_saving:
        add("kwh_now", _say("kwh_value", words, value=money.kwh_before))
        less = "kwh_less" if money.kwh_percent else "kwh_value"
        add("kwh_led", _say(less, words, value=money.kwh_after, percent=money.kwh_percent))
        add("load", money.kw_saved)
        add("saved_energy", yearly(money.energy))
        add("saved_demand", yearly(money.demand))
        add("saved_upkeep", yearly(money.maintenance))
        add("more_upkeep", yearly(money.extra_maintenance, "minus_"))
        add("saved_all", yearly(money.saved), "sum")
    add("project", money.project_cost, "sum")
    if money.cost_parts:
        add("of_which", ", ".join(money.cost_parts), "part")
    if money.rebate:
        add("rebate", _say("minus", words, value=money.rebate))
        add("to_pay", money.net_cost, "sum")
    if money.knows_saving:
        add("payback", _payback(money, words), "sum")
        add(
            "energy_payback", _ranged("energy_payback", money.energy_payback_about, money.energy_payback_range, words)
        )  # fmt: skip
        add("premium", _premium(money, words))
        if money.npv:
            over = _say(
                "whole_life" if money.life_years else "whole_life_bare", words, years=money.life_years
            )
            value = (
                _say("whole_life_rate", words, value=money.ahead, rate=money.life_rate)
                if money.life_rate
                else money.ahead
            )
            rows.append({"label": over, "value": value, "weight": ""})
    return rows


def _say(key: str, words: Words, /, **values: str) -> str:
    frame: str = words.of("document", key)
    return frame.format_map(values)


def _big(key: str, value: str, says: str, words: Words) -> Row:
    return {"label": _say(key, words), "value": value, "says": says and f"{says}."}


def _ranged(key: str, value: str, between: str, words: Words) -> str:
    return _say(f"{key}_range", words, value=value, range=between) if value and between else value


def _payback(money: MoneyView, words: Words) -> str:
    if money.at_once:
        return _say("at_once", words)
    return _ranged("payback", money.payback_about, money.payback_range, words) or _say("never", words)


def _premium(money: MoneyView, words: Words) -> str:
    if not money.has_premium:
        return ""
    if not money.premium_extra:
        return _say("premium_none", words)
    if not money.premium_payback:
        return _say("premium_never", words, extra=money.premium_extra)
    key = "premium_value_range" if money.premium_range else "premium_value"
    return _say(
        key, words, extra=money.premium_extra, value=money.premium_payback_about, range=money.premium_range
    )
