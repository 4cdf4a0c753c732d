"""A draft's HTML as a page shows it, out of the draft's bytes: its pictures within it, nothing asked from elsewhere."""

import base64
import email
import email.policy
import html
from email.message import EmailMessage
from typing import Final

MOST_SHOWN: Final = 4_000_000
"""Bytes of a draft's HTML with its pictures."""


def draft_as_html(draft: bytes) -> str:
    """The HTML of a draft that `bot.mail.composing` made; its plain text where it has no HTML."""
    message = email.message_from_bytes(draft, policy=email.policy.default)
    assert isinstance(message, EmailMessage)  # noqa: S101  the policy makes these
    body = message.get_body(("html",))
    if body is None:
        plain = message.get_body(("plain",))
        return f"<pre>{html.escape(str(plain.get_content()) if plain is not None else '')}</pre>"
    shown = str(body.get_content())
    for part in message.walk():
        name = str(part["Content-ID"] or "").strip("<> ")
        if not name or part.get_content_maintype() != "image":
            continue
        data = part.get_payload(decode=True)
        if isinstance(data, bytes) and len(shown) + 4 * len(data) // 3 < MOST_SHOWN:
            kind = "png" if data.startswith(b"\x89PNG") else "jpeg"
            shown = shown.replace(
                f"cid:{name}", f"data:image/{kind};base64,{base64.b64encode(data).decode()}"
            )
    return shown
