"""What somebody else says, pays or offers: "the last guy quoted 150 W LEDs", "other guy said 310 each", "my neighbor paid 250 apiece".

A price or a new LED in such a clause is none of ours. What hangs there may well be told by somebody, so all else is left.
"""

from bot.reading.clause import Work, ends_clause
from bot.reading.words import words_of

_WHO = words_of(
    "guy guys vendor vendors company contractor contractors electrician supplier suppliers place shop store distributor salesman rep outfit bid bidder quote"
)
_OTHER = words_of("other last another previous different first competing second otro otra ultimo")
_ALONE = words_of(
    "competitor competitors competition neighbor neighbors neighbour neighbours cousin buddy friend friends vecino vecina primo competencia amigo"
)
_SOMEBODY = words_of("someone somebody elsewhere")
_NOT_THE_REST = words_of("someone somebody anyone anybody nobody who what where anything something nothing")
_SAYS = words_of(
    """said says say quoted quotes quote wants want wanted paid pays charged charges charge offered offers bid put puts swears claims thinks told tells price priced prices gave
    installed bought recommends recommended pushed dice dijo cobra cobro pago ofrecio quiere"""
)
_REACH = 16
_LEAD = 4


def hearsay(work: Work) -> None:
    """Set aside the prices and the new LEDs' watts of clauses in which somebody else speaks or pays."""
    if not work.numbers:
        return
    for at in range(1, len(work.atoms)):
        if work.text_at(at) == "else" and work.text_at(at - 1) in _NOT_THE_REST:
            work.atoms[at] = work.atoms[at]._replace(kind="w", mean={})  # "a quote from someone else"
    for at in range(len(work.atoms)):
        if not _somebody_else(work, at):
            continue
        says = next(
            (n for n in range(at + 1, min(at + _LEAD + 1, len(work.atoms))) if work.text_at(n) in _SAYS), None
        )
        if says is None:
            continue
        for n in range(says + 1, min(says + _REACH, len(work.atoms))):
            if ends_clause(work.atoms[n]) or work.text_at(n) in ("but", "pero", "i", "we"):
                break
            if work.is_number(n) and (_priced(work, n) or _of_led(work, n)):
                work.atoms[n] = work.atoms[n]._replace(kind="x", mean={})
                if work.unit(n + 1) == "w":
                    work.use(n + 1, n + 1)
                for led in range(n + 1, min(n + 4, len(work.atoms))):
                    if "led" in work.atoms[led].mean:
                        work.atoms[led] = work.atoms[led]._replace(kind="w", mean={})


def _somebody_else(work: Work, at: int) -> bool:
    text = work.text_at(at)
    if text in _ALONE or text in _SOMEBODY:
        return True
    if text in _WHO:
        return work.text_at(at - 1) in _OTHER
    return text == "law" and work.text_at(at - 1) == "in"


def _priced(work: Work, at: int) -> bool:
    """Whether a number is money by the words around it."""
    return (
        work.unit(at + 1) in ("each", "dollars")
        or work.text_at(at - 1) == "$"
        or work.text_at(at - 1) in ("paid", "charged", "quoted", "pays", "pago", "cobro")
    ) and "family" not in (work.atoms[at + 1].mean if at + 1 < len(work.atoms) else {})


def _of_led(work: Work, at: int) -> bool:
    """Whether a number is the watts of an LED."""
    return any(
        "led" in work.atoms[n].mean or "led" in work.text_at(n).split(" ")
        for n in range(at + 1, min(at + 4, len(work.atoms)))
    ) and (work.unit(at + 1) == "w" or "led" in work.atoms[at + 1].mean)
