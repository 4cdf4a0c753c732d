"""What is paid today, told behind the amount: "95 each is what I pay now"."""

from bot.reading.clause import Work
from bot.reading.late import Late

_IS_WHAT = Late(
    r" ?(?:each|apiece|ea|a piece|a pop|per (?:head|fixture|light|unit|lamp))? ?(?:is|was|thats|that's|'s|are) (?:what|about what) (?:we|i|they|im|were|i'm|we're|my guy|our guy|the last guy|my electrician) "
    r"(?:pay|paid|paying|are paying|have been paying|been paying|charges?|charged|spend|give|get charged)(?! (?:per|for power|a month|to))"
)


def is_what_is_paid(work: Work, last: int) -> bool:
    """Whether the words behind an amount say that it is what is paid today."""
    end = work.atoms[last].end
    return _IS_WHAT.match(work.folded[end : end + 80]) is not None
