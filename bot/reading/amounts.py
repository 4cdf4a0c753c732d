"""Whose money an amount is: what they pay now, get back, may spend, pay for the work, or pay for something else."""

from bot.reading.clause import Work, ends_clause
from bot.reading.words import words_of

_PRESENT = words_of(
    """now today currently current before paying been last supplier vendor guy get getting bought buy buying cost costs
    charge charges run runs were rate existing old ones sets set been was these days buying bought give giving salen sale hoy nos ahora actualmente cuestan cuesta pagamos compramos compro"""
)
_GOODS = words_of(
    "ballast ballasts bulb bulbs lift rental freight disposal recycling driver drivers pole ladder balastro balastros"
)
_SPANS = words_of("hour hr hrs hours day week month mo year yr watt w sqft foot ft hora dia mes ano")
_LIMITS = words_of("more than under max maximum tops keep limit stay below most top all")


def sentence(work: Work, first: int, last: int) -> tuple[int, int]:
    """The sentence around two atoms: a point inside a number ends none."""
    low = first
    while low > max(0, first - 14) and not ends_clause(work.atoms[low - 1]):
        low -= 1
    high = last
    while high + 1 < min(len(work.atoms), last + 15) and not ends_clause(work.atoms[high + 1]):
        high += 1
    return low, high


def per_other(work: Work, last: int) -> bool:
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


def now(work: Work, at: int) -> bool:
    """Whether a bare number is the rate of today beside one of yesterday: "used to pay 6 cents, now it's 11"."""
    if work.text_at(at + 1) in ("now", "ahora", "today") and "rate_denied" in work.flags:
        return True  # "the rate isn't 14 cents. 11.8 now"
    return work.text_at(at - 1) == "now" or (
        work.text_at(at - 1) in ("its", "is", "at", "up to", "it is")
        and "now" in (work.text_at(at - 2), work.text_at(at - 3))
    )


def in_all(work: Work, first: int, last: int) -> bool:
    """Whether an amount of rebate or labor is said to be a total, or is a quote for the lot."""
    each = each_after(work, last)
    near = {
        word
        for n in range(first if each else max(0, first - 6), min(len(work.atoms), last + (5 if each else 7)))
        if n < first or n > last
        for word in work.text_at(n).split()
    }
    return (
        not near.isdisjoint({"total", "totals", "lump", "altogether"})
        or ("lot" in near and "whole" in near)
        or {"quote", "came"} <= near
    )


_AT_MOST = words_of("up max maximum cap capped limit limited exceed hasta tope maximo")
_CAP = 300
"""No rebate for one luminaire is capped so high (common practice, no source)."""


def caps_rebate(work: Work, first: int, last: int, value: float) -> bool:
    """Whether an amount is the most that a rebate comes to for the whole job: "$40 a fixture up to $2000", "25% back, max 5000"."""
    if value < _CAP or each_after(work, last):
        return False
    near = {word for n in range(max(0, first - 3), first) for word in work.text_at(n).split()}
    near |= set(work.text_at(last + 1).split())
    if _AT_MOST.isdisjoint(near):
        return False
    low, high = sentence(work, first, last)
    stretch = work.folded[work.atoms[low].start : work.atoms[high].end]
    return "budget" not in stretch and (
        any("rebate" in work.cue(n) for n in range(low, high + 1))
        or any(giver in stretch for giver in _GIVERS)
    )


_OURS = words_of("lights fixtures heads units lamps these those ones luminaires")


def other_goods(work: Work, first: int, last: int) -> bool:
    """Whether the price is one of ballasts, lamps or hire, and not of the luminaire."""
    for index in range(max(1, first - 5), first):
        if work.text_at(index) in ("that", "which", "que") and index + 1 < first:
            # "railings that cost us $900": of what stands right before
            before = work.atoms[index - 1]
            return (
                before.kind == "w"
                and before.text.endswith("s")
                and len(before.text) > 4
                and before.text not in _OURS
            )
    low, high = max(0, first - 6), min(len(work.atoms) - 1, last + 4)
    for index in range(low, high + 1):
        text = work.text_at(index)
        if ends_clause(work.atoms[index]) and index > last:
            break
        if text in _GOODS:
            return True
        if text in ("lamps", "lamp") and not work.is_number(index - 1) and index > last:
            return True
        if text in ("lamps", "bulbs", "tubes") and index < first and work.atoms[index - 1].value > 12:
            return True
    return per_other(work, last)


_NEW = words_of("new replacement replacements yours your ours nuevo nueva nuevos nuevas")
_COMES_TO = words_of(
    "at for is are was were be cost costs run runs go goes going @ = : about around only just like theyre they're they its it's yours a por cuesta cuestan sale salen son"
)


def _begins_price(work: Work, first: int) -> int:
    """The atom before the words that lead to an amount: "LED" of "LED ones are just 189 each"."""
    index = first - 1
    while index >= 0 and work.text_at(index) in _COMES_TO:
        index -= 1
    return index


def for_the_new(work: Work, first: int, last: int) -> bool:
    """Whether an amount each is said of what is to be bought: "LED is 189 each", "yours run 145 apiece"."""
    if not each_after(work, last) or work.text_at(first - 1) not in _COMES_TO:
        return False
    return any(
        "led" in work.atoms[near].mean or not _NEW.isdisjoint(work.text_at(near).split())
        for near in range(max(0, _begins_price(work, first) - 1), first)
    )


def for_what_is_told(work: Work, first: int, last: int) -> bool:
    """Whether an amount each stands behind luminaires with their count, so that it is some price: "8 floods 400 MH at 95 each"."""
    if not each_after(work, last) or work.text_at(first - 1) not in _COMES_TO:
        return False
    low, _ = sentence(work, first, last)
    described = any(work.has(n, "family") or work.has(n, "source") for n in range(low, first))
    return described and any(work.is_number(n) for n in range(low, first))


def price_each(work: Work, first: int, last: int, dollars: bool) -> bool:
    """Whether an amount each is what they pay today: "$65 ea" beside "been getting them", "118 each" beside "last order"."""
    value = work.atoms[last if work.atoms[last].kind == "n" else first + (work.text_at(first) == "$")].value
    each = each_after(work, last)
    if not each and not dollars:
        return False
    low, high = sentence(work, first, last)
    words = {
        word
        for index in range(low, high + 1)
        if index < first or index > last
        for word in work.text_at(index).split()
    }
    if _PRESENT.isdisjoint(words) or other_goods(work, first, last) or not _GOODS.isdisjoint(words):
        return False
    if each and dollars:
        return True
    if not each:
        return bool(dollars and 5 <= value < 3000 and words & _COSTING and words & _AT_PRESENT)
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
            "were",
            "was",
            "run",
            "runs",
            "ran",
            "salen",
            "sale",
            "getting",
            "bought",
            "pop",
        }
    )


_RIGHT_NOW = words_of("now today currently presently hoy ahora ahorita actualmente")
_PAID_AT = words_of("at @ a for por are run runs cost costs is = pay paying") | {
    "run us",
    "runs us",
    "cost us",
}


def listed_price(work: Work, first: int, last: int) -> bool:
    """Whether an amount is today's price in a list: "@ 62 each now", or "... we buy at 189, the wall packs (150W, 9) at 74.50"."""
    after = last + 1
    each = each_after(work, last)
    lead = work.text_at(first - 1)
    if (
        each
        and lead in ("@", "at", "a")
        and (work.text_at(after + 1) in _RIGHT_NOW or work.text_at(after + 2) in _RIGHT_NOW)
    ):
        return not other_goods(work, first, last)
    if _bought(work, first - 1):
        return (
            after >= len(work.atoms) or ends_clause(work.atoms[after]) or work.text_at(after) == "," or each
        )
    if lead == "us":
        lead = work.text_at(first - 2)
    if lead not in _PAID_AT or not (
        each or after >= len(work.atoms) or ends_clause(work.atoms[after]) or work.text_at(after) == ","
    ):
        return False
    for start, slot, _ in work.flags.get("line_slots", ())[-1:]:
        back = start - 1
        if work.text_at(back) == "$":
            back -= 1
        if work.text_at(back) == "us":
            back -= 1
        between = work.atoms[start:first]
        return (
            slot == "price_now"
            and work.text_at(back) == lead
            and len(between) <= 24
            and any("family" in atom.mean for atom in between)
            and not any(ends_clause(atom) for atom in between)
        )
    return False


_THEM = words_of("them em those these it los las")
_BUYING = words_of("buy buying bought getting get compramos compro")


def _bought(work: Work, at: int) -> bool:
    """Whether "buying them at" stands there, with a price behind it: "currently buying them at 110"."""
    words = work.text_at(at).split()
    if len(words) == 1:
        words = [*work.text_at(at - 2).split(), *work.text_at(at - 1).split(), *words]
    return (
        len(words) > 2
        and words[-1] in ("at", "for", "a", "@")
        and words[-2] in _THEM
        and not _BUYING.isdisjoint(words)
    )


_OF_A_KIND = words_of("the a an each my our one those these los las un una cada")


_KINDS = frozenset({"family", "family_weak", "pointer"})
_PAYING = words_of("pay pays paying paid spend spends pagamos pagan paga")


_POWER = words_of(
    "power electric electricity electrical juice energy kwh kilowatt luz corriente electricidad energia"
)


def for_power(work: Work, last: int) -> bool:
    """Whether an amount is paid for power: "we pay 13 for electric", "15 for the power"."""
    if work.text_at(last + 1) not in ("for", "por", "de"):
        return False
    at = last + (3 if work.text_at(last + 2) in _OF_A_KIND else 2)
    after = work.atoms[at + 1] if at + 1 < len(work.atoms) else None
    return not _POWER.isdisjoint(work.text_at(at).split()) and (
        after is None or after.kind in ("s", "b") or "join" in after.mean or after.text in _BEHIND_POWER
    )


_BEHIND_POWER = words_of("now here per right so today ahora aqui and y but pero")


def for_a_kind(work: Work, first: int, last: int, dollars: bool, listed: bool) -> bool:
    """Whether an amount is today's price of a kind that is named behind it: "currently $98 for a 100w wallpack".

    Args:
        work: the stretch.
        first: the first atom of the amount.
        last: its last atom.
        dollars: it is said to be money.
        listed: prices of today were said before: "we pay 185 for the shoeboxes and 92 for the wallpacks".
    """
    if work.text_at(last + 1) in ("for each", "for every", "por cada"):
        # "we pay $145 for each 70-watt sodium post light"; what a utility pays is a rebate
        low, high = sentence(work, first, last)
        stretch = work.folded[work.atoms[low].start : work.atoms[high].end]
        return (
            dollars
            and any(work.text_at(n) in _PAYING for n in range(max(low, first - 3), first))
            and any(work.has(n, "family") for n in range(last + 2, min(last + 9, len(work.atoms))))
            and not any(giver in stretch for giver in _GIVERS)
        )
    if work.text_at(last + 1) not in ("for", "por"):
        return False
    if work.text_at(last + 2) not in _OF_A_KIND:
        return bool(
            listed
            and work.has(last + 2, "family") is not None
            and work.text_at(first - 1) in ("and", ",", "&", "y", ";", ")")
        )
    for index in range(last + 3, min(last + 9, len(work.atoms))):
        if ends_clause(work.atoms[index]) or work.text_at(index) in (",", "(", "and", "y"):
            return False
        if not _KINDS.isdisjoint(work.atoms[index].mean):
            break
    else:
        return False
    if listed and work.text_at(first - 1) in ("and", ",", "&", "y", ";", ")"):
        return True
    low, high = sentence(work, first, last)
    lead = low if work.text_at(first - 1) in ("and", ",", "&", "y") else max(low, first - 2)
    if any(not _PAYING.isdisjoint(work.text_at(n).split()) for n in range(lead, first)):
        # "they pay 148 for the 400w shoeboxes"
        stretch = work.folded[work.atoms[low].start : work.atoms[high].end]
        return not any(giver in stretch for giver in _GIVERS)
    words = {word for index in range(low, high + 1) for word in work.text_at(index).split()}
    return dollars and bool(words & _AT_PRESENT) and words.isdisjoint(_LIMITS)


WEAK_GIVERS = frozenset(
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


def _of_luminaires(work: Work, at: int) -> bool:
    """Whether a luminaire word or a size stands at ``at``."""
    return bool(work.has(at, "family") or work.has(at, "size"))


def each_after(work: Work, last: int) -> bool:
    """Whether an amount is each: "ea", "per fixture", "/fixture", "a light"."""
    step = last + 1
    if work.text_at(step) == "/":
        step += 1
    elif (
        work.text_at(step) in ("ea", "each", "x")
        and _of_luminaires(work, step + 1)
        and work.text_at(last - 1) != "$"
    ):
        return False  # "80 ea high bays" counts them
    elif (
        work.text_at(step) in ("ea", "each") and _of_luminaires(work, last - 1) and work.unit(step + 2) == "w"
    ):
        return False  # "floods 24 ea 1500w" too
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
        or (
            step + 1 < len(work.atoms)
            and work.text_at(step) in ("a", "per", "each", "por", "for each", "on each")
            and any(kind in work.atoms[step + 1].mean for kind in ("family", "family_weak", "generic"))
        )
    )


def given_back(work: Work, first: int, last: int) -> bool:
    """Whether an amount each comes from the power company: "could get $50 a fixture from the power company"."""
    if not each_after(work, last) or in_all(work, first, last):
        return False
    low, high = sentence(work, first, last)
    stretch = work.folded[work.atoms[low].start : work.atoms[high].end]
    if any(word in stretch for word in ("rent", "lease", "month", "bill")):
        return False
    return any(giver in stretch for giver in _GIVERS)


def limits(work: Work, first: int, last: int) -> bool:
    """Whether "15 grand" is what may be spent: "not more than", "all in", "tops"."""
    low, high = sentence(work, first, last)
    return not _LIMITS.isdisjoint(
        word for index in range(low, high + 1) for word in work.text_at(index).split()
    )


_COSTING = words_of(
    "get getting buy buying bought give giving sets set sell sells sold run runs running cost costs price sale salen cuesta cuestan pay paying charge charges"
)
_AT_PRESENT = words_of(
    "been weve existing old last usually always ones now today hoy ahora ahorita our currently current present right my present days"
)
_GIVEN = (
    "gives me",
    "gives us",
    "giving us",
    "giving me",
    "from the board",
    "from the owner",
    "from corporate",
    "from the boss",
    "me da ",
    "nos da ",
)
"""Money that is handed down for the job; of the power company it would be a rebate."""
_INSTALLERS = ("electrician", "sparky", "contractor", "installer", "handyman", "electricista", "instalador", "my guys", "our guys", "crew", "to install", "to put up", "to hang",
               "to change them", "to swap", "put them up", "put em up", "put these up", "hang them", "hang em", "swap them", "swap em", "install them", "install em", "change them", "change em", "put them in", "put em in", "instalarl", "ponerl", "colocar", "my guy", "my sparky")  # fmt: skip
_SPENDING = ("gave us", "gave me", "gives us only", "only gave", "council", "approved", "allotted", "board gave", "boss gave", "nos dieron", "me dieron", "max", "ceiling", "under $", "under ", "cap of", "capped", "limit", "up to", "below", "exceed", "more than", "budget", "spend", "only have", "only got", "to work with", "grant",
             "funds", "for this", "para esto", "para todo", "tope", "presupuesto", "gastar", "set aside", "earmark", "allocat", "tops", "or less", "all in", "spending cap", "go over")  # fmt: skip
_SPENT = ("bill", "paid", "last ", "month", "year", "annual", "bid", "quote", "insurance", "rent", "dues", "bought", "saved", "saving", "rebate", "incentive", "lumen", "each", "fined", "damage",
          "salary", "mortgage", "worth", "rates", "kwh", "hours", "sq", "feet", "ft", "apiece", "demand")  # fmt: skip


def by_installer(work: Work, first: int, last: int) -> bool:
    """Whether an amount each is what somebody takes for the work: "our electrician gets $75 per light"."""
    low, _ = sentence(work, first, last)
    stretch = work.folded[work.atoms[low].start : work.atoms[min(last + 6, len(work.atoms) - 1)].end]
    if any(not _INSTALLING.isdisjoint(work.text_at(n).split()) for n in range(max(low, first - 6), first)):
        return "hour" not in stretch  # "install runs us 35 each"
    return any(word in stretch for word in _INSTALLERS) and "hour" not in stretch


_INSTALLING = words_of("install installing installation installs instalacion instalar instalarlos")


_PURSES = words_of(
    "boss owner owners board manager management corporate council committee pastor wife husband gm jefe dueno duena patron"
)


def handed_down(work: Work, first: int, last: int) -> bool:
    """Whether somebody who holds the purse gives the money: "boss gives me 7.5k"."""
    low, high = sentence(work, first, last)
    low, high = max(low, first - 9), min(high, last + 6)
    stretch = work.folded[work.atoms[low].start : work.atoms[high].end]
    if not any(word in stretch for word in _GIVEN) or any(word in stretch for word in _GIVERS):
        return False
    return any(not _PURSES.isdisjoint(work.text_at(n).split()) for n in range(low, high + 1))


_HAVE = words_of("have tengo tenemos")
_NEARLY = words_of("only about like just around maybe $ como unos unas nomas solo roughly")
_BEFORE_IT = words_of("i we only all just yo pero but so and y")
_FOR_IT = words_of("for to para pa") | {",", ".", ";", "", "\n", "!"}


def _in_hand(work: Work, first: int, last: int) -> bool:
    """Whether an amount is what somebody has for the job: "I have 2 grand for 12 troffers", "all I got is 1500 bucks"."""
    index = first - 1
    while index > first - 4 and work.text_at(index) in _NEARLY:
        index -= 1
    lead = work.text_at(index)
    whole = lead in ("is", "es") and any(work.text_at(n) == "all" for n in range(max(0, index - 4), index))
    if not whole and not (
        lead in _HAVE and (index == 0 or work.text_at(index - 1) in _BEFORE_IT or lead != "have")
    ):
        return False
    return work.text_at(last + 1) in _FOR_IT


def may_be_spent(work: Work, first: int, last: int, money: bool) -> bool:
    """Whether a large amount is what may be spent: "keep the whole thing under $9,500", "12k ceiling"."""
    if per_other(work, last):
        return False
    unit = work.unit(last + 1)
    if (
        unit is not None
        or work.has(last + 1, "family")
        or work.has(last + 1, "source")
        or work.has(last + 1, "generic")
    ):
        return False
    low, high = sentence(work, first, last)
    low, high = max(low, first - 9), min(high, last + 6)
    stretch = work.folded[work.atoms[low].start : work.atoms[high].end]
    if (
        not handed_down(work, first, last)
        and not any(word in stretch for word in _SPENDING)
        and not (money and _in_hand(work, first, last))
    ):
        return False
    if any(word in stretch for word in _SPENT) and "budget" not in stretch and "presupuesto" not in stretch:
        return False
    return money or any(
        word in stretch
        for word in (
            "budget",
            "limit",
            "cap",
            "ceiling",
            "max",
            "exceed",
            "spend",
            "presupuesto",
            "gastar",
            "tope",
            "set aside",
        )
    )


_RATE_LEADS = words_of(
    """we at a an for in get its it's de around says say said shows show pay paying pays charge charges charged was were are
    now like roughly maybe and or to from from costs run runs cost here i us only just still actually no not son es sale
    nos cobran cobra pagamos pago he she they bill utility company co"""
)


def may_be_rate(work: Work, at: int, kind: str | None) -> bool:
    """Whether a bare decimal may be a rate: no other quantity's name stands right before it ("EPA 0.6", "PF over .9")."""
    if kind == "rate":
        return True
    index = at - 1
    while index >= at - 2 and work.text_at(index) in _SKIPPED:
        index -= 1
    atom = work.atoms[index] if index >= 0 else None
    if (
        atom is not None
        and atom.text in ("k", "v", "w", "ft", "ea")
        and index
        and work.atoms[index - 1].kind == "n"
    ):
        return True  # "4000k .11"
    return atom is None or atom.kind != "w" or not atom.text.isalpha() or atom.text in _RATE_LEADS


_SKIPPED = frozenset({"is", "of", "over", "under", "at least", "=", ":", "about", "max", "min"})
