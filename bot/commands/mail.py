"""``wattclerk mail``: watches an IMAP folder and lays a draft beside every mail that is owed one, until it is told to stop."""

import argparse
import signal
from contextlib import closing
from typing import Final

from bot.clock import utc_now
from bot.commands.answering import paths_given
from bot.mail.desk import MailDesk
from bot.mail.imap.account import Account, account_in
from bot.mail.imap.connection import Mailbox
from bot.mail.imap.watcher import Watcher
from bot.mail.imap.worker import Worker
from bot.opening import open_assistant
from bot.settings import Settings, load_settings
from bot.store.opened import open_store
from bot.watch.logs import set_up_logs

OUTCOMES: Final = (("draft", "drafted"), ("human", "left to a person"), ("none", "owed no answer"))


def run(arguments: argparse.Namespace) -> int:
    """Watches; returns when it was told to stop, or after one look."""
    settings = load_settings(**paths_given(arguments))
    set_up_logs(settings.log_level, settings.log_form)
    account = account_in(settings)
    # First, since it is what most often is not right yet.
    mailbox = Mailbox(account)
    desk = desk_of(settings, account)
    with closing(open_store(settings)) as store:
        store.watch()
        watcher = Watcher(account, Worker(store, desk.answer, utc_now))
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, lambda *_: watcher.stop())
        if arguments.once:
            watcher.once(mailbox)
        else:
            _announce(account, mailbox, settings)
            watcher.run(mailbox)
        with store.snapshot() as session:
            troubled = session.mails_in_trouble()
    told = ", ".join(f"{watcher.seen[verdict]} {words}" for verdict, words in OUTCOMES)
    print(f"Mails seen to: {told}." + (f" To be tried again: {troubled}." if troubled else ""), flush=True)
    return 0


def desk_of(settings: Settings, account: Account) -> MailDesk:
    """The desk that answers for a mailbox.

    Raises:
        engine.errors.ConfigurationError: a catalogue, tables, terms or a tariff can't be used.
    """
    assistant = open_assistant(settings.catalogue, settings.tables, settings.terms, settings.tariff)
    return MailDesk(assistant, account.own)


def _announce(account: Account, mailbox: Mailbox, settings: Settings) -> None:
    how = "told of new mail" if mailbox.idles else f"looked at every {account.poll_seconds} seconds"
    print(f"Watching {account.folder} of {account.name}, {how}. Drafts go to {mailbox.drafts}.", flush=True)
    if not mailbox.takes_keywords:
        print(
            "The server takes no keywords: which mails were seen to is kept in the store alone.", flush=True
        )
    print(f"What became of each mail is kept in {settings.place}. Stop with Ctrl-C.", flush=True)
