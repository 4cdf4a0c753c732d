"""The quote as a file of the draft."""

from collections.abc import Sequence
from datetime import date

from bot.assistant import Turn
from bot.documents.material import Head
from bot.documents.quote_pdf import PDF, file_name, quote_pdf
from bot.mail.composing import File
from bot.mail.headers import Address
from bot.replies.draft import Cover, said_point
from bot.replies.words import words_in


def quote_file(
    turn: Turn, texts: Sequence[str], cover: Cover, sender: Address | None, to: Address, good_until: date
) -> File:
    """The PDF of a turn that has a quote. What staff are told is not in it.

    Raises:
        bot.documents.typesetting.DocumentFailed: it could not be made.
    """
    language = turn.reading.language
    words = words_in(language)
    head = Head(
        seller=sender.name if sender is not None else "",
        contact=(sender.mailbox,) if sender is not None else (),
        customer=to.name,
        good_until=good_until,
        read=tuple(said_point(point, words) for point in cover.read),
        left_out=tuple(said_point(point, words) for point in cover.left_out),
    )
    assert turn.quote is not None  # noqa: S101  the caller has looked
    return File(file_name(language), PDF, quote_pdf(turn.quote, turn.reading, language, texts, head))
