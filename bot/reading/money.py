"""Money and rates: what power costs, what is paid, given back, wanted back, or may be spent."""

from bot.reading.clause import Work, ends_clause
from bot.reading.message import Said
from bot.reading.shape import Fault
from bot.reading.words import words_of

_RATE_WORDS = frozenset({"rate", "demand"})
_KINDS = ("rebate", "labor", "budget", "price_now", "payback", "rate", "demand")
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
        elif work.text_at(index) == "k" and index == at + 1 and work.atoms[index].glued:
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


def _nearest_cue(work: Work, at: int, last: int, dollars: bool) -> tuple[str | None, int]:
    """The money cue nearest to the number, and its index: just before it in the clause, or right after it."""
    best: tuple[float, str, int] | None = None
    steps = 0
    index = at - 1
    while index >= 0 and steps < 7:
        atom = work.atoms[index]
        if ends_clause(atom) and not (atom.text == "." and index and work.atoms[index - 1].kind == "n"):
            break
        cues = work.cue(index)
        for kind in _KINDS:
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
        if ends_clause(atom) or (atom.kind == "s" and atom.text == ","):
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
    work.say(
        "rate_per_kwh", rounded, first, last, "rate", others=others, why=why, margin=1.0 if others else 9.0
    )


def _dime(work: Work, at: int) -> None:
    """As in "a dime a kilowatt": a coin's name as a rate."""
    coins = {"dime": 0.10, "nickel": 0.05, "penny": 0.01, "quarter": 0.25}
    value = coins.get(work.text_at(at))
    if value is not None and work.text_at(at + 1) in _PER and work.unit(at + 2) in ("kwh", "kw"):
        work.say("rate_per_kwh", value, at, at + 2, "coin")


def read_money(work: Work) -> None:
    """Find every amount of money and every rate in the stretch."""
    atoms = work.atoms
    for at, atom in enumerate(atoms):
        if atom.kind == "w":
            _dime(work, at)
            continue
        if atom.kind != "n" or work.used[at]:
            continue
        first = at
        dollars = work.text_at(at - 1) == "$"
        if dollars:
            first = at - 1
        last, units = _after_units(work, at)
        value = atom.value
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
            if dollars or "demand" in cues or "dollars" in units or work.text_at(at + 1) in ("/", "per"):
                work.say("demand_rate_per_kw", value, first, last, "per kW")
                continue
        other: float | None = None
        if "kwh" in units or "cents" in units:
            low = at
            # "9 to 11 cents": the first of the two, the other in doubt
            if (
                at >= 2
                and ("range" in work.cue(at - 1) or work.text_at(at - 1) == "-")
                and work.is_number(at - 2)
            ):
                low, other = at - 2, value
                value = atoms[low].value
                first = low
            # a rate in pesos has decimals and no cents: "a 2.40 el kilowatt"
            pesos = (
                1 <= value < 6
                and "." in atom.text
                and any(
                    "es" in work.atoms[n].mean and "en" not in work.atoms[n].mean for n in range(at, last + 1)
                )
            )
            cents = "cents" in units or (not dollars and value >= 1 and "dollars" not in units and not pesos)
            if cents and "kwh" not in units and value > 100:
                continue
            _rate(work, at, last, value, cents, first, other)
            continue
        kind, cue_at = _nearest_cue(work, at, last, dollars)
        if kind in _SLOTS and _per_other(work, last):
            work.use(first, last)
            continue
        if kind in ("rebate", "labor") and _in_all(work, first, last):
            work.use(first, last)
            continue
        if kind == "price_now" and _other_goods(work, first, last):
            work.use(first, last)
            continue
        if (
            kind in (None, "price_now", "rate")
            and (dollars or "dollars" in units)
            and _given_back(work, first, last)
        ):
            _amount(work, "rebate", value, first, last)
            continue
        if (
            kind == "rebate"
            and not (dollars or units)
            and work.text_at(cue_at) in _WEAK_GIVERS
            and not _each_after(work, last)
        ):
            continue
        if kind in (None, "price_now", "rate") and _price_each(
            work, first, last, dollars or "dollars" in units
        ):
            _amount(work, "price_now", value, first, last)
            continue
        if "thousand" in units or "grand" in units:
            if not (dollars or kind == "budget" or "grand" in units):
                continue
            value *= 1000
        if kind == "payback":
            continue
        if dollars or "dollars" in units or "grand" in units:
            if kind == "demand":
                work.say("demand_rate_per_kw", value, first, last, "demand")
            elif kind == "rate" and (value < 1 or (value < 10 and work.text_at(last) in ("pesos", "peso"))):
                _rate(work, at, last, value, False, first, None)
            elif kind in _SLOTS and not (kind in ("rebate", "labor") and _whole_job(work, last, value)):
                _amount(work, kind, value, first, last)
            elif value < 1:
                _rate(work, at, last, value, False, first, None)
            elif "grand" in units and kind is None and _limits(work, first, last):
                _amount(work, "budget", value, first, last)
            elif "per_head" in work.cue(last + 1) and (earlier := _cue_before(work, first)) is not None:
                _amount(work, earlier, value, first, last)
            else:
                work.use(first, last)
            continue
        if _has_other_unit(work, at) or "x" in work.cue(at - 1):
            continue
        bare_decimal = atom.text.startswith((".", "0.", "0,")) and 0 < value < 1
        if bare_decimal:
            _rate(work, at, last, value, False, first, None)
            continue
        adjacent = cue_at >= 0 and abs(at - cue_at) <= 4
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
            kind is None
            and "rate_per_kwh" in work.job
            and 3 <= value <= 60
            and _bare(work, at)
            and _now(work, at)
        ) or (kind == "rate" and adjacent and cue_at < at and 3 <= value <= 60 and _bare(work, at)):
            _rate(work, at, last, value, True, first, None)
        elif kind == "price_now" and adjacent and cue_at < at:
            nxt = work.cue(at + 1)
            each = (
                "per_head" in nxt
                or work.unit(at + 1) == "each"
                or work.text_at(at + 1) in ("for", "por", "on")
            )
            if each and value >= 10:
                _amount(work, kind, value, first, last)
            elif at - cue_at <= 2 and 4 <= value <= 40 and _bare(work, at):
                _rate(work, at, last, value, True, first, None)


_PRESENT = words_of(
    """now today currently current before paying been last supplier vendor guy get getting bought buy buying cost costs
    charge charges run runs were rate ahora actualmente cuestan cuesta pagamos compramos compro"""
)
_GOODS = words_of(
    "ballast ballasts bulb bulbs lift rental freight disposal recycling driver drivers pole ladder balastro balastros"
)
_SPANS = words_of("hour hr hrs hours day week month mo year yr watt w sqft foot ft hora dia mes ano")
_LIMITS = words_of("more than under max maximum tops keep limit stay below most top all")


def _sentence(work: Work, first: int, last: int) -> tuple[int, int]:
    """The sentence around two atoms: a point inside a number ends none."""
    low = first
    while low > max(0, first - 14) and not ends_clause(work.atoms[low - 1]):
        low -= 1
    high = last
    while high + 1 < min(len(work.atoms), last + 15) and not ends_clause(work.atoms[high + 1]):
        high += 1
    return low, high


def _per_other(work: Work, last: int) -> bool:
    """Whether an amount is by the hour, the month, the watt or the square foot: no slot of a luminaire."""
    step = last + 1
    if work.text_at(step) in ("/", "per", "an", "a", "each", "por", "al", "la"):
        return work.text_at(step + 1) in _SPANS or work.text_at(step + 1).startswith(("sq", "square"))
    return work.text_at(step) in (
        "hourly",
        "monthly",
        "yearly",
        "annually",
        "per hour",
        "an hour",
        "/hr",
        "per month",
        "a month",
        "per year",
        "a year",
    )


def _now(work: Work, at: int) -> bool:
    """Whether a bare number is the rate of today beside one of yesterday: "used to pay 6 cents, now it's 11"."""
    return work.text_at(at - 1) == "now" or (
        work.text_at(at - 1) in ("its", "is", "at", "up to", "it is")
        and "now" in (work.text_at(at - 2), work.text_at(at - 3))
    )


def _in_all(work: Work, first: int, last: int) -> bool:
    """Whether an amount of rebate or labor is said to be a total, or is a quote for the lot."""
    near = {
        word
        for n in range(max(0, first - 6), min(len(work.atoms), last + 5))
        if n < first or n > last
        for word in work.text_at(n).split()
    }
    return (
        not near.isdisjoint({"total", "totals", "lump", "altogether"})
        or ("lot" in near and "whole" in near)
        or {"quote", "came"} <= near
    )


def _other_goods(work: Work, first: int, last: int) -> bool:
    """Whether the price is one of ballasts, lamps or hire, and not of the luminaire."""
    low, high = max(0, first - 5), min(len(work.atoms) - 1, last + 4)
    for index in range(low, high + 1):
        text = work.text_at(index)
        if ends_clause(work.atoms[index]) and index > last:
            break
        if text in _GOODS:
            return True
        if text in ("lamps", "lamp") and not work.is_number(index - 1) and index > last:
            return True
    return _per_other(work, last)


def _price_each(work: Work, first: int, last: int, dollars: bool) -> bool:
    """Whether an amount each is what they pay today: "$65 ea" beside "been getting them", "118 each" beside "last order"."""
    value = work.atoms[last if work.atoms[last].kind == "n" else first + (work.text_at(first) == "$")].value
    step = last + 1
    slash = work.text_at(step) == "/"
    each = (
        work.text_at(step + slash) in ("each", "ea", "apiece", "a piece", "each one", "a pop", "per", "c/u")
        or "per_head" in work.cue(step)
        or (work.text_at(step) == "cada" and work.text_at(step + 1) in ("una", "uno"))
    )
    if not each and not (dollars and work.text_at(first - 1) in ("cost", "costs")):
        return False
    low, high = _sentence(work, first, last)
    words = {
        word
        for index in range(low, high + 1)
        if index < first or index > last
        for word in work.text_at(index).split()
    }
    if _PRESENT.isdisjoint(words) or _other_goods(work, first, last) or not _GOODS.isdisjoint(words):
        return False
    if each and dollars:
        return True
    if dollars and work.text_at(first - 1) in ("cost", "costs") and {"today", "now"} & words:
        return True
    return bool(
        each
        and value >= 20
        and words
        & {
            "supplier",
            "vendor",
            "price",
            "order",
            "guy",
            "charge",
            "charges",
            "cost",
            "costs",
            "paying",
            "cuestan",
        }
    )


_WEAK_GIVERS = frozenset(
    {"gives", "gives us", "back", "pays us", "kicks in", "kick in", "will kick in", "gets"}
)
_GIVERS = (
    "utility",
    "power co",
    "power comp",
    "electric co",
    "light co",
    "co-op",
    "coop",
    "rebate",
    "incentive",
    "energy program",
    "compania de luz",
)


def _each_after(work: Work, last: int) -> bool:
    """Whether an amount is each: "ea", "per fixture", "/fixture", "a light"."""
    step = last + 1
    if work.text_at(step) == "/":
        step += 1
    return (
        work.text_at(step)
        in (
            "each",
            "ea",
            "apiece",
            "a piece",
            "each one",
            "a pop",
            "per",
            "c/u",
            "back",
            "cada",
            "por",
            "on each",
            "for each",
        )
        or "per_head" in work.cue(step)
        or work.text_at(step + 1) in ("each", "fixture", "light")
    )


def _given_back(work: Work, first: int, last: int) -> bool:
    """Whether an amount each comes from the power company: "could get $50 a fixture from the power company"."""
    if not _each_after(work, last):
        return False
    low, high = _sentence(work, first, last)
    stretch = work.folded[work.atoms[low].start : work.atoms[high].end]
    if any(word in stretch for word in ("rent", "lease", "month", "bill")):
        return False
    return any(giver in stretch for giver in _GIVERS)


def _limits(work: Work, first: int, last: int) -> bool:
    """Whether "15 grand" is what may be spent: "not more than", "all in", "tops"."""
    low, high = _sentence(work, first, last)
    return not _LIMITS.isdisjoint(
        word for index in range(low, high + 1) for word in work.text_at(index).split()
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


def _bare(work: Work, at: int) -> bool:
    """Whether nothing after the number says that it counts or measures something."""
    if at + 1 >= len(work.atoms):
        return True
    nxt = work.atoms[at + 1]
    return (nxt.kind in ("s", "b") and nxt.text not in ("'", '"', "x", "-", "/")) or nxt.text in (
        "and",
        "y",
        "power",
    )


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
    if kind == "price_now":
        said = Said(value, work.atoms[first].start, work.atoms[last].end, rule="price now")
        work.flags.setdefault("line_slots", []).append((first, slot, said))
        work.use(first, last)
        return
    work.say(slot, value, first, last, kind)


def read_payback(work: Work) -> None:
    """As in "under 2 years payback", "3 yr payback", "payback in 2.5 years"."""
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
        elif unit is None and 0 < at - cue <= 4 and 0 < atom.value <= 15 and _bare(work, at):
            work.say("payback_limit_years", atom.value, at, at, "payback")
            work.use(cue, cue)
