"""Clauses that do nothing but deal values to types that stand already: "floods at 30 ft, packs at 12", "480 on the poles, 277 everything else".

A small grammar, read strictly: subjects (a type by its name, its turn or its place, the rest, all), values, and words that join the
two. Every word must be one of these and every subject must be found on the job, else the message is read like any other. So it may
be told with marks or without, the value first or behind, by name or as "the rest": each gives the same reading.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from bot.reading.clause import Work
from bot.reading.dealt_pieces import Piece, pieces_of, several
from bot.reading.fitting import makes_sense
from bot.reading.late import Late
from bot.reading.message import Known, Passage, Said, Scope

LONGEST: Final = 300
"""The longest text that is tried [characters]."""
_MAY: Final = Late(
    r"[0-9]|bronze|black|white|gr[ae]y|silver|green|bronce|negr|blanc|gris|photo|foto|motion|movi|dimm|cut ?off|type|mount|fitter|pendant"
)


def may_deal(folded: str) -> bool:
    """Whether a folded text is short and says a value that may be dealt."""
    return len(folded) <= LONGEST and _MAY.search(folded) is not None


def by_turns(work: Work, known: Known, least: int = 2) -> list[Passage] | None:
    """What the clauses deal, a passage a type; ``None`` where the text is anything else than such clauses, or fewer than ``least``."""
    if any(atom.kind == "x" for atom in work.atoms):
        return None
    pieces = pieces_of(work, known)
    if pieces is None:
        return None
    clauses = _clauses(pieces)
    if clauses is None or len(clauses) < least:
        return None
    return _dealt(clauses, known)


Clause = tuple[list[Piece], list[Piece], bool]
"""Subjects, values, and whether it is an exception from the clause before."""


def _clauses(pieces: list[Piece]) -> list[Clause] | None:
    """Subjects with their values, in the order told; ``None`` where a value could belong to two."""
    out: list[Clause] = []
    at = 0
    apart = False
    while at < len(pieces):
        kind = pieces[at].kind
        if kind in (",", ".", "o"):
            at += 1
            continue
        if kind == "x":
            if not out or apart:
                return None
            apart = True
            at += 1
            continue
        if kind == "S":
            subjects, at = _subjects(pieces, at, True)
            at = _past(pieces, at, ".o")
            if at == len(pieces) or pieces[at].kind != "V":
                return None
            values, at = _values(pieces, at, True)
        else:
            values, at = _values(pieces, at, False)
            found = _pointed(pieces, at)
            if found is None and out and _ends(pieces, at) and _ends(pieces, pieces.index(values[0]) - 1):
                whole = Piece("S", values[0].start, values[-1].end)  # "..., packs 277. bronze": said of all
                whole.others = "all"
                subjects = [whole]
            elif found is None:
                return None
            else:
                subjects, at = _subjects(pieces, found, False)
        out.append((subjects, values, apart))
        apart = False
    return out if not apart else None


def _ends(pieces: list[Piece], at: int) -> bool:
    """Whether a sentence ends here."""
    return at >= len(pieces) or (pieces[at].kind == "," and pieces[at].marked)


def _past(pieces: list[Piece], at: int, kinds: str) -> int:
    """The first piece from ``at`` on that is of none of the kinds."""
    while at < len(pieces) and pieces[at].kind in kinds:
        at += 1
    return at


def _subjects(pieces: list[Piece], at: int, behind: bool) -> tuple[list[Piece], int]:
    """Subjects that follow one another with a joining word between, and where they end.

    Where the values stand ``behind``, all that are named before them share them. Where they stand before, a subject with values of its
    own begins a clause: "480 on the floods, packs 277".
    """
    out = [pieces[at]]
    at += 1
    while True:
        ahead = _past(pieces, at, ",.o")
        if ahead == len(pieces) or pieces[ahead].kind != "S" or ahead - at > 3:
            return out, at
        own = _past(pieces, ahead + 1, ".o")
        if not behind and own < len(pieces) and pieces[own].kind == "V" and _pointed(pieces, own + 1) is None:
            return out, at
        out.append(pieces[ahead])
        at = ahead + 1


def _value_next(pieces: list[Piece], at: int) -> bool:
    at = _past(pieces, at, ".o")
    return at < len(pieces) and pieces[at].kind == "V"


def _values(pieces: list[Piece], at: int, behind: bool) -> tuple[list[Piece], int]:
    """Values that stand together, and where they end: a value that points at a subject of its own begins a clause."""
    out = [pieces[at]]
    at += 1
    while True:
        ahead = _past(pieces, at, ",.o")
        if (
            ahead == len(pieces)
            or pieces[ahead].kind != "V"
            or any(piece.slot == pieces[ahead].slot for piece in out)
        ):
            return out, at
        if any(pieces[n].marked for n in range(at, ahead)):
            return out, at
        if (
            (ahead > at or behind)
            and _pointed(pieces, ahead + 1) is not None
            and (behind or any(pieces[n].kind == "," for n in range(at, ahead)))
        ):
            return out, at
        out.append(pieces[ahead])
        at = ahead + 1


def _pointed(pieces: list[Piece], at: int) -> int | None:
    """Where the subject stands that a value before ``at`` points at: "on the floods", "the rest"."""
    first = at
    lead = False
    while at < len(pieces) and pieces[at].kind in (".", "o"):
        lead = lead or pieces[at].kind == "o"
        at += 1
    if at == len(pieces) or pieces[at].kind != "S" or at - first > 3:
        return None
    if (
        not lead
        and not pieces[at].marked
        and not (pieces[at].others == "rest" and not _value_next(pieces, at + 1))
    ):
        return None
    return at


def _dealt(clauses: Sequence[Clause], known: Known) -> list[Passage] | None:
    """A passage a type of what is dealt to it; ``None`` where something is dealt twice, or to nothing."""
    held: dict[int, dict[str, Piece]] = {}
    pointers: dict[int, Piece] = {}
    every = range(len(known.lines))
    for rank in _RANKS:
        for subjects, values, apart in clauses:
            if _RANKS[_rank_of(subjects)] != rank:
                continue
            for value in values:
                named = _meant(subjects, value, held, every)
                if (
                    rank == "all"
                    and value.slot == "controls"
                    and not any(told[2] and _says(told[1], "controls") for told in clauses)
                ):
                    # "motion on all, dimming on the floods": on those both
                    for pieces in held.values():
                        if "controls" in pieces and pieces["controls"].value != value.value:
                            pieces["controls"] = pieces["controls"].beside(value)
                if rank == "all":
                    if any(_rank_of(others) == 1 and _says(told, value.slot) for others, told, _ in clauses):
                        return None  # all and the rest
                    named = [n for n in named if makes_sense(value.slot, _plain(value), known.lines[n])]
                if not named:
                    return None
                for n in named:
                    if value.slot in held.setdefault(n, {}):
                        return None
                    held[n][value.slot] = value
                    pointers.setdefault(n, subjects[0])
            if apart and rank != "named":
                return None
    if not _exceptions(clauses):
        return None
    return [
        Passage(
            "change",
            {
                slot: Said(_plain(piece), piece.start, piece.end, rule="dealt by turns")
                for slot, piece in held[n].items()
            },
            Scope("ordinal", pointers[n].start, pointers[n].end, ordinal=n),
        )
        for n in sorted(held)
    ]


_RANKS: Final = ("named", "rest", "all")


def _rank_of(subjects: Sequence[Piece]) -> int:
    """What is said of types by name is dealt first, then what is said of the rest, then what is said of all."""
    rank = 0
    for subject in subjects:
        if subject.others:
            rank = max(rank, 1 if subject.others == "rest" else 2)
    return rank


def _says(values: Iterable[Piece], slot: str) -> bool:
    return any(value.slot == slot for value in values)


def _meant(
    subjects: Sequence[Piece], value: Piece, held: Mapping[int, Mapping[str, Piece]], every: Iterable[int]
) -> list[int]:
    """The types that a value is said of: of the rest those that were given none."""
    if any(subject.others for subject in subjects):
        return [n for n in every if value.slot not in held.get(n, {})]
    return [n for n in every if any(n in subject.lines for subject in subjects)]


def _exceptions(clauses: Sequence[Clause]) -> bool:
    """Whether every exception is one from what was said of all."""
    for number, (_, _, apart) in enumerate(clauses):
        if apart and (number == 0 or not any(subject.others == "all" for subject in clauses[number - 1][0])):
            return False
    return True


def _plain(piece: Piece) -> Any:
    return several(piece.value) if piece.slot == "controls" else piece.value
