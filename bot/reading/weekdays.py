"""Days of the week: lists and ranges of their names, days that are left out, nights and times a week."""

from bot.reading.clause import Work
from bot.reading.words import words_of

WEEK = {name: number for number, names in enumerate(
    ("mon monday mondays lunes lun", "tue tues tuesday tuesdays martes mar", "wed weds wednesday wednesdays miercoles mie", "thu thur thurs thursday thursdays jueves jue",
     "fri friday fridays viernes vie", "sat sats saturday saturdays sabado sabados sab", "sun suns sunday sundays domingo domingos dom")) for name in names.split()}  # fmt: skip
_TO = words_of("- to thru through til till until thr a al hasta")
_AND = words_of(", and & y e + / or nor o ni")
_WITHIN = words_of("nights night evenings mornings nites noches los el las on")
"""Words that may stand between the days of a list: "tuesday nights and thursday nights"."""
_OUT = words_of(
    "but except excluding not no none nothing never closed shut shuts off dark idle minus without excepto menos salvo cerrado cerrados cerramos cierra cierran sin"
)
_SHUT = words_of("closed off shut dark idle cerrado cerrados cerramos")
_WEEKEND = frozenset({"weekends", "weekend", "fines de semana", "fin de semana"})
_SOMETIMES = words_of("sometimes occasional occasionally maybe perhaps some few veces quizas")
_WE = words_of("we were we're is are it's its they theyre they're everything store shop estamos esta")
_ASIDE = words_of(
    "deliver delivers delivery deliveries call meet meeting visit come coming by before until next this last past due need needed needs ship pickup entrega entregar"
    " antes proximo proxima este esta"
)
"""Words before days on which something else happens."""
_HABIT = words_of("every each only just solo cada todos los nights nites noches mornings")
_NIGHTLY = words_of("nights nites noches evenings")
NIGHTS = words_of("nights nites evenings noches tardes times veces mornings days dias day night dia noche")


def _names(work: Work, at: int) -> list[int] | None:
    """The days that an atom of day names alone names: [5, 6] of "sat and sun", [0, 1, 2, 3, 4] of "mon to fri"."""
    atom = work.atoms[at]
    if atom.kind not in ("w", "p") or work.used[at]:
        return None
    single = WEEK.get(atom.text)
    if single is not None:
        return [single]
    if "days" not in atom.mean or atom.mean["days"] > 6:
        return None
    if atom.text in _WEEKEND:
        return [5, 6]
    words = atom.text.split()
    found: list[int] = []
    for word in words:
        number = WEEK.get(word)
        if number is not None:
            found.append(number)
        elif word not in _AND and word not in _TO:
            return None
    if len(found) == 2 and (found[1] - found[0]) % 7 + 1 == atom.mean["days"]:
        return [day % 7 for day in range(found[0], found[0] + int(atom.mean["days"]))]
    return found if found and len(found) == atom.mean["days"] else None


def mark_days(work: Work) -> None:
    """Make "tue thru sun", "mon, wed and fri", "every day but monday" and "sundays only" one atom that says how many days they are."""
    atoms = work.atoms
    at, count = 0, len(atoms)
    while at < count:
        days, out = _names(work, at), False
        if days is None:
            days, out = _left_out(work, at), True
        if days is None:
            at += 1
            continue
        last, parts = at, 1
        while last + 1 < count:
            step = last + 1
            begin = WEEK.get(atoms[last].text)
            if begin is not None and atoms[step].text in _TO and step + 1 < count:
                after = _names(work, step + 1)
                if after is not None and len(after) == 1:
                    days = days + [day % 7 for day in range(begin + 1, begin + (after[0] - begin) % 7 + 1)]
                    last, parts = step + 1, parts + 1
                    continue
            joined = False
            while (
                step < count
                and step <= last + 4
                and (atoms[step].text in _AND or atoms[step].text in _WITHIN)
            ):
                joined = joined or atoms[step].text in _AND
                step += 1
            after = _names(work, step) if step < count else None
            if (
                after is None
                or not (joined or step == last + 1)
                or (_timed(work, at - 1) and _timed(work, step + 1))
            ):
                break
            days = days + after
            last, parts = step, parts + 1
        _mark(work, at, last, len(set(days)), parts, out)
        at = last + 1


def _timed(work: Work, at: int) -> bool:
    """Whether a time of day may stand at ``at``: "7a-7p mon-fri and saturdays 8 to 1" are two ranges, each of its days."""
    return 0 <= at < len(work.atoms) and (
        work.atoms[at].kind == "n" or work.has(at, "ampm") is not None or work.text_at(at) in ("a", "p")
    )


def _left_out(work: Work, at: int) -> list[int] | None:
    """The days that a phrase of the lexicon leaves out: [0] of "closed mondays"."""
    atom = work.atoms[at]
    words = atom.text.split()
    if "days" not in atom.mean or work.used[at] or len(words) < 2 or words[0] not in _OUT:
        return None
    found = [WEEK[word] for word in words[1:] if word in WEEK]
    return found if found and len(found) == 7 - atom.mean["days"] else None


def _mark(work: Work, first: int, last: int, days: int, parts: int, out: bool) -> None:
    """Let the first atom say how many days the atoms ``first`` to ``last`` are; ``out``: they are left out."""
    atoms = work.atoms
    if out:
        if parts > 1:
            _say(work, first, last, 7 - days)
        return
    if any(work.text_at(n) in _ASIDE for n in range(max(0, first - 3), first)):
        return
    if any(work.text_at(n) in _SOMETIMES for n in range(max(0, first - 2), first)):
        for n in range(first, last + 1):
            atoms[n] = atoms[n]._replace(mean={})  # what is on sometimes is no schedule
        return
    lead = first - 1
    while lead > 0 and atoms[lead].text in (
        "on",
        "the",
        "los",
        "el",
        "for",
        "se",
        "de",
        "both",
        "en",
        "open",
        "running",
        "run",
    ):
        lead -= 1
    without = lead >= 0 and _without(work, lead)
    shut = last + 1
    while shut <= last + 3 and work.text_at(shut) in _WE:
        shut += 1
    behind = work.text_at(shut) in _SHUT
    if without or behind:
        days = 7 - days
        if without:
            if lead and work.has(lead - 1, "days") is not None:
                whole = int(work.atoms[lead - 1].mean["days"])
                days = whole - (7 - days) if whole < 7 else days
                atoms[lead - 1] = atoms[lead - 1]._replace(mean={})
            work.use(lead, lead)
        else:
            work.use(shut, shut)
    elif parts == 1 and days == 1:
        text = atoms[first].text
        plural = text.endswith("s") and text not in ("lunes", "martes", "miercoles", "jueves", "viernes", "tues", "weds", "thurs", "sats", "suns")  # fmt: skip
        near = [work.text_at(n) for n in (first - 1, last + 1)]
        if not plural and not any(word in _HABIT for word in near):
            return
    elif parts == 1:
        return  # the lexicon's own phrase
    if days >= 1:
        _say(work, first, last, days)


def _without(work: Work, at: int) -> bool:
    """Whether the days behind an atom are left out: "shut sundays", "we're not open on sundays", and not "shuts at 10 sundays"."""
    return work.atoms[at].text in _OUT or "not" in work.cue(at)


def _say(work: Work, first: int, last: int, days: int) -> None:
    atoms = work.atoms
    atoms[first] = atoms[first]._replace(
        kind="p", text="days", end=atoms[last].end, mean={"days": days, "habit": True}
    )
    for index in range(first + 1, last + 1):
        atoms[index] = atoms[index]._replace(kind="w", mean={})
    if last > first:
        work.use(first + 1, last)
    work.flags["weekdays"] = True


def nights(work: Work, at: int) -> tuple[float, int] | None:
    """As in "3 nights a week", "3x a week", "twice a week" at ``at``: (days, last atom)."""
    text = work.text_at(at)
    if (
        work.is_number(at)
        and 1 <= work.atoms[at].value <= 7
        and work.atoms[at].value == int(work.atoms[at].value)
    ):
        days = work.atoms[at].value
        step = at + 1
        if work.text_at(step) == "-":
            step += 1
        if work.text_at(step) not in NIGHTS and not (work.text_at(step) == "x" and work.atoms[step].glued):
            return None
        step += 1
    elif text in ("twice", "once"):
        days, step = (2.0 if text == "twice" else 1.0), at + 1
    else:
        return None
    if work.text_at(step) in ("a", "per", "/", "each", "out", "por", "of", "every", "al"):
        step += 1
    if work.text_at(step) in ("a", "the", "la", "each"):
        step += 1
    if work.unit(step) == "week" or work.text_at(step) in ("week", "wk", "semana", "weekly"):
        return days, step
    return (days, at + 1) if work.text_at(at + 1) in _NIGHTLY else None


def of_the_year(work: Work) -> tuple[str, float, int, int] | None:
    """As in "180 days a year", "40 weeks a year": ("days" | "week", how many, first atom, last atom)."""
    if not work.speaks_of("unit:year", "days", "unit:days"):
        return None
    for at in work.numbers:
        if not work.is_number(at) or work.atoms[at].value != int(work.atoms[at].value):
            continue
        if work.text_at(at + 1) == "days a year" and 8 <= work.atoms[at].value <= 366:
            return "days", work.atoms[at].value, at, at + 1
        kind = work.unit(at + 1)
        if kind is None and work.text_at(at + 1) in NIGHTS:
            kind = "days"
        if kind not in ("days", "week") or not 2 <= work.atoms[at].value <= (366 if kind == "days" else 53):
            continue
        step = at + 2
        while step < at + 5 and work.text_at(step) in (
            "a",
            "per",
            "/",
            "out of",
            "of",
            "al",
            "por",
            "each",
            "every",
            "in",
            "the",
            "out",
        ):
            step += 1
        if work.unit(step) == "year":
            return kind, work.atoms[at].value, at, step
        if (
            kind == "days"
            and work.atoms[at].value >= 150
            and work.speaks_of("unit:hours")
            and work.text_at(at - 1) not in ("in", "within", "next", "after", "net")
        ):
            return kind, work.atoms[at].value, at, at + 1  # "9 hrs a day 180 days"
    return None
