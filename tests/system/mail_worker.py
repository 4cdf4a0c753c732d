"""The mail watcher in processes of their own that can be ended, halted or told to die at any step; and what came of it.

Processes are forked from one that has everything loaded, so that hundreds of them can be killed.
"""

import os
import random  # noqa: TID251  which mail comes when
import signal
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from functools import cache
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Final

from bot.assistant import Assistant
from bot.clock import stamp, utc_now
from bot.mail.desk import MailDesk
from bot.mail.imap.account import MailboxUnusable, account_in
from bot.mail.imap.connection import KEYWORDS
from bot.mail.imap.watcher import Watcher
from bot.mail.imap.worker import Worker
from bot.opening import open_assistant
from bot.settings import Settings, load_settings
from bot.store.opened import open_store
from tests.dovecot import PASSWORD, Lying, MailServer
from tests.system import forks

STEPS: Final = (
    "found",
    "taken",
    "fetched",
    "answered",
    "decided",
    "laying",
    "appended",
    "settled",
    "tagged",
    "noted",
)
"""Where a process can be ended, in the order in which it comes by."""


@cache
def assistant() -> Assistant:
    """Over the demo shop; read where it is first asked for, which is before the forks."""
    return open_assistant()


def environment(server: MailServer, user: str, folder: Path, **more: str) -> dict[str, str]:
    """Settings of a watcher of that user's mailbox."""
    return {
        "WATTCLERK_DATA_FOLDER": str(folder / "data"),
        "WATTCLERK_IMAP_URL": f"imap://{user}@127.0.0.1:{server.imap}",
        "WATTCLERK_IMAP_PASSWORD": PASSWORD,
        "WATTCLERK_IMAP_PLAIN": "yes",
        "WATTCLERK_MAIL_OWN": "Counter <quotes@example.test>",
    } | more


def watcher_of(
    environ: Mapping[str, str], settings: Settings, step: Callable[[str], None], **changes: object
) -> tuple[Watcher, object]:
    store = open_store(settings)
    store.watch()
    account = account_in(load_settings(environ))
    worker = Worker(store, MailDesk(assistant(), account.own).answer, utc_now, step)
    return Watcher(account, worker, **changes), store  # type: ignore[arg-type]


def watch(
    environ: Mapping[str, str], at: str = "", nth: int = 1, end: int = signal.SIGKILL, once: bool = False
) -> None:
    """What a process does: watches, and sends itself a signal where it comes by step ``at`` for the ``nth`` time."""
    left = nth

    def step(name: str) -> None:
        nonlocal left
        if name == at:
            left -= 1
            if left == 0:
                os.kill(os.getpid(), end)

    watcher, store = watcher_of(environ, load_settings(environ), step, pauses=(0.1, 0.2, 0.5))
    with closing(store):  # type: ignore[type-var]
        signal.signal(signal.SIGTERM, lambda *_: watcher.stop())
        try:
            mailbox = watcher.connect()
        except MailboxUnusable:
            # The server is being started anew; somebody starts us anew.
            raise SystemExit(1) from None
        if once:
            watcher.once(mailbox)
        else:
            watcher.run(mailbox)


def started(environ: Mapping[str, str], at: str = "", **named: object) -> BaseProcess:
    """A process that watches."""
    return forks.forked(watch, dict(environ), at, **named)


def ended(process: BaseProcess) -> int | None:
    """How it ended; a process that does not is killed."""
    return forks.ended(process, "the watcher", 30)


# Mails

REQUESTS: Final = (
    "Hi,\r\n\r\ntwelve 250W wallpacks at 20 ft, $0.11/kWh, dusk to dawn. What would LED cost us?\r\n\r\nThanks\r\nDan",
    "need price on 8 400w metal halide shoebox heads on 25' poles in toledo, 480v, bronze",
    "cuanto por 10 wallpacks de 175w, 15 pies, toda la noche?",
)
URGENT: Final = "One of the pole lights is sparking and smoking right now, somebody got a shock. Help!"


@dataclass(frozen=True)
class Sent:
    """A mail, and what has to become of it."""

    name: str
    verdict: str
    data: bytes


def mail(number: int, kind: str = "draft", *, padding: int = 0) -> Sent:
    """A mail that no other number gives."""
    name = f"m{number}.{kind}@example.com"
    text = (
        REQUESTS[number % len(REQUESTS)] if kind == "draft" else URGENT if kind == "human" else "I am away."
    )
    extra = "Auto-Submitted: auto-replied\r\n" if kind == "none" else ""
    head = (
        f"From: Dan Hale <dan{number}@example.com>\r\nTo: quotes@example.test\r\nSubject: Lights, job {number}\r\n"
        f"Date: Thu, 26 Nov 2026 08:00:00 +0000\r\nMessage-ID: <{name}>\r\n{extra}\r\n"
    )
    return Sent(name, kind, (head + text + "\r\n" + "x" * padding + "\r\n").encode())


def mails(count: int, seed: int = 1) -> list[Sent]:
    """Requests mostly, some for a person, some that are owed nothing."""
    chosen = random.Random(seed)  # noqa: S311  a mixture, no secret
    kinds = chosen.choices(("draft", "human", "none"), (7, 2, 1), k=count)
    return [mail(number, kind) for number, kind in enumerate(kinds)]


# What came of it


@dataclass
class Outcome:
    """What came of mails.

    Attributes:
        faults: how often the fault was injected.
        untagged: mails without their one tag.
        wrong: what else is not as it has to be.
    """

    name: str
    mails: int = 0
    drafts: int = 0
    faults: int = 0
    lost: int = 0
    doubled: int = 0
    untagged: int = 0
    wrong: list[str] = field(default_factory=list)

    @property
    def clean(self) -> bool:
        return self.mails > 0 and not (self.lost or self.doubled or self.untagged or self.wrong)

    def __str__(self) -> str:
        return (
            f"{self.name:<46} faults {self.faults:>4}  mails {self.mails:>5}  drafts {self.drafts:>5}"
            f"  lost {self.lost}  doubled {self.doubled}  untagged {self.untagged}"
            f"  {'; '.join(dict.fromkeys(self.wrong)) or 'all else as it has to be'}"
        )


def parent_of(draft: Lying) -> str:
    found = message_from_bytes(draft.data, policy=policy.default)
    return str(found["In-Reply-To"] or "").strip("<> ")


def outcome(
    name: str,
    server: MailServer,
    user: str,
    settings: Settings,
    sent: Sequence[Sent],
    faults: int = 0,
    *,
    copies: int = 1,
) -> Outcome:
    """Counts what is in Drafts, on the mails and in the store, against what has to be; each mail lies there ``copies`` times."""
    drafts, inbox = server.lying(user, "Drafts"), server.lying(user, "INBOX")
    by_parent = Counter(parent_of(draft) for draft in drafts)
    out = Outcome(name, len(sent), len(drafts), faults)
    wanted = {each.name for each in sent if each.verdict == "draft"}
    out.lost = sum(by_parent[each] == 0 for each in wanted)
    out.doubled = sum(by_parent[each] - 1 for each in wanted if by_parent[each] > 1)
    if others := set(by_parent) - wanted:
        out.wrong.append(f"{len(others)} drafts that nobody is owed")
    if any(not {"\\Draft", "\\Seen"} <= draft.flags or b"X-Unsent: 1" not in draft.data for draft in drafts):
        out.wrong.append("a draft without its marks")
    names = {verdict: keyword.decode() for verdict, keyword in KEYWORDS.items()}
    by_id = {each.name: each for each in sent}
    for lying in inbox:
        found = message_from_bytes(lying.data, policy=policy.default)
        each = by_id[str(found["Message-ID"]).strip("<> ")]
        tags = lying.flags & set(names.values())
        out.untagged += tags != {names[each.verdict]}
        if "\\Seen" in lying.flags:
            out.wrong.append("a mail was marked as read")
    if len(inbox) != copies * len(sent):
        out.wrong.append(f"{len(inbox)} mails lie in INBOX")
    store = open_store(settings)
    with closing(store), store.snapshot() as session:
        kept = session.latest_mails(None, 100_000)
        if Counter(k.decision for k in kept) != Counter(each.verdict for each in sent):
            wrong = [k.reason for k in kept if k.decision != by_id[k.message_id].verdict]
            out.wrong.append(f"the store knows {Counter(k.decision for k in kept)}: {wrong[:3]}")
        out.wrong.extend(
            f"a mail is not settled in the store: {k.state}, {k.attempts} attempts, {k.trouble or 'no trouble'},"
            f" due {k.next_try_at}"
            for k in kept
            if k.state != "settled" or k.trouble
        )
        by_draft = {parent_of(draft): draft.data for draft in drafts}
        for k in kept:
            if k.decision == "draft" and session.mail_draft(k.number) != by_draft.get(k.message_id):
                out.wrong.append("a draft is not the one that is kept")
    return out


def settled(settings: Settings) -> int:
    """How many mails are settled."""
    store = open_store(settings)
    with closing(store), store.snapshot() as session:
        return session.mail_counts().get("settled", 0)


def waits(settings: Settings) -> bool:
    """Whether a mail waits for its next try, which is still to come."""
    store = open_store(settings)
    with closing(store), store.snapshot() as session:
        due = session.next_mail_due()
    return due is not None and due > stamp(utc_now())
