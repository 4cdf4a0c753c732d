"""``wattclerk quote``: a text or a job in, a computed quote out; kept for explaining where asked."""

import argparse
import json
import sys
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from pydantic import ValidationError

from bot.assistant import Turn
from bot.commands.answering import answered, assistant_of, paths_given
from bot.commands.text_in import file_given, text_given
from bot.faults import first_fault
from bot.replies import quote_json, render
from bot.usable import UnusableInput
from engine.light.photometry import Photometry
from engine.request import Request


def run(arguments: argparse.Namespace) -> int:
    """Prints the quote; where none can be made, the answer that says why."""
    if arguments.job is not None and arguments.text is not None:
        print(
            "wattclerk quote: give a text or --job FILE, not both (see: wattclerk quote --help)",
            file=sys.stderr,
        )
        return 2
    if arguments.save and arguments.existing_photometry:
        print(
            "wattclerk quote: a quote with --existing-photometry can't be kept: leave --save out (see: wattclerk quote --help)",
            file=sys.stderr,
        )
        return 2
    if arguments.seller is not None and arguments.pdf is None:
        print(
            "wattclerk quote: --seller goes with --pdf FILE (see: wattclerk quote --help)",
            file=sys.stderr,
        )
        return 2
    own = _own_light(arguments.existing_photometry)
    assistant = assistant_of(arguments)
    if own:
        assistant = replace(assistant, own_light=own)
    if arguments.job is not None:
        turn = assistant.quote(job_given(arguments.job))
    else:
        turn = answered(text_given(arguments.text), assistant)
    _refuse_light_of_no_line(own, turn)
    if turn.quote is None and (arguments.json or arguments.pdf is not None):
        raise UnusableInput(_why_no_quote(turn))
    if turn.quote is not None and arguments.json:
        public = quote_json(turn.quote, turn.reading)
        print(json.dumps(public, ensure_ascii=False, allow_nan=False))
    else:
        print(render(turn.quote, turn.reading, "terminal", turn.reading.language, turn.conversation.texts))
    if arguments.pdf is not None:
        _write_pdf(turn, arguments)
    if arguments.save and turn.quote is not None:
        _keep(turn, arguments)
    return 0


def _own_light(arguments: Sequence[str]) -> dict[int, Photometry]:
    """Photometric files of what hangs there now, by index of the line: FILE is line 1's, 2=FILE line 2's.

    Raises:
        engine.errors.WattclerkError: one can't be opened or trusted; the line is named.
        UnusableInput: two for one line.
    """
    found: dict[int, Photometry] = {}
    if arguments:
        from bot.commands.light import open_photometry

        for argument in arguments:
            number, equals, name = argument.partition("=")
            numbered = bool(equals) and number.isascii() and number.isdigit() and 0 < len(number) < 5
            index = int(number) - 1 if numbered else 0
            if index in found or index < 0:
                raise UnusableInput(
                    f"--existing-photometry {argument}: one file for each line, from line 1 on"
                )
            found[index] = open_photometry(Path(name if numbered else argument))
    return found


def _refuse_light_of_no_line(own: Mapping[int, Photometry], turn: Turn) -> None:
    """Refuses a photometric file whose line is not there.

    Raises:
        UnusableInput: the job has fewer lines.
    """
    count = len(turn.reading.lines)
    if own and max(own) >= count:
        raise UnusableInput(
            f"--existing-photometry for line {max(own) + 1}: the job has {count} line{'' if count == 1 else 's'}"
        )


def job_given(argument: str) -> Request:
    """The job of a file, or of standard input.

    Raises:
        UnusableInput: no such file, not JSON, or a slot that can't be; the line names the slot.
    """
    text, name = file_given(argument)
    return request_of(text, name)


def request_of(text: str, name: str) -> Request:
    """The request that a JSON text holds; of a whole reading, only ``job``, ``lines``, ``context`` and ``light`` are taken.

    Raises:
        UnusableInput: not JSON, not an object, or a slot that can't be.
    """
    try:
        value = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise UnusableInput(f"{name}: not JSON: {error}") from None
    if not isinstance(value, dict) or not ({"job", "lines"} & value.keys()):
        raise UnusableInput(f'{name}: a job looks like {{"job": {{...}}, "lines": [{{...}}]}}')
    wanted = {key: value[key] for key in ("job", "lines", "context", "light") if value.get(key) is not None}
    try:
        return Request.model_validate_json(json.dumps(wanted))
    except ValidationError as error:
        raise UnusableInput(f"{name}: {first_fault(error)}") from None


def _why_no_quote(turn: Turn) -> str:
    return render(None, turn.reading, "sms", turn.reading.language, turn.conversation.texts)


def _write_pdf(turn: Turn, arguments: argparse.Namespace) -> None:
    """Writes the quote as a document.

    Raises:
        UnusableInput: there is nothing to put into one, it can't be made, or the file can't be written.
    """
    from bot.clock import utc_now
    from bot.commands.draft import own_addresses
    from bot.documents.material import Head
    from bot.documents.quote_pdf import quote_pdf
    from bot.documents.typesetting import DocumentFailed

    if turn.quote is None or turn.quote.stop is not None or not turn.quote.lines:
        raise UnusableInput("--pdf: nothing is quoted, so there is no document to write")
    seller = own_addresses([arguments.seller], "--seller")[0] if arguments.seller is not None else None
    head = Head(
        seller=seller.name if seller is not None else "",
        contact=(seller.mailbox,) if seller is not None else (),
        good_until=(utc_now() + timedelta(days=int(arguments.valid_days))).date(),
    )
    try:
        made = quote_pdf(turn.quote, turn.reading, turn.reading.language, turn.conversation.texts, head)
        Path(arguments.pdf).write_bytes(made)
    except DocumentFailed as error:
        raise UnusableInput(f"--pdf: the document can't be made: {error}") from None
    except OSError as error:
        raise UnusableInput(f"--pdf: {arguments.pdf} can't be written: {error.strerror}") from None


def _keep(turn: Turn, arguments: argparse.Namespace) -> None:
    """Keeps the quote and says under which id."""
    from bot.settings import load_settings
    from bot.store.kept import keep_quote
    from bot.store.opened import open_store

    settings = load_settings(**paths_given(arguments))
    store = open_store(settings)
    try:
        name = keep_quote(settings, store, turn)
    finally:
        store.close()
    print(
        f"kept as {name}; show the working of a figure with: wattclerk explain {name} FIGURE", file=sys.stderr
    )
