"""How mail programs put replies, forwards and signatures together. Each form was seen in practice; no source, and none is named."""

import base64
import html
import quopri
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from email.utils import format_datetime

US = "quotes@example.org"
DAN = "Dan Hale <dan.hale@example.com>"
ANA = "Ana Ríos <ana.rios@example.com>"
LEE = '"Lee Marsh (Facilities)" <lee.marsh@example.com>'
TOM = "Tom Brandt <tom.brandt@staff.example.org>"
_START = datetime(2026, 11, 23, 14, 14, tzinfo=UTC)

SIGNED = {
    "delimiter": "\n-- \nDan Hale\nHale Electric\n216-555-0148",
    "regards": "\n\nRegards,\n\nDan Hale\nProject Manager | Hale Electric LLC\nO: 216-555-0148 | C: 216-555-0149\n1200 Foundry Rd, Suite 400, Cleveland, OH 44114\nwww.hale.example.com",
    "thanks": "\n\nThanks,\nDan",
    "thanks_name": "\n\nThanks! - Dan",
    "none": "",
    "device": "\n\nSent from my phone",
    "bare": "\n\nDan Hale\nHale Electric LLC\n(216) 555-0148\ndan.hale@example.com",
    "es": "\n\nSaludos cordiales,\n\nIng. Ana Ríos\nJefa de Mantenimiento\nTel. 619-555-0177",
    "disclaimer": "\n\nBest regards,\nLee Marsh\nFacilities Manager\n\nCONFIDENTIALITY NOTICE: This e-mail and any attachments are for the sole use of the intended recipient and may contain confidential "
    "and privileged information. Any unauthorized review, use, disclosure or distribution of these 20 pages is prohibited. If you received this in error, please notify the sender and delete it.",
    "disclaimer_es": "\n\nAtentamente,\nAna Ríos\nCompras\n\nAVISO DE CONFIDENCIALIDAD: La información contenida en este correo es confidencial y para uso exclusivo del destinatario. Si lo recibió por error, notifique al remitente y elimínelo.",
    "ps": "\n\nThanks,\nDan\n\nPS: they want everything in bronze.",
}


def date_of(number: int) -> str:
    return format_datetime(_START + timedelta(minutes=37 * number))


def message(
    number: int,
    body: str | bytes,
    *,
    subject: str = "Lighting quote",
    sender: str = DAN,
    to: str = US,
    extra: Sequence[str] = (),
    kind: str = "text/plain; charset=utf-8",
    encoding: str = "8bit",
    reply: bool = False,
) -> bytes:
    """A message of one part."""
    data = body if isinstance(body, bytes) else body.encode("utf-8")
    if encoding == "base64":
        data = base64.encodebytes(data)
    elif encoding == "quoted-printable":
        data = quopri.encodestring(data)
    lines = [
        *head(number, subject, sender, to, extra, reply=reply),
        f"Content-Type: {kind}",
        f"Content-Transfer-Encoding: {encoding}",
    ]
    return "\n".join(lines).encode("utf-8") + b"\n\n" + data.rstrip(b"\n") + b"\n"


def head(
    number: int, subject: str, sender: str, to: str, extra: Sequence[str], *, reply: bool = False
) -> list[str]:
    lines = [
        f"From: {sender}",
        f"To: {to}",
        f"Subject: {subject}",
        f"Date: {date_of(number)}",
        f"Message-ID: <m{number:03d}.corpus@example.com>",
    ]
    if reply:
        lines += [
            f"In-Reply-To: <q{number:03d}@example.org>",
            f"References: <first{number:03d}@example.com> <q{number:03d}@example.org>",
        ]
    return [*lines, *extra, "MIME-Version: 1.0"]


def parts(
    number: int,
    pieces: Sequence[tuple[str, str | bytes, Sequence[str]]],
    *,
    kind: str = "multipart/mixed",
    subject: str = "Lighting quote",
    sender: str = DAN,
    to: str = US,
    extra: Sequence[str] = (),
    reply: bool = False,
) -> bytes:
    """A message of several parts: (content type, content, more headers)."""
    mark = f"part-{number:03d}"
    out = (
        "\n".join(
            [
                *head(number, subject, sender, to, extra, reply=reply),
                f'Content-Type: {kind}; boundary="{mark}"',
            ]
        ).encode()
        + b"\n\n"
    )
    out += body_of(pieces, mark)
    return out


def body_of(pieces: Sequence[tuple[str, str | bytes, Sequence[str]]], mark: str) -> bytes:
    out = b""
    for content_type, content, more in pieces:
        lines = [f"--{mark}", f"Content-Type: {content_type}", *more]
        data = content if isinstance(content, bytes) else content.encode("utf-8")
        if (
            isinstance(content, bytes)
            and not content_type.startswith(("multipart/", "message/"))
            and not any("transfer" in m.lower() for m in more)
        ):
            lines.append("Content-Transfer-Encoding: base64")
            data = base64.encodebytes(data)
        out += "\n".join(lines).encode() + b"\n\n" + data.rstrip(b"\n") + b"\n"
    return out + f"--{mark}--\n".encode()


def nested(
    pieces: Sequence[tuple[str, str | bytes, Sequence[str]]], kind: str, mark: str
) -> tuple[str, bytes, list[str]]:
    """Parts within a part."""
    return f'{kind}; boundary="{mark}"', body_of(pieces, mark), []


def alternative(number: int, plain: str, rich: str, **more: object) -> bytes:
    return parts(
        number,
        [("text/plain; charset=utf-8", plain, []), ("text/html; charset=utf-8", rich, [])],
        kind="multipart/alternative",
        **more,  # type: ignore[arg-type]
    )


def quoted(text: str, mark: str = "> ") -> str:
    return "\n".join((mark + line).rstrip() for line in text.split("\n"))


def rich(text: str) -> str:
    """Plain words as simple HTML, one block a line."""
    return "".join(f"<div>{html.escape(line) or '<br>'}</div>\n" for line in text.split("\n"))


def page(inner: str, style: str = "") -> str:
    return f'<html><head><meta http-equiv="Content-Type" content="text/html; charset=utf-8">{style}</head><body>{inner}</body></html>'


# What an earlier message of ours said: it must never be read as the job.
OLD = (
    "Hi Dan,\n\nHere is the budget figure for the 40 wall packs, 400W MH at 25 ft, 480V. It comes to $9,870 with labor.\n"
    "Do you want 3000K or 4000K?\n\nBest regards,\nInside Sales\nOxbow & Tansy Electrical Supply\n419-555-0102"
)
OLD_ES = "Hola Ana:\n\nPara las 40 luminarias de 400W el costo es de $9,870. ¿Las quiere en 3000K o 4000K?\n\nSaludos,\nVentas\nOxbow & Tansy Electrical Supply"


def wrote(kind: str = "en") -> str:
    """The line above a quote."""
    return {
        "en": "On Mon, Nov 23, 2026 at 9:14 AM Inside Sales <quotes@example.org> wrote:",
        "en_wrapped": "On Mon, Nov 23, 2026 at 9:14 AM Inside Sales at Oxbow & Tansy Electrical Supply <\nquotes@example.org> wrote:",
        "en_plain": "On 11/23/2026 9:14 AM, Inside Sales wrote:",
        "en_name": "Inside Sales wrote:",
        "es": "El lun, 23 nov 2026 a las 9:14, Inside Sales (<quotes@example.org>) escribió:",
        "es_2": "El 23/11/2026 a las 09:14, Inside Sales escribió:",
        "de": "Am 23.11.2026 um 09:14 schrieb Inside Sales <quotes@example.org>:",
        "fr": "Le lun. 23 nov. 2026 à 09:14, Inside Sales <quotes@example.org> a écrit :",
        "pt": "Em seg., 23 de nov. de 2026 às 09:14, Inside Sales <quotes@example.org> escreveu:",
        "it": "Il giorno lun 23 nov 2026 alle ore 09:14 Inside Sales <quotes@example.org> ha scritto:",
        "nl": "Op ma 23 nov 2026 om 09:14 schreef Inside Sales <quotes@example.org>:",
        "iso": "2026-11-23 9:14 GMT-05:00 Inside Sales <quotes@example.org>:",
    }[kind]


def head_block(
    kind: str = "en", who: str = "Inside Sales <quotes@example.org>", subject: str = "Lighting quote"
) -> str:
    """The head of an earlier message, as programs put it above."""
    return {
        "en": f"From: {who}\nSent: Monday, November 23, 2026 9:14 AM\nTo: Dan Hale <dan.hale@example.com>\nSubject: {subject}",
        "en_bold": f"*From:* {who}\n*Sent:* Monday, November 23, 2026 9:14 AM\n*To:* Dan Hale <dan.hale@example.com>\n*Subject:* {subject}",
        "en_cc": f"From: {who}\nSent: Monday, November 23, 2026 9:14 AM\nTo: Dan Hale <dan.hale@example.com>; Lee Marsh\n<lee.marsh@example.com>\nCc: Tom Brandt\nSubject: {subject}\nImportance: High",
        "date": f"From: {who}\nDate: Monday, November 23, 2026 at 9:14 AM\nTo: Dan Hale <dan.hale@example.com>\nSubject: {subject}",
        "es": f"De: {who}\nEnviado el: lunes, 23 de noviembre de 2026 09:14\nPara: Ana Ríos <ana.rios@example.com>\nAsunto: {subject}",
        "es_2": f"De: {who}\nFecha: lunes, 23 de noviembre de 2026, 9:14\nPara: Ana Ríos\nAsunto: {subject}",
        "de": f"Von: {who}\nGesendet: Montag, 23. November 2026 09:14\nAn: Dan Hale\nBetreff: {subject}",
        "fr": f"De : {who}\nEnvoyé : lundi 23 novembre 2026 09:14\nÀ : Dan Hale\nObjet : {subject}",
        "pt": f"De: {who}\nEnviada em: segunda-feira, 23 de novembro de 2026 09:14\nPara: Dan Hale\nAssunto: {subject}",
    }[kind]


def forward_block(kind: str, body: str, who: str = DAN, subject: str = "Lights for our lot") -> str:
    """A forwarded message with what announces it."""
    when = "Mon, Nov 23, 2026 at 9:14 AM"
    return {
        "dashes": f"---------- Forwarded message ---------\nFrom: {who}\nDate: {when}\nSubject: {subject}\nTo: <tom.brandt@staff.example.org>\n\n\n{body}",
        "begin": f"Begin forwarded message:\n\nFrom: {who}\nSubject: {subject}\nDate: November 23, 2026 at 9:14:22 AM EST\nTo: tom.brandt@staff.example.org\n\n{body}",
        "begin_quoted": "Begin forwarded message:\n\n"
        + quoted(
            f"From: {who}\nSubject: {subject}\nDate: November 23, 2026 at 9:14:22 AM EST\nTo: tom.brandt@staff.example.org\n\n{body}"
        ),
        "long_dashes": f"-------- Forwarded Message --------\nSubject: \t{subject}\nDate: \t{when}\nFrom: \t{who}\nTo: \ttom.brandt@staff.example.org\n\n\n\n{body}",
        "head": f"From: {who}\nSent: Monday, November 23, 2026 9:14 AM\nTo: Tom Brandt <tom.brandt@staff.example.org>\nSubject: {subject}\n\n{body}",
        "rule": f"________________________________\nFrom: {who}\nSent: Monday, November 23, 2026 9:14 AM\nTo: Tom Brandt\nSubject: {subject}\n\n{body}",
        "original": f"-----Original Message-----\nFrom: {who}\nSent: Monday, November 23, 2026 9:14 AM\nTo: Tom Brandt\nSubject: {subject}\n\n{body}",
        "es": f"---------- Mensaje reenviado ---------\nDe: {who}\nFecha: lun, 23 nov 2026 a las 9:14\nAsunto: {subject}\nPara: <tom.brandt@staff.example.org>\n\n{body}",
        "es_head": f"De: {who}\nEnviado: lunes, 23 de noviembre de 2026 9:14\nPara: Tom Brandt\nAsunto: {subject}\n\n{body}",
        "de": f"-------- Weitergeleitete Nachricht --------\nBetreff: {subject}\nDatum: Mon, 23 Nov 2026 09:14:00\nVon: {who}\nAn: tom.brandt@staff.example.org\n\n{body}",
    }[kind]
