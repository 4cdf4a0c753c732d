"""Quotes outside of conversations: kept for the command line, made again as they were, revised where prices changed."""

import hashlib
from dataclasses import dataclass

from bot.answering import digest_before, draft_of
from bot.assistant import Turn
from bot.clock import stamp, utc_now
from bot.contents import Versions, assistant_at
from bot.inbox import new_secret
from bot.json_bytes import json_bytes
from bot.replies import quote_json
from bot.settings import Settings
from bot.store.catalogue import open_served, read_files
from bot.store.figures import Traces
from bot.store.protocol import Store
from bot.store.records import KeptQuote
from bot.usable import UnusableInput
from bot.versions import program_version
from engine.request import Request


@dataclass(frozen=True, slots=True)
class MadeAgain:
    """A kept quote, made again from what it was made from.

    Attributes:
        body: the public quote's bytes, as they come out now.
        same: whether quote and figures are what was kept, byte for byte.
        program: that is running. ``then``: that made it.
    """

    body: bytes
    same: bool
    program: str
    then: Versions


def keep_quote(settings: Settings, store: Store, turn: Turn) -> str:
    """Keeps the quote of ``turn`` and gives the id that it can be asked for by.

    Raises:
        bot.store.records.StoreUnusable: the store can't be written.
    """
    served = open_served(settings, read_files(settings), store)
    name = new_secret()
    with store.transaction() as session:
        session.keep_quote(name, draft_of(turn, served.versions), stamp(utc_now()))
    return name


def kept_quote(store: Store, name: str) -> KeptQuote:
    """The quote of that id.

    Raises:
        UnusableInput: none is kept.
    """
    with store.snapshot() as session:
        kept = session.quote(name)
    if kept is None:
        raise UnusableInput(f"no quote {name!r} is kept here: keep one with quote --save")
    return kept


def made_again(store: Store, kept: KeptQuote) -> MadeAgain:
    """A kept quote from the catalogue, tables, terms and tariff that it was made from, not from today's.

    Raises:
        UnusableInput: it was kept by a version that did not keep what it was made from.
        engine.errors.WattclerkError: this program takes something of that no longer.
    """
    if kept.versions is None:
        raise UnusableInput(
            f"quote {kept.id} was kept by a version before 0.2, which did not keep the catalogue that it was made from:"
            " its figures are kept and can be explained, but not made again"
        )
    with store.snapshot() as session:
        assistant = assistant_at(kept.versions, session.piece)
    turn = assistant.quote(Request.model_validate(kept.request), kept.language)
    assert turn.quote is not None  # noqa: S101  it was one
    body = json_bytes(quote_json(turn.quote, turn.reading))
    return MadeAgain(body, _same(turn, body, kept, kept.versions), program_version(), kept.versions)


def _same(turn: Turn, body: bytes, kept: KeptQuote, versions: Versions) -> bool:
    if "rows" in kept.figures:
        return kept.digest in (draft_of(turn, versions).digest, digest_before(turn))
    assert turn.quote is not None  # noqa: S101  the caller looked
    figures = json_bytes(Traces.of(turn.quote).as_json())
    return hashlib.sha256(body).hexdigest() == kept.digest and figures == json_bytes(kept.figures)


def revised(settings: Settings, store: Store, kept: KeptQuote) -> str | None:
    """The job of a kept quote at today's catalogue, tables, terms and tariff, kept as its next revision; gives its id.

    ``None`` where nothing came out differently.

    Raises:
        bot.store.records.StoreUnusable: the store can't be written.
        UnusableInput: it has a later revision.
    """
    served = open_served(settings, read_files(settings), store)
    turn = served.assistant.quote(Request.model_validate(kept.request), kept.language)
    assert turn.quote is not None  # noqa: S101  it was one
    draft = draft_of(turn, served.versions)
    name = new_secret()
    with store.transaction() as session:
        if later := session.revisions_of(kept.id):
            raise UnusableInput(f"quote {kept.id} was revised already: revise {later[-1]}")
        if kept.digest in (draft.digest, digest_before(turn)):
            return None
        session.keep_quote(
            name,
            draft,
            stamp(utc_now()),
            conversation=kept.conversation,
            revises=kept.id,
            revision=kept.revision + 1,
        )
    return name
