"""``wattclerk person``: what is kept about a customer, taken out or erased; and what is old, erased."""

import argparse
import json
import sys
from datetime import timedelta
from pathlib import Path

from bot.clock import stamp, utc_now
from bot.commands.staff import BY
from bot.settings import load_settings
from bot.staff import privacy
from bot.store.erasing import Erased
from bot.store.opened import open_kept
from bot.store.protocol import Store
from bot.usable import UnusableInput


def run(arguments: argparse.Namespace) -> int:
    """Exports, erases or purges."""
    store = open_kept(load_settings())
    try:
        if arguments.act == "purge":
            return _purge(store, arguments)
        kind, value = _asked(arguments)
        with store.snapshot() as session:
            found = privacy.found(session.connection, kind, value)
        if not found:
            raise UnusableInput(
                "nothing is kept about them: check how it is written, or look in the staff's pages"
            )
        return (
            _export(store, found, kind, arguments)
            if arguments.act == "export"
            else _erase(store, found, kind, arguments)
        )
    finally:
        store.close()


def _asked(arguments: argparse.Namespace) -> tuple[privacy.Kind, str]:
    for kind in privacy.KINDS:
        value: str | None = getattr(arguments, kind)
        if value is not None:
            return kind, value
    raise UnusableInput("say whose: --conversation, --sender or --customer")


def _export(store: Store, found: list[str], kind: privacy.Kind, arguments: argparse.Namespace) -> int:
    at = stamp(utc_now())
    with store.snapshot() as session:
        whole = privacy.taken_out(session.connection, found, at)
    text = json.dumps(whole, ensure_ascii=False, indent=1) + "\n"
    if arguments.output is None:
        sys.stdout.write(text)
    else:
        _write(Path(arguments.output), text)
        print(f"{len(found)} conversations and mails are in {arguments.output}.")
    with store.transaction() as session:
        privacy.note(session.connection, BY, "exported", kind, at)
    return 0


def _write(path: Path, text: str) -> None:
    try:
        # What it holds is for one person only.
        path.touch(mode=0o600)
        path.write_text(text, "utf-8")
    except OSError as error:
        raise UnusableInput(f"{path}: can't be written ({error.strerror})") from None


def _erase(store: Store, found: list[str], kind: privacy.Kind, arguments: argparse.Namespace) -> int:
    if not arguments.yes:
        raise UnusableInput(
            f"this would erase {len(found)} conversations and mails for good: say so with --yes"
        )
    at, done = stamp(utc_now()), Erased()
    for first in range(0, len(found), privacy.TOGETHER):
        with store.transaction() as session:
            done += privacy.erased(session.connection, found[first : first + privacy.TOGETHER], at)
    with store.transaction() as session:
        privacy.note(session.connection, BY, "erased", kind, at)
    store.sweep()
    _tell(done)
    return 0


def _purge(store: Store, arguments: argparse.Namespace) -> int:
    now = utc_now()
    at, before = stamp(now), stamp(now - timedelta(days=arguments.older_than))
    if not arguments.yes:
        raise UnusableInput(
            f"this would erase what nobody has touched since {before[:10]} for good: say so with --yes"
        )
    done = Erased()
    while True:
        with store.transaction() as session:
            some = privacy.purge_some(session.connection, before, at)
        if some == Erased():
            break
        done += some
    with store.transaction() as session:
        privacy.note(session.connection, BY, "purged", f"before {before[:10]}", at)
    store.sweep()
    _tell(done)
    return 0


def _tell(done: Erased) -> None:
    print(
        f"Erased: {done.conversations} conversations with {done.messages} messages and {done.replies} replies;"
        f" {done.mails} mails of the mail desk; {done.quotes_cleared} quotes stay in the books without names."
        " Backups and the mailbox itself are not touched."
    )
