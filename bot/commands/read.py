"""``wattclerk read``: what a text says, before anything is assumed or computed."""

import argparse
import json
import sys
from collections.abc import Iterator
from typing import Any, BinaryIO, Final

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from bot.commands.text_in import file_given, text_given
from bot.conversation import EMPTY, State, read_turn
from bot.faults import first_fault
from bot.reading import CannotRead
from bot.reading.shape import Reading
from bot.usable import MAX_TEXT_CHARS, UnusableInput, usable_text

MAX_LINE_BYTES: Final = 4_000_000


class TurnIn(BaseModel):
    """One message of a conversation to read, and the slot that our preceding question was about."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    text: str
    asked: str | None = Field(default=None, max_length=80)


class ConversationIn(BaseModel):
    """A line of ``read --jsonl``."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    id: str = Field(max_length=200)
    turns: list[TurnIn] = Field(min_length=1, max_length=1000)


def run(arguments: argparse.Namespace) -> int:
    """Prints one reading, or one line a conversation."""
    if arguments.jsonl:
        if arguments.text is not None:
            return _called_wrongly("--jsonl reads standard input and takes no TEXT")
        return _read_lines(sys.stdin.buffer)
    if not arguments.corpus_line and (arguments.correct is not None or arguments.why is not None):
        return _called_wrongly("--correct and --why go with --corpus-line")
    if arguments.text == "-" and arguments.correct == "-":
        return _called_wrongly("standard input can't be both the text and its correction")
    text = text_given(arguments.text)
    reading = _read(EMPTY, text, 0)[1]
    if arguments.corpus_line:
        print(_as_line(_corpus_line(text, reading, arguments.correct, arguments.why)))
    elif arguments.json:
        print(_as_line(reading.as_json()))
    else:
        for line in in_words(text, reading):
            print(line)
    return 0


def _called_wrongly(why: str) -> int:
    print(f"wattclerk read: {why} (see: wattclerk read --help)", file=sys.stderr)
    return 2


def _corpus_line(text: str, reading: Reading, correct: str | None, why: str | None) -> dict[str, Any]:
    # Loaded when it is asked for: the request's models cost more than a reading.
    from bot.corpus_line import WHY_AS_READ, WHY_PUT_RIGHT, Correction, corpus_line, correction_of

    if correct is None:
        return corpus_line(text, Correction.of(reading), WHY_AS_READ if why is None else why)
    return corpus_line(text, correction_of(*file_given(correct)), WHY_PUT_RIGHT if why is None else why)


def in_words(text: str, reading: Reading) -> Iterator[str]:
    """The reading for people: each slot with the words it came from."""
    yield f"intent: {reading.intent}"
    stated = [("job", reading.job.stated())]
    stated += [(f"lines.{i}", line.stated()) for i, line in enumerate(reading.lines)]
    for part, slots in stated:
        for slot, value in slots.items():
            path = f"{part}.{slot}"
            span = reading.spans.get(path)
            came_from = f"   from {_shown(text[span[1] : span[2]])}" if span else ""
            yield f"{path}: {value if isinstance(value, str) else _as_line(value)}{came_from}"
    for doubt in reading.doubts:
        others = ", ".join(str(other) for other in doubt.others if other is not None)
        yield f"in doubt: {doubt.path} may {f'also be {others}' if others else 'not be meant'}: {doubt.why}"
    for fault in reading.faults:
        yield f"can't be: {fault.text}"
    for _, start, end in reading.unread:
        yield f"not understood: {_shown(text[start:end])}"


def _read_lines(stream: BinaryIO) -> int:
    all_good = True
    while raw := stream.readline(MAX_LINE_BYTES + 1):
        if len(raw) > MAX_LINE_BYTES:
            # The rest of an endless line is passed over in pieces, so that no line can fill the memory.
            while raw and not raw.endswith(b"\n"):
                raw = stream.readline(MAX_LINE_BYTES)
            out: dict[str, Any] = {"id": None, "error": f"the line is longer than {MAX_LINE_BYTES:,} bytes"}
        elif not raw.strip():
            continue
        else:
            out = _answer_line(raw)
        all_good = all_good and "error" not in out
        sys.stdout.write(_as_line(out) + "\n")
    return 0 if all_good else 1


def _answer_line(raw: bytes) -> dict[str, Any]:
    name: Any = None
    try:
        value = json.loads(raw)
        if isinstance(value, dict) and isinstance(value.get("id"), str | int | float):
            name = value["id"]
        conversation = ConversationIn.model_validate(value)
        turns, state = [], EMPTY
        for number, turn in enumerate(conversation.turns):
            state, reading = _read(state, _turn_text(turn.text), number, turn.asked)
            turns.append(reading.as_json())
    except ValidationError as error:
        return {"id": name, "error": first_fault(error)}
    except UnusableInput as error:
        return {"id": name, "error": str(error)}
    except (ValueError, RecursionError) as error:
        return {"id": name, "error": f"not JSON: {error}"}
    return {"id": conversation.id, "turns": turns}


def _read(state: State, text: str, number: int, asked: str | None = None) -> tuple[State, Reading]:
    try:
        return read_turn(state, text, number, asked)
    except CannotRead as error:
        raise UnusableInput(str(error)) from None


def _turn_text(text: str) -> str:
    """In a conversation an empty message is one that says nothing, not a slip of the command's caller."""
    return text if not text.strip() and len(text) <= MAX_TEXT_CHARS else usable_text(text)


def _as_line(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _shown(words: str) -> str:
    return '"' + " ".join(words.split()) + '"'
