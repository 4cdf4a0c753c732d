"""Questions in words a contractor answers with one word, by the path of the slot that is missing."""

import math
from collections.abc import Sequence
from typing import Protocol

from bot.replies import shown
from bot.replies.describe import value_words
from bot.replies.heard import Language
from bot.replies.words import Words, listing, words_in
from engine.proposal import Question
from engine.request import StatedHours, StatedJob, StatedLine


class HasLines(Protocol):
    """A reading, or the request made from it."""

    @property
    def lines(self) -> tuple[StatedLine, ...]: ...
    @property
    def job(self) -> StatedJob: ...


def question_text(question: Question, reading: HasLines, language: Language) -> str:
    """One question, naming the luminaires it is about; ``reading`` may be any holder of the job's lines."""
    words = words_in(language)
    slot = slot_of(question.path)
    hours = reading.job.schedule
    if (
        slot == "schedule"
        and isinstance(hours, StatedHours)
        and hours.days_per_week is None
        and hours.hours_per_day
    ):
        slot = "schedule_days"
    which = _which(question.path, reading.lines, words)
    if question.options and (frame := words.find("questions_with_choices", slot)):
        choices = listing(choice_words(question, words), words, "or")
        return frame.format_map({"which": which, "choices": choices})
    if frame := words.find("questions", slot):
        return frame.format_map({"which": which})
    name = words.find("names", slot) or slot.replace("_", " ")
    frame = str(words.of("questions_with_choices", "other"))
    if question.options:
        choices = listing(choice_words(question, words), words, "or")
        return frame.format_map({"name": name, "which": which, "choices": choices})
    return f"{name}?"


def questions_left(questions: Sequence[Question], put_off: Sequence[str]) -> Sequence[Question]:
    """Those that are not put off: what the writer does not know is asked again only where nothing can be offered without it."""
    if not put_off:
        return questions
    return [q for q in questions if q.path not in put_off or math.isinf(q.swing_years)]


def next_question(questions: Sequence[Question], not_known: str, put_off: Sequence[str]) -> Question | None:
    """The one behind that about ``not_known``, which could not be answered just now."""
    return next((q for q in questions_left(questions, put_off) if q.path != not_known), None)


def choice_words(question: Question, words: Words) -> list[str]:
    """The answers to offer, each in words that the reader of messages understands."""
    return [value_words(slot_of(question.path), option, words) for option in question.options]


def slot_of(path: str) -> str:
    """The slot that a path ends in: "lines.0.source" -> "source"; what an assumption adds in brackets is left out: "job.schedule (exterior)" -> "schedule"."""
    return (path.partition(" (")[0] if " (" in path else path).rpartition(".")[2]


def _which(path: str, lines: tuple[StatedLine, ...], words: Words) -> str:
    index = line_index(path)
    rows = words.table("families")
    named = words.table("question_which")
    if index is None or index >= len(lines):
        if len(lines) == 1:
            return str(rows[lines[0].family or "unknown"]["the"])
        return str(named["all"]) if lines else str(named["them"])
    line = lines[index]
    the = str(rows[line.family or "unknown"]["the"])
    alike = [i for i, other in enumerate(lines) if other.family == line.family]
    if len(alike) == 1:
        return the
    watts = {lines[i].watts for i in alike}
    if line.watts is not None and len(watts) == len(alike):
        return str(named["with_watts"]).format_map({"the": the, "watts": shown.plain(line.watts, 1)})
    return str(named["numbered"]).format_map({"the": the, "number": str(index + 1)})


def line_index(path: str) -> int | None:
    """The line that a path is about: "lines.3.source" -> 3; None for "job.…", "lines.*.…" and names without a line."""
    head, _, rest = path.partition(".")
    number = rest.partition(".")[0]
    return (
        int(number) if head == "lines" and number.isascii() and number.isdigit() and len(number) < 7 else None
    )
