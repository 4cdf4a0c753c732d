"""``wattclerk draft``: one message in, one draft reply out; or one line about each of many."""

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from bot.clock import utc_now
from bot.commands.answering import assistant_of
from bot.mail.bounds import MOST_BYTES
from bot.mail.desk import Answer, MailDesk
from bot.mail.headers import Address, addresses_in
from bot.usable import UnusableInput


def run(arguments: argparse.Namespace) -> int:
    """Prints the draft, or says on standard error why there is none."""
    if arguments.files and not arguments.json:
        print(
            "wattclerk draft: FILE goes with --json; one message is read from standard input (see: wattclerk draft --help)",
            file=sys.stderr,
        )
        return 2
    desk = MailDesk(
        assistant_of(arguments), own_addresses(arguments.own or []), with_pdf=not arguments.without_pdf
    )
    if arguments.files:
        return _many(desk, arguments.files)
    data = sys.stdin.buffer.read(MOST_BYTES + 1)
    if not data.strip():
        raise UnusableInput("the message is empty: give one .eml file on standard input, headers and all")
    answer = desk.answer(data, utc_now(), composing=not arguments.json)
    if arguments.json:
        print(_as_line(public(answer)))
        return 0
    if answer.draft is None:
        print(f"{answer.decision.reply}: {answer.decision.reason}", file=sys.stderr)
        return 0
    sys.stdout.flush()
    sys.stdout.buffer.write(answer.draft)
    return 0


def own_addresses(given: list[str], option: str = "--own") -> tuple[Address, ...]:
    """Our own addresses: "quotes@example.com" or "Counter <quotes@example.com>".

    Raises:
        UnusableInput: one is no address.
    """
    out: list[Address] = []
    for text in given:
        found = addresses_in(text)
        if len(found) != 1:
            raise UnusableInput(f"{option} {text!r} is no mail address: write it like quotes@example.com")
        out.append(found[0])
    return tuple(out)


def public(answer: Answer) -> dict[str, Any]:
    """What ``--json`` prints; the reading's ``text`` is what its offsets are into."""
    return {
        "reply": answer.decision.reply,
        "reason": answer.decision.reason,
        "reading": {**answer.reading.as_json(), "text": answer.text},
    }


def _many(desk: MailDesk, files: list[str]) -> int:
    status = 0
    for name in files:
        try:
            with Path(name).open("rb") as file:
                data = file.read(MOST_BYTES + 1)
        except OSError as error:
            print(_as_line({"file": name, "error": f"it can't be read: {error.strerror}"}), flush=True)
            status = 1
            continue
        print(_as_line({"file": name, **public(desk.answer(data, utc_now(), composing=False))}))
    return status


def _as_line(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)
