"""Money and rates: what power costs, what is paid, given back, wanted back, or may be spent."""

from bot.reading.amounts import (
    WEAK_GIVERS,
    by_installer,
    caps_rebate,
    each_after,
    for_a_kind,
    for_power,
    for_the_new,
    for_what_is_told,
    given_back,
    handed_down,
    in_all,
    limits,
    listed_price,
    may_be_rate,
    may_be_spent,
    now,
    other_goods,
    per_other,
    price_each,
)
from bot.reading.clause import Work, ends_clause
from bot.reading.foreign import take
from bot.reading.message import Said
from bot.reading.paid_today import is_what_is_paid
from bot.reading.shape import Fault
from bot.reading.words import words_of

_RATE_WORDS = frozenset({"rate", "demand"})
_KINDS = ("rebate", "labor", "budget", "price_now", "payback", "rate", "demand")
_CUES = tuple([f"cue:{kind}" for kind in _KINDS])
_PER = frozenset({"/", "per", "a", "el", "por", "each", "an", "la", "every", "al"})
_SLOTS = {
    "rebate": "rebate_per_luminaire",
    "labor": "labor_per_luminaire",
    "budget": "budget",
    "price_now": "price_now",
}


def _after_units(work: Work, at: int) -> tuple[int, set[str]]:
    """Units and money words that follow the number at ``at``: (index of the last one, names)."""
    seen: set[str] = set()
    last = at
    index = at + 1
    while index < min(at + 7, len(work.atoms)):
        unit = work.unit(index)
        if unit in ("cents", "dollars", "kwh", "kw", "grand"):
            if unit in ("kwh", "kw") and not (seen or work.text_at(index - 1) in _PER or index == at + 1):
                break
            seen.add(unit)
            last = index
        elif index == at + 1 and (
            (work.text_at(index) == "k" and work.atoms[index].glued)
            or work.text_at(index) in ("thousand", "mil", "k")
        ):
            seen.add("thousand")
            last = index
        elif (
            work.text_at(index) == "-" and work.unit(index + 1) in ("kwh", "kw", "year", "dollars", "cents")
        ) or work.text_at(index) in _PER:
            pass
        elif work.text_at(index) in ("month", "mo", "power", "juice") and seen:
            last = index
        else:
            break
        index += 1
    return last, seen


_ASKS = words_of("whats what what's how any do does can cual cuanto cuantos hay")
"""Words behind which something is asked and nothing told: "277 and whats the rebate"."""


def _nearest_cue(work: Work, at: int, last: int, dollars: bool) -> tuple[str | None, int]:
    """The money cue nearest to the number, and its index: just before it in the clause, or right after it."""
    best: tuple[float, str, int] | None = None
    steps = 0
    index = at - 1
    while index >= 0 and steps < 7:
        atom = work.atoms[index]
        if (
            ends_clause(atom)
            and not (atom.text == "." and index and work.atoms[index - 1].kind == "n")
            and not (atom.text == ":" and index in (at - 1, at - 2))
        ):
            break
        cues = work.cue(index)
        for kind in _KINDS:
            if kind == "rate" and dollars and work.atoms[at].value > 6:
                continue  # "the utility gives $40 of rebate"
            if kind in cues and (best is None or steps < best[0]):
                best = (steps, kind, index)
        if atom.kind == "n" and steps < 4 and best is None and not work.used[index]:
            steps += 1
        if atom.kind == "s" and atom.text == ",":
            steps += 2
        steps += 1
        index -= 1
    steps = 0
    index = last + 1
    while index < len(work.atoms) and steps < 5:
        atom = work.atoms[index]
        if ends_clause(atom) or (atom.kind == "s" and atom.text == ",") or atom.text in _ASKS:
            break
        cues = work.cue(index)
        for kind in ("rebate", "labor", "budget", "payback", "price_now"):
            if kind in cues and (best is None or steps + 1.5 < best[0]):
                best = (steps + 1.5, kind, index)
        if atom.kind == "n":
            break
        steps += 1
        index += 1
    return (best[1], best[2]) if best else (None, -1)


def _rate(work: Work, at: int, last: int, value: float, cents: bool, first: int, other: float | None) -> None:
    per_kwh = value / 100 if cents else value
    if per_kwh > 6:
        span = (0, work.atoms[first].start, work.atoms[last].end)
        work.faults.append(
            Fault("job.rate_per_kwh", span,
                  f"{value:g} per kWh is no rate for power; please give it in cents, like 11 cents.")
        )  # fmt: skip
        work.use(first, last)
        return
    if per_kwh <= 0:
        work.use(first, last)
        return
    rounded = round(per_kwh, 6)
    others = () if other is None else (round(other / 100 if cents else other, 6),)
    why = "the rate was given as a range" if others else ""
    before = work.job.get("rate_per_kwh")
    if (
        not others
        and before is not None
        and before.value not in (None, rounded)
        and _two_rates(work, before.end, first)
    ):
        others, why = (before.value,), "two rates were given"
    work.say(
        "rate_per_kwh", rounded, first, last, "rate", others=others, why=why, margin=1.0 if others else 9.0
    )


_WENT = words_of("went up rose jumped increased climbed moved changed down dropped fell raised subio paso")
_CHANGED = frozenset(
    {
        "now",
        "actually",
        "sorry",
        "no",
        "wait",
        "not",
        "went",
        "perdon",
        "digo",
        "ahora",
        "instead",
        "oops",
        "mean",
        "correction",
        "up",
        "down",
        "to",
        "cut",
    }
)


def _two_rates(work: Work, end: int, first: int) -> bool:
    """Whether two rates stand side by side and the second corrects nothing: "summer 14 cents, winter 9"."""
    return not any(
        atom.start >= end
        and (not _CHANGED.isdisjoint(atom.text.split()) or "fix" in atom.mean.get("cue", ()))
        for atom in work.atoms[:first]
    )


_COINS = {"dime": 0.10, "nickel": 0.05, "penny": 0.01, "quarter": 0.25}


def coin(work: Work, at: int) -> tuple[float, int] | None:
    """The worth of the coin named at ``at`` [currency units] and its last atom: "dime", "nickel and a half"."""
    value = _COINS.get(work.text_at(at))
    if value is None:
        return None
    if (
        work.text_at(at + 1) in ("and", "n")
        and work.text_at(at + 2) in ("a", "1")
        and work.text_at(at + 3) == "half"
    ):
        return round(value + 0.005, 6), at + 3  # "a nickel and a half": half a cent more
    return value, at


def _dime(work: Work, at: int) -> None:
    """As in "a dime a kilowatt": a coin's name as a rate."""
    named = coin(work, at)
    if named is None:
        return
    value, last = named
    past = last + 2 if work.text_at(last + 1) in _PER else last + 1
    if work.unit(past) == "kwh" or (past > last + 1 and work.unit(past) == "kw"):
        work.say("rate_per_kwh", value, at, past, "coin")
    elif work.text_at(last + 1) in ("for", "on") and "rate" in work.cue(last + 2):
        work.say("rate_per_kwh", value, at, last + 2, "coin")  # "we pay about a dime for power"
    elif work.text_at(at - 1) == "a" and any(
        "rate" in work.cue(n) and not any(atom.kind in "sb" for atom in work.atoms[n:at])
        for n in range(max(0, at - 5), at - 1)
    ):
        work.say("rate_per_kwh", value, at - 1, last, "coin")  # "power runs a dime"


def read_money(work: Work) -> None:
    """Find every amount of money and every rate in the stretch."""
    atoms = work.atoms
    for at, atom in enumerate(atoms):
        if atom.kind == "w":
            if atom.text in _COINS:
                _dime(work, at)
            continue
        if (
            atom.kind != "n"
            or work.used[at]
            or work.text_at(at - 1) in ("zip", "zip code", "zipcode", "postal")
        ):
            continue
        if (
            work.text_at(at - 1) in ("not", "instead of", "rather than") or "not" in work.cue(at - 1)
        ) and work.unit(at + 1) not in (
            "w",
            "v",
            "ft",
        ):
            low = max(0, at - 6)
            if any(_RATE_WORDS & work.cue(n) or work.unit(n) == "cents" for n in range(low, at + 2)):
                last = _after_units(work, at)[0]
                work.flags["rate_denied"] = True
                work.use(at, last)  # "rate is 11 not 13"
                continue
        first = at
        dollars = work.text_at(at - 1) == "$"
        if dollars:
            first = at - 1
        last, units = _after_units(work, at)
        value = atom.value
        if not dollars and (work.unit(at + 1) in _MEASURES or work.text_at(at + 1) in _MINUTES):
            continue  # "asking 15000 lumens each", "30 min each"
        if "thousand" in units and not dollars and 1800 <= value <= 7000:
            continue  # "5000K" is a colour
        # "eleven and a half cents", "thirteen five cents"
        if "cents" not in units and work.is_number(at + 1) and work.unit(at + 2) == "cents":
            fraction = atoms[at + 1].value
            if not atom.text[:1].isdigit() and fraction < 10 and not atoms[at + 1].text[:1].isdigit():
                after, _more = _after_units(work, at + 1)
                _rate(work, at, after, value + fraction / 10, True, first, None)
                work.use(at, after)
                continue
        if "kw" in units and "kwh" not in units:
            cues = work.cue(at - 1) | work.cue(at - 2) | work.cue(at - 3)
            if (
                dollars
                or "demand" in cues
                or "dollars" in units
                or work.text_at(at + 1) in ("/", "per")
                or ("demand" in work.flags and work.text_at(at + 1) in _PER)
                or (value >= 1 and _of_demand(work, at, last))
            ):
                work.say("demand_rate_per_kw", value, first, last, "per kW")
                continue
        other: float | None = None
        if (
            "cents" in units
            and work.text_at(at - 1) in ("con", "y", "and")
            and work.unit(at - 2) == "dollars"
            and at >= 3
            and atoms[at - 3].kind == "n"
        ):
            # "3 pesos con 20 centavos el kilowatt"
            _rate(work, at, last, atoms[at - 3].value + value / 100, False, at - 3, None)
            continue
        if (
            units == {"cents"}
            and work.text_at(at + 1) == "ct"
            and value == int(value)
            and not _of_power(work, at)
        ):
            atoms[at + 1] = atoms[at + 1]._replace(mean={"unit": "each"})
            continue  # "30 ct": a count
        if "kwh" in units and work.text_at(last + 1) in ("saved", "reduced", "ahorrado", "ahorrados"):
            take(work, at)  # an incentive by what is saved: no rate, and no slot
            continue
        if "kwh" in units or "cents" in units:
            low = at
            # "9 to 11 cents": the first of the two, the other in doubt
            if (
                at >= 2
                and (
                    "range" in work.cue(at - 1)
                    or work.text_at(at - 1) in ("-", "or", "o")
                    or (
                        work.text_at(at - 1) in ("and", "y")
                        and work.text_at(at - 3) in ("between", "entre", "btwn")
                    )
                )
                and work.is_number(at - 2)
            ):
                if work.text_at(at - 3) == "from" and not _WENT.isdisjoint(
                    word for n in range(max(0, at - 7), at - 3) for word in work.text_at(n).split()
                ):
                    work.use(at - 3, at - 2)  # "rate went from 9 to 11 cents"
                else:
                    low, other = at - 2, value
                    value = atoms[low].value
                    first = low
            # a rate in pesos has decimals and no cents: "a 2.40 el kilowatt"
            pesos = (
                1 <= value < 6
                and "." in atom.text
                and any(
                    "es" in work.atoms[n].mean and "en" not in work.atoms[n].mean
                    for n in range(max(0, at - 2), last + 1)
                )
            )
            cents = "cents" in units or (not dollars and value >= 1 and "dollars" not in units and not pesos)
            if cents and "kwh" not in units and (value > 100 or (value > 35 and work.text_at(at + 1) == "c")):
                continue  # no rate: "-40 to 50C"
            _rate(work, at, last, value, cents, first, other)
            continue
        if value < 1 and _RATE_WORDS & work.cue(last + 1):
            _rate(work, at, last, value, False, first, None)  # "$0.12 power"
            continue
        kind, cue_at = _nearest_cue(work, at, last, dollars) if work.speaks_of(*_CUES) else (None, -1)
        if kind in _SLOTS and per_other(work, last):
            work.use(first, last)
            continue
        if kind in (None, "rebate") and caps_rebate(work, first, last, value):
            take(work, at)
            continue
        if kind in ("rebate", "labor") and in_all(work, first, last):
            work.use(first, last)
            continue
        if kind == "price_now" and other_goods(work, first, last):
            if dollars or units or each_after(work, last):
                work.use(first, last)
            continue
        if (
            kind in (None, "price_now", "rate")
            and (dollars or "dollars" in units)
            and given_back(work, first, last)
        ):
            _amount(work, "rebate", value, first, last)
            continue
        if (
            kind == "rebate"
            and not (dollars or units)
            and work.text_at(cue_at) in WEAK_GIVERS
            and not each_after(work, last)
        ):
            continue
        each = each_after(work, last)
        if each and kind == "rate" and value >= 5 and (given := _cue_before(work, first)) is not None:
            kind = given  # "rebate de la utility 100 por lampara"
        if work.text_at(first - 1) == "=" and kind in ("rebate", "labor") and _SLOTS[kind] in work.job:
            work.use(first, last)  # "30 lights @ $40 rebate = 1200": what it comes to
            continue
        if each and kind is None and value >= 3 and _of_goods(work, first):
            work.use(first, last)  # "lamps cost 28 each"
            continue
        if each and 3 <= value < 3000 and "what" in work.folded and is_what_is_paid(work, last):
            _amount(work, "price_now", value, first, last)  # "95 each is what I pay today"
            continue
        if each and kind in (None, "price_now", "rate") and value >= 10 and by_installer(work, first, last):
            _amount(work, "labor", value, first, last)
            continue
        if each and kind in (None, "price_now") and value >= 20 and _bid_beside(work, first):
            work.use(first, last)  # "you quoted us 189 each": a price of ours, no count
            continue
        if each and kind in (None, "rate") and 10 <= value < 3000 and _priced_in_turn(work, first, last):
            _amount(work, "price_now", value, first, last)
            continue
        other_unit = _has_other_unit(work, at)
        if kind in (None, "price_now") and value >= 20 and not other_unit and for_the_new(work, first, last):
            take(work, at)
            continue
        weak = kind == "rebate" and work.text_at(cue_at) in WEAK_GIVERS and handed_down(work, first, last)
        large = value * (1000 if {"thousand", "grand"} & units else 1)
        if (
            (kind not in ("labor", "rebate") or weak)
            and not each
            and large >= 500
            and may_be_spent(work, first, last, dollars or bool({"dollars", "thousand", "grand"} & units))
        ):
            _amount(work, "budget", large, first, last)
            continue
        if (
            kind in (None, "price_now", "rate")
            and 10 <= value < 3000
            and for_a_kind(
                work, first, last, dollars or "dollars" in units, bool(work.flags.get("line_slots"))
            )
        ):
            _amount(work, "price_now", value, first, last)
            continue
        if kind in (None, "price_now", "rate") and (
            price_each(work, first, last, dollars or "dollars" in units)
            or (10 <= value < 3000 and listed_price(work, first, last))
        ):
            _amount(work, "price_now", value, first, last)
            continue
        if kind is None and value >= 20 and not other_unit and for_what_is_told(work, first, last):
            take(work, at)  # said as unread: there is no slot for it
            continue
        if "thousand" in units or "grand" in units:
            if not (dollars or kind == "budget" or "grand" in units):
                continue
            value *= 1000
        if kind == "payback":
            continue
        if dollars or "dollars" in units or "grand" in units:
            if kind == "demand" or (
                work.text_at(last + 1) in ("demand", "demand charge") and (kind != "rate" or value >= 1)
            ):
                work.say("demand_rate_per_kw", value, first, last, "demand")
            elif kind == "rate" and (value < 1 or (value < 10 and work.text_at(last) in ("pesos", "peso"))):
                _rate(work, at, last, value, False, first, None)
            elif kind in (None, "price_now") and value < 1:
                _rate(work, at, last, value, False, first, None)  # "we pay $0.09"
            elif kind in _SLOTS and not (kind in ("rebate", "labor") and _whole_job(work, last, value)):
                _amount(work, kind, value, first, last)
            elif value < 1:
                _rate(work, at, last, value, False, first, None)
            elif "grand" in units and kind is None and limits(work, first, last):
                _amount(work, "budget", value, first, last)
            elif "per_head" in work.cue(last + 1) and (earlier := _cue_before(work, first)) is not None:
                _amount(work, earlier, value, first, last)
            else:
                work.use(first, last)
            continue
        if kind in (None, "price_now", "rate") and 3 <= value <= 60 and for_power(work, last):
            _rate(work, at, last, value, True, first, None)
            continue
        if other_unit or "x" in work.cue(at - 1):
            continue
        bare_decimal = (
            atom.text.startswith((".", "0.", "0,")) and 0 < value < 0.8 and may_be_rate(work, at, kind)
        )
        if bare_decimal:
            _rate(work, at, last, value, False, first, None)
            continue
        if (
            work.text_at(last + 1) in ("demand", "demand charge")
            and 1 <= value <= 60
            and work.text_at(at - 1) in ("plus", "+", "and", "&", ",")
            and not work.is_number(last + 2)
        ):
            work.say("demand_rate_per_kw", value, first, last, "demand")  # "12 cents plus 9.50 demand"
            continue
        if (
            1 <= value < 6
            and "." in atom.text
            and "kwh" in (work.unit(at - 2), work.unit(at - 3))
            and work.text_at(at - 1) in ("a", "en", "sale", "cuesta", "esta")
        ):
            _rate(work, at, last, value, False, first, None)  # "el kwh a 2.10": pesos
            continue
        adjacent = cue_at >= 0 and abs(at - cue_at) <= (6 if each else 4)
        if kind == "rate" and each and value >= 10 and work.text_at(cue_at) == "pay" and 0 < at - cue_at <= 3:
            _amount(work, "price_now", value, first, last)  # "pay 61 each for those today"
            continue
        if (
            kind == "labor"
            and work.text_at(cue_at)
            in ("installed", "installing", "to install", "to hang", "to swap", "to put up")
            and not each
        ):
            continue  # "we installed 12": luminaires, no money
        if (
            kind == "labor"
            and work.text_at(cue_at).startswith(("to ", "install", "labor to"))
            and cue_at < at
            and work.text_at(cue_at).startswith("to ")
        ):
            continue
        if (kind in ("rebate", "labor") and adjacent and value >= 5) or (
            kind == "budget" and adjacent and value >= 100
        ):
            _amount(work, kind, value, first, last)
        elif kind == "demand" and adjacent and 1 <= value <= 60:
            work.say("demand_rate_per_kw", value, first, last, "demand")
        elif (
            kind in (None, "price_now", "rate")
            and ("rate_per_kwh" in work.job or "rate_denied" in work.flags)
            and 3 <= value <= 60
            and _bare(work, at)
            and now(work, at)
        ) or (kind == "rate" and adjacent and cue_at < at and 3 <= value <= 60 and _bare(work, at)):
            _rate(work, at, last, value, True, first, None)
        elif kind == "price_now" and adjacent and cue_at < at:
            nxt = work.cue(at + 1)
            each = (
                "per_head" in nxt
                or (value >= 20 and _each_before(work, cue_at))
                or (
                    work.unit(at + 1) == "each"
                    and not work.text_at(at + 1).startswith(("of", "off", "total", "count"))
                )
                or work.text_at(at + 1)
                in ("for", "por", "on", "new", "brand new", "nuevo", "nueva", "nuevos", "nuevas")
                or any(
                    work.unit(n) == "each"
                    or work.text_at(n) in ("each one", "each", "every one", "cada uno", "cada una", "apiece")
                    for n in (cue_at - 1, cue_at - 2)
                )
            )
            if each and value >= 10:
                _amount(work, kind, value, first, last)
            elif (
                at - cue_at <= 2
                and 4 <= value <= 40
                and _bare(work, at)
                and "range" not in work.cue(at - 1)  # "if we drop to 14"
            ):
                _rate(work, at, last, value, True, first, None)


def _of_demand(work: Work, at: int, last: int) -> bool:
    """Whether the clause of an amount per kW speaks of demand: "la demanda nos la cobran a 150 por kw"."""
    for index in range(at - 1, max(at - 8, -1), -1):
        if ends_clause(work.atoms[index]) or work.text_at(index) == ",":
            break
        if "demand" in work.cue(index):
            return True
    return any("demand" in work.cue(n) for n in (last + 1, last + 2))


def _each_before(work: Work, cue_at: int) -> bool:
    """Whether what is paid is told of each one: "cada foco lo pago a 140", "los compro a 85"."""
    told = work.text_at(cue_at).split(" ")
    if told[-1] == "a" and not {"lo", "la", "los", "las"}.isdisjoint(told):
        return not _of_power(work, cue_at)
    for index in range(cue_at - 1, max(cue_at - 6, -1), -1):
        if ends_clause(work.atoms[index]) or work.atoms[index].kind == "n":
            return False
        if "per_head" in work.cue(index) or work.text_at(index) in ("cada", "each"):
            return True
    return False


def _of_power(work: Work, at: int) -> bool:
    """Whether the few words before a number speak of what power costs."""
    return any("rate" in work.cue(n) for n in range(max(0, at - 6), at))


def _of_goods(work: Work, first: int) -> bool:
    """Whether an amount each is the price of lamps or ballasts: "lamps cost 28 each"."""
    words = [work.text_at(n) for n in range(max(0, first - 4), first)]
    return bool({"cost", "costs", "run", "runs", "are"} & set(words)) and bool(
        {"lamps", "bulbs", "ballasts", "ballast", "tubes", "drivers", "lamp", "bulb"} & set(words)
    )


_BIDS = frozenset(
    {
        "quoted",
        "bid",
        "offered",
        "quoted us",
        "quoted me",
        "cotizaron",
        "cotizo",
        "wants",
        "asking",
        "asked",
        "charging",
        "place",
        "competitor",
        "outfit",
        "piden",
        "pide",
    }
)


def _bid_beside(work: Work, first: int) -> bool:
    """Whether somebody's offer leads up to a number, or is told behind it: "$210 each is what the other guy quoted"."""
    if any(work.text_at(n) == "what" for n in range(first + 1, first + 6)):
        for index in range(first + 1, min(first + 12, len(work.atoms))):
            if ends_clause(work.atoms[index]) or work.text_at(index) == ",":
                break
            if work.text_at(index) in _BIDS:
                return True
    for index in range(first - 1, max(first - 5, -1), -1):
        atom = work.atoms[index]
        if ends_clause(atom) or atom.kind == "n":
            return False
        if atom.text in _BIDS:
            return True
    return _rival_said(work, first)


_RIVALS = words_of("competitor rival somebody someone alguien")
_ANOTHER = words_of("other another otro otra")
_SELLERS = words_of(
    "vendor supplier distributor proveedor guy guys fella shop store house outfit place company rep salesman counter supply bidder one tienda casa vendedor"
)
_PAID = words_of("pay paying paid pays pagamos pago cost costs cuestan our")
_RIVAL_REACH = 8


def _rival_said(work: Work, first: int) -> bool:
    """Whether another seller's price leads up to a number: "(other guy said 310 each)", "somebody told me 310 each"."""
    before = ""
    for index in range(first - 1, max(first - _RIVAL_REACH, -1), -1):
        atom = work.atoms[index]
        if ends_clause(atom) or atom.kind == "n" or atom.text == "(":
            return False
        for word in atom.text.split()[::-1]:
            if word in _PAID:
                return False
            if word in _RIVALS or (word in _ANOTHER and before in _SELLERS):
                return True
            before = word
    return False


_TURN_REACH = 24


def _priced_in_turn(work: Work, first: int, last: int) -> bool:
    """Whether another type has just been given its price: "165 each for the wall packs (need 20) and 310 each for the shoeboxes"."""
    told = work.flags.get("line_slots", [])
    if not told or told[-1][1] != "price_now" or not 0 < first - told[-1][0] <= _TURN_REACH:
        return False
    if "join" not in work.atoms[first - 1].mean and work.text_at(first - 1) not in (",", ";"):
        return False
    if work.text_at(last + 2) not in ("for", "on", "por", "para"):
        return False
    return not any(
        work.atoms[n].kind == "b" or work.text_at(n) in (".", "!", "?") for n in range(told[-1][0], first)
    )


def _whole_job(work: Work, last: int, value: float) -> bool:
    """Whether an amount is for the whole job and no slot: "a $2,000 rebate for the whole project", "to hang all of them"."""
    for index in range(last + 1, min(last + 9, len(work.atoms))):
        if ends_clause(work.atoms[index]):
            break
        text = work.text_at(index)
        if (
            text
            in (
                "whole",
                "total",
                "project",
                "job",
                "entire",
                "all",
                "all of them",
                "overall",
                "lump",
                "whole job",
                "entire job",
                "todo",
                "total de",
            )
            or work.has(index, "scope") == "all"
        ):
            return value >= 500
        if text in ("total", "flat", "lump sum"):
            return True
    return False


def _cue_before(work: Work, first: int) -> str | None:
    """A rebate or labour spoken of in the sentence before an amount "per fixture"."""
    for index in range(first - 1, max(first - 12, -1), -1):
        for kind in ("rebate", "labor"):
            if kind in work.cue(index):
                return kind
    return None


_MEASURES = frozenset({"lumens", "v", "ft", "m", "kelvin", "lamps", "cri", "inch"})
"""Units that no amount of money has."""
_MINUTES = words_of("min mins minute minutes minutos")
_RATE_TAILS = words_of("not and y power flat blended currently today now even parejo parejos all-in here")
"""Words that may follow a rate whose unit is not said: "rate 12 flat"."""


def _bare(work: Work, at: int) -> bool:
    """Whether nothing after the number says that it counts or measures something."""
    if at + 1 >= len(work.atoms):
        return True
    nxt = work.atoms[at + 1]
    return (nxt.kind in ("s", "b") and nxt.text not in ("'", '"', "x", "-", "/")) or nxt.text in _RATE_TAILS


def _has_other_unit(work: Work, at: int) -> bool:
    unit = work.unit(at + 1)
    if unit == "each":
        return False
    if unit in ("cents", "dollars"):
        return False
    return unit is not None or any(
        work.has(at + 1, kind) for kind in ("source", "family", "size", "led", "ampm")
    )


def _amount(work: Work, kind: str, value: float, first: int, last: int) -> None:
    slot = _SLOTS[kind]
    if kind == "price_now" and not 3 <= value <= 3000:
        work.use(first, last)  # a bill or an invoice: no luminaire costs that
        return
    if kind == "price_now":
        said = Said(value, work.atoms[first].start, work.atoms[last].end, rule="price now")
        work.flags.setdefault("line_slots", []).append((first, slot, said))
        work.use(first, last)
        return
    work.say(slot, value, first, last, kind)


def read_payback(work: Work) -> None:
    """As in "under 2 years payback", "3 yr payback", "payback in 2.5 years"."""
    if not work.speaks_of("cue:payback"):
        return
    for at, atom in enumerate(work.atoms):
        if atom.kind != "n" or work.used[at]:
            continue
        unit_at = at + 1
        if work.text_at(unit_at) == "-":
            unit_at += 1
        unit = work.unit(unit_at)
        months = work.text_at(unit_at) in ("months", "month", "mo", "meses", "mos")
        near = range(max(0, at - 7), min(len(work.atoms), at + 7))
        cue = next((index for index in near if "payback" in work.cue(index)), None)
        if cue is None:
            continue
        if unit == "year" or months:
            value = atom.value / 12 if months else atom.value
            work.say("payback_limit_years", round(value, 4), at, unit_at, "payback")
            work.use(cue, cue)
        elif unit is None and 0 < at - cue <= 4 and 0.5 <= atom.value <= 15 and _bare(work, at):
            work.say("payback_limit_years", atom.value, at, at, "payback")
            work.use(cue, cue)
