"""A real submission server on loopback that keeps what it is handed, with TLS, sign-in and refusals as a test asks for them."""

import ssl
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult, Envelope, LoginPassword, Session

USER, PASSWORD = "quotes@example.org", "a password with $igns"


def certificate(folder: Path) -> tuple[Path, Path]:
    """A key and a certificate of its own for 127.0.0.1; the certificate is its own authority."""
    key, made = folder / "key.pem", folder / "certificate.pem"
    subprocess.run(
        [
            "openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "30",
            "-subj", "/CN=127.0.0.1", "-addext", "subjectAltName=IP:127.0.0.1", "-keyout", str(key), "-out", str(made),
        ],
        check=True,
        capture_output=True,
    )  # fmt: skip
    return key, made


@dataclass
class Sink:
    """What came, and what is refused.

    Attributes:
        after_data: called with the message before it is acknowledged; what it gives is the answer.
    """

    messages: list[Envelope] = field(default_factory=list)
    refused_recipients: set[str] = field(default_factory=set)
    refused_sender: bool = False
    after_data: Callable[[bytes], str] | None = None
    sessions: list[Session] = field(default_factory=list)
    port: int = 0

    async def handle_MAIL(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        if self.refused_sender:
            return "550 5.7.1 not from you"
        envelope.mail_from = address
        envelope.mail_options.extend(options)
        return "250 OK"

    async def handle_RCPT(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        if address in self.refused_recipients:
            return "550 5.1.1 no such mailbox"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        if self.after_data is not None:
            answer = self.after_data(bytes(envelope.content or b""))
            if answer == "gone":
                self.messages.append(envelope)
                assert server.transport is not None
                server.transport.abort()
                return "250 never heard"
            if not answer.startswith("250"):
                return answer
        self.messages.append(envelope)
        self.sessions.append(session)
        return "250 2.0.0 taken"


def _check(server: SMTP, session: Session, envelope: Envelope, mechanism: str, data: Any) -> AuthResult:
    right = isinstance(data, LoginPassword) and (data.login, data.password) == (
        USER.encode(),
        PASSWORD.encode(),
    )
    return AuthResult(success=right, handled=False)


@contextmanager
def sink(
    security: str = "plain", files: tuple[Path, Path] | None = None, *, limit: int = 30_000_000
) -> Iterator[Sink]:
    """Opens a sink: "plain", "starttls" or "tls"; the last two ask for a user and a password."""
    held = Sink()
    options: dict[str, Any] = {"data_size_limit": limit}
    if security != "plain":
        assert files is not None
        context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
        context.load_cert_chain(files[1], files[0])
        options |= {"authenticator": _check, "auth_required": True}
        options |= (
            {"ssl_context": context, "auth_require_tls": False}
            if security == "tls"
            else {"tls_context": context, "require_starttls": True}
        )
    controller = Controller(held, hostname="127.0.0.1", port=0, **options)
    controller.port = _free_port()
    controller.start()
    held.port = controller.port
    try:
        yield held
    finally:
        controller.stop()


def _free_port() -> int:
    import socket

    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])
