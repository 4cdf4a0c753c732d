"""Hours and days that stand behind their label: "Hours/yr: 4200", "hours per day: 12", "days per week 6"."""

from bot.reading.clause import Work
from bot.reading.words import words_of

Length = tuple[str, float, int, int, float | None]
"""("day" | "week" | "year", hours, first atom, last atom, the other end of a range)."""
_A = frozenset({"/", "per", "a", "al", "por", "each", "of", "every"})
_IS = frozenset({":", "=", "-", "is", "are", "son"})
_YEARLY = words_of("annual yearly anuales")
_OTHER_HOURS = words_of(
    "labor labour man rated life warranty business office store delivery lead install installation work office's"
)
_MOST = {"day": 24.0, "week": 168.0, "year": 8784.0}
_PER = {"days": "day", "week": "week", "year": "year"}


def labelled_hours(work: Work) -> Length | None:
    """The hours behind their label; days behind theirs become an atom that says how many they are."""
    if not work.speaks_of("unit:hours", "unit:days"):
        return None
    found: Length | None = None
    for at in range(len(work.atoms)):
        unit = work.unit(at)
        if unit not in ("hours", "days") or (at and work.atoms[at - 1].kind == "n"):
            continue
        step = at + 1
        per = ""
        if work.text_at(step) in _A and work.unit(step + 1) in _PER:
            step += 1
        if work.unit(step) in _PER:
            per = _PER[str(work.unit(step))]
            step += 1
        marked = work.text_at(step) in _IS
        if marked:
            step += 1
        if not work.is_number(step) or not (marked or per) or _goes_on(work, step):
            continue
        value = work.atoms[step].value
        before = work.text_at(at - 1)
        if unit == "days":
            if per == "week" and 1 <= value <= 7 and value == int(value):
                # the label is no day of its own
                work.use(at, step - 1)
                work.atoms[step] = work.atoms[step]._replace(kind="p", text="days", mean={"days": int(value)})
            continue
        if before in _OTHER_HOURS and per != "year":
            continue
        last = step
        if not per:
            behind = step + 1
            if work.text_at(behind) in _A:
                behind += 1
            if work.unit(behind) in _PER and behind > step:
                per, last = _PER[str(work.unit(behind))], behind
            elif before in _YEARLY or 1000 <= value <= 8784:
                per = "year"
            elif value <= 24:
                per = "day"
        if per and 0 < value <= _MOST[per] and found is None:
            found = per, value, at, last, None
            work.use(at, last)
    return found


def _goes_on(work: Work, at: int) -> bool:
    """Whether a clock or a range begins at a number: "hours: 7 to 6"."""
    return (
        work.text_at(at + 1) in ("-", ":", "to", "a", "p", "am", "pm", "a.m.", "p.m.", "hasta", "thru", "/")
        and (
            work.is_number(at + 2)
            or work.has(at + 1, "ampm") is not None
            or work.text_at(at + 1) in ("a", "p")
        )
    ) or work.has(at + 1, "ampm") is not None
