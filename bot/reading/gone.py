"""Lamps that hung there once: "we took the T12s out years ago, it's all T8 now", "used to be mercury, HPS today"."""

import itertools

from bot.reading.atoms import Atom
from bot.reading.clause import Work
from bot.reading.words import words_of

_WERE = words_of(
    """took pulled removed ripped tore used were was had replaced swapped converted changed upgraded got originally formerly once
    quitamos quitaron eran era teniamos habia cambiamos cambiaron antes reemplazamos"""
)
_CHANGED = words_of("replaced swapped converted changed upgraded switched cambiamos cambiaron reemplazamos")
_NOW = words_of("now today already currently nowadays since ahora hoy ya actualmente")
_WANTED = words_of("want wants need needs get getting looking quote price like quiero quieren para")
_REACH = 14


_ONCE = words_of("was were had originally formerly previously before eran era habia antes originalmente")
_USED_TO = words_of("be have")
_LONGEST = 16
"""Atoms of a bracket at most."""


_BEGINNING = words_of("was were used originally formerly eran era habia")
_THINKING = words_of("thinking gonna going told supposed thought sure")


def once_counted(work: Work) -> None:
    """Set aside the counts that an aside tells of the past: "40 fixtures (was 44 but 4 got changed already) 2x4 T12"."""
    for at, atom in enumerate(work.atoms):
        bracket = atom.text == "("
        if bracket or (atom.text == "," and work.text_at(at + 1).split(" ", 1)[0] in _BEGINNING):
            ends = (")", "(") if bracket else (",", "(", ".", ";", "!", "?", "|")
            last = at + 1
            while last < min(len(work.atoms), at + _LONGEST):
                if work.text_at(last) in ends or work.atoms[last].kind == "b":
                    break
                last += 1
            closed = work.text_at(last) == ")" if bracket else last < at + _LONGEST
            if closed and _tells_the_past(work, at + 1, last):
                for n in range(at + 1, last):
                    inside = work.atoms[n]
                    work.atoms[n] = inside._replace(kind="x" if inside.kind == "n" else "w", mean={})


def _tells_the_past(work: Work, low: int, high: int) -> bool:
    """Whether nothing but how many there were stands between two atoms."""
    words = {word for n in range(low, high) for word in work.text_at(n).split()}
    past = not _ONCE.isdisjoint(words) or ("used" in words and not _USED_TO.isdisjoint(words))
    if not past or not _NOW.isdisjoint(words - {"already", "ya"}) or not _THINKING.isdisjoint(words):
        return False
    counted = False
    for n in range(low, high):
        mean = work.atoms[n].mean
        if (
            work.atoms[n].kind == "c"
            or mean.get("unit") in ("w", "ft", "m", "v", "cents", "kwh")
            or "size" in mean
        ):
            return False
        counted = counted or work.is_number(n)
    return counted


def _source(atom: Atom) -> str | None:
    found = atom.mean.get("source")
    return found if isinstance(found, str) else None


def past_lamps(work: Work) -> None:
    """Take the lamps out of the reading that a message says were there before those that it names next."""
    spots = [at for at, atom in enumerate(work.atoms) if "source" in atom.mean]
    for first, second in itertools.pairwise(spots):
        old, new = work.atoms[first], work.atoms[second]
        if second - first > _REACH or _source(old) == _source(new) or _source(new) in (None, "LED"):
            continue
        if any("family" in work.atoms[n].mean or work.atoms[n].kind == "b" for n in range(first + 1, second)):
            continue
        low = first
        while low > 0 and first - low < 6 and work.atoms[low - 1].kind not in ("s", "b", "n"):
            low -= 1
        before = {word for n in range(low, first) for word in work.text_at(n).split()}
        if _WERE.isdisjoint(before) or not _WANTED.isdisjoint(before):
            continue
        between = {word for n in range(first + 1, second) for word in work.text_at(n).split()}
        near = {
            word
            for n in range(first + 1, min(second + 4, len(work.atoms)))
            for word in work.text_at(n).split()
        }
        changed = not _CHANGED.isdisjoint(before | between) and not {
            "with",
            "to",
            "for",
            "por",
            "a",
        }.isdisjoint(near)
        if _NOW.isdisjoint(near) and not changed:
            continue
        work.atoms[first] = old._replace(kind="x" if old.kind == "c" else "w", mean={})
        if work.is_number(first - 1):
            work.atoms[first - 1] = work.atoms[first - 1]._replace(kind="x", mean={})
