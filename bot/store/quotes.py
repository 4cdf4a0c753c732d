"""Quotes, and what they are made from, by the hash of its content."""

import zlib
from collections.abc import Mapping

from bot.contents import Versions
from bot.store.quote_body import whole_of
from bot.store.records import DraftQuote, KeptQuote, KeptTurn
from bot.store.statements import Row, Statements


class Quotes(Statements):
    """The part of a session about quotes."""

    def _keep_in_talk(
        self, conversation: str, last: str | None, turn: KeptTurn, quote: DraftQuote, at: str
    ) -> str:
        earlier = None
        if last is not None:
            earlier = self._one("select digest, revision, catalogue, tables, terms, tariff, program from quotes where id = ?", last)  # fmt: skip
        if last is not None and earlier is not None and quote.goes_on and _same(earlier, quote):
            return last
        assert turn.quote_id is not None  # noqa: S101  the caller made one
        goes_on = earlier is not None and quote.goes_on
        self.keep_quote(
            turn.quote_id,
            quote,
            at,
            conversation=conversation,
            revises=last if goes_on else None,
            revision=earlier[1] + 1 if goes_on and earlier is not None else 1,
        )
        return turn.quote_id

    def keep_quote(
        self,
        name: str,
        quote: DraftQuote,
        at: str,
        *,
        conversation: str | None = None,
        revises: str | None = None,
        revision: int = 1,
    ) -> None:
        """Keeps a quote under an id that can't be guessed."""
        v = quote.versions
        self._run(
            "insert into quotes (id, conversation, made_at, language, revises, revision, program, catalogue, tables, terms,"
            " tariff, digest, body) values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            name, conversation, at, quote.language, revises, revision, v.program, v.catalogue, v.tables, v.terms,
            v.tariff, quote.digest, quote.body,
        )  # fmt: skip

    def quote(self, name: str) -> KeptQuote | None:
        """The quote of that id."""
        row = self._one(
            "select made_at, language, body, program, catalogue, tables, terms, tariff, digest, revision, revises, conversation,"
            " erased_at from quotes where id = ?",
            name,
        )
        if row is None:
            return None
        body = whole_of(row[2])
        return KeptQuote(
            id=name,
            made_at=row[0],
            language=row[1],
            request=body["request"],
            quote=body["quote"],
            figures=body["figures"],
            reading=body.get("reading"),
            versions=None if row[3] is None else Versions(*row[3:8]),
            digest=row[8],
            revision=row[9],
            revises=row[10],
            conversation=row[11],
            erased_at=row[12],
        )

    def revisions_of(self, name: str) -> list[str]:
        """The quotes that were made to stand in for this one."""
        return [
            row[0]
            for row in self._rows("select id from quotes where revises = ? order by revision, id", name)
        ]

    def keep_pieces(self, pieces: Mapping[str, bytes]) -> None:
        """Keeps pieces that are not kept yet."""
        for name, body in pieces.items():
            self._run(
                "insert into pieces (hash, body) values (?, ?) on conflict (hash) do nothing",
                name,
                zlib.compress(body, 6),
            )

    def piece(self, name: str) -> bytes:
        """The bytes of a hash.

        Raises:
            KeyError: it is not kept.
        """
        row = self._one("select body from pieces where hash = ?", name)
        if row is None:
            raise KeyError(name)
        return zlib.decompress(row[0])

    def catalogue_root(self, sheets: str) -> str | None:
        """The root of the catalogue that was imported from these sheets."""
        row = self._one("select root from catalogues where sheets = ?", sheets)
        return None if row is None else row[0]

    def keep_catalogue_root(self, sheets: str, root: str, at: str) -> None:
        """Notes which catalogue came of these sheets."""
        self._run(
            "insert into catalogues (sheets, root, imported_at) values (?, ?, ?) on conflict (sheets) do nothing",
            sheets, root, at,
        )  # fmt: skip


def _same(row: Row, quote: DraftQuote) -> bool:
    v = quote.versions
    return tuple(row[0:1]) + tuple(row[2:7]) == (
        quote.digest, v.catalogue, v.tables, v.terms, v.tariff, v.program,
    )  # fmt: skip
