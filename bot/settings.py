"""What an operator can set: one frozen model, filled from the environment, a TOML file and defaults, in that order.

Every setting has a name in lower case in the file (``port = 8080``) and in upper case behind ``WATTCLERK_`` in the
environment (``WATTCLERK_PORT=8080``). ``WATTCLERK_SETTINGS`` names the file. Nothing is read at import. A name that is
none of a setting is refused: a misspelt one must not silently leave a door open.
"""

import os
import tomllib
from collections.abc import Callable, Iterable, Mapping
from difflib import get_close_matches
from ipaddress import IPv4Network, IPv6Network, ip_address, ip_network
from pathlib import Path
from typing import Annotated, Any, Final, Literal
from urllib.parse import urlsplit

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    SecretStr,
    ValidationError,
    model_validator,
)

from engine.errors import ConfigurationError

PREFIX: Final = "WATTCLERK_"
FILE_VARIABLE: Final = "WATTCLERK_SETTINGS"
OTHER_VARIABLES: Final = frozenset(
    {
        FILE_VARIABLE,
        "WATTCLERK_PYTHON",
        "WATTCLERK_CHROMIUM",
        "WATTCLERK_ARTIFACTS",
        "WATTCLERK_INTERPRETED",
        "WATTCLERK_POSTGRES_BIN",
        "WATTCLERK_PUBLISH",
    }
)
"""Read by the scripts and the tests, or naming the file: no settings."""
DEFAULT_PORT: Final = 8765
SHORTEST_TOKEN: Final = 32
_LISTS: Final = frozenset({"origins", "proxies"})
"""Several values in one variable, with spaces between."""

Network = IPv4Network | IPv6Network


def _origin(text: str) -> str:
    """An origin as browsers send it.

    Raises:
        ValueError: it is none.
    """
    parts = urlsplit(text)
    if (
        parts.scheme not in {"http", "https"}
        or not parts.hostname
        or f"{parts.scheme}://{parts.netloc}" != text
    ):
        raise ValueError(
            "an origin is a scheme and a host, with a port where it is not the usual one: https://quotes.example.com"
        )
    return text


def _bare(text: Any) -> Any:
    return text.rstrip("/").lower() if isinstance(text, str) else text


def _network(text: Any) -> Any:
    try:
        return ip_network(text) if isinstance(text, str) else text
    except ValueError:
        raise ValueError("a proxy is an address or a network: 10.0.0.7 or 10.0.0.0/24") from None


def _token(secret: SecretStr) -> SecretStr:
    text = secret.get_secret_value()
    if len(text) < SHORTEST_TOKEN or not text.isascii() or not text.isprintable() or " " in text:
        raise ValueError(
            f"a token has {SHORTEST_TOKEN} characters or more and no spaces: openssl rand -hex 32 makes one"
        )
    return secret


Token = Annotated[SecretStr, AfterValidator(_token)]


def _mail_server(scheme: str, fault: str, end: str) -> Callable[[str], str]:
    """A check of a mail server's address, as `bot.mail.signing_in` takes it apart.

    Args:
        scheme: where TLS begins after connecting; with "s" behind it, TLS from the first byte.
        fault: for the writer of another address: what such a one is.
        end: for the writer of more than host and port: where it ends.
    """

    def checked(text: str) -> str:
        try:
            parts = urlsplit(text)
            port = parts.port
        except ValueError:
            parts, port = urlsplit(""), 0
        if parts.scheme not in {scheme, f"{scheme}s"} or not parts.hostname or port == 0:
            raise ValueError(fault)
        if parts.password is not None:
            raise ValueError(
                f"a password does not belong in an address: set {scheme}_password or {scheme}_password_file"
            )
        if parts.path.strip("/") or parts.query or parts.fragment:
            raise ValueError(end)
        return text

    return checked


_smtp_url = _mail_server(
    "smtp",
    "a submission server is written smtps://quotes@mail.example.com, or smtp:// where TLS begins after connecting",
    "the address ends with the host or its port",
)
_imap_url = _mail_server(
    "imap",
    "a mail server is written imaps://quotes@mail.example.com, or imap:// where TLS begins after connecting",
    "the address ends with the host or its port; imap_folder names the folder",
)


def _printable(text: str) -> str:
    if not text.isprintable():
        raise ValueError("it holds characters that can't be printed")
    return text


Name = Annotated[str, Field(min_length=1, max_length=250), AfterValidator(_printable)]


class Settings(BaseModel):
    """The settings; the defaults run the demo.

    Attributes:
        host, port: where ``serve`` listens; port 0 takes any free one.
        data_folder: where conversations, quotes and the served catalogue are kept; made when first needed.
        database: ``postgresql://...`` of a store that several servers share; ``None`` keeps all in one SQLite file.
        workers: processes that answer messages, one of them for ``serve`` where not given; 0 answers in the server itself.
        catalogue: CSV file of products; ``None`` takes the demo catalogue.
        tables: folder of reference tables; ``None`` takes those of the program.
        terms: TOML file of the seller's terms (taxes, freight, rebate program, discounting); ``None`` sets none.
        tariff: TOML file of the utility's tariff; ``None`` takes the rate from the message or from the tables.
        origins: further origins (``https://quotes.example.com``) whose pages may open the chat, beside the server's own.
        max_text_chars: longest message that is read [characters].
        max_turns: most messages of one conversation.
        messages_per_minute: most messages a minute from one address; 0 sets no limit.
        max_sockets: most open chat pages at once.
        max_connections: most open connections at once.
        open_chat: anybody may chat, though staff sign in; else only staff may.
        plain_http_sign_in: staff may send their password over a network without TLS.
        session_idle_minutes, session_hours: a staff session ends after so long without a request, and after so long at all.
        link_days: how long a customer's link shows its quote.
        smtp_url: ``smtps://user@host`` of the server that takes what staff send; ``smtp://`` begins TLS after connecting.
            ``None`` sends nothing.
        smtp_user, smtp_password, smtp_password_file: who signs in there, where the address does not say; how.
        smtp_plain: no TLS at all, to a mail server on this machine only.
        smtp_ca: file of the authorities whose certificates count, instead of the system's.
        mail_people: whom staff can forward a mail to, with a comma between.
        proxies: addresses and networks of the reverse proxies whose ``X-Forwarded-For`` and ``X-Forwarded-Proto`` count.
        proxy_user_header: header in which such a proxy names the staff member who signed in there; ``None`` takes none.
        api_token: lets programs use the JSON API where the chat is not open, as ``Authorization: Bearer ...``.
        metrics_token: lets ``/metrics`` be read from elsewhere than this machine, the same way.
        imap_url: ``imaps://user@host`` of the mailbox that ``mail`` watches; ``imap://`` begins TLS after connecting.
        imap_user, imap_password, imap_password_file: who signs in there, where the address does not say; how.
        imap_plain: no TLS at all, to a mail server on this machine only.
        imap_ca: file of the authorities whose certificates count, instead of the system's.
        imap_folder: that is watched. imap_drafts: where drafts are laid; ``None`` takes the folder that the server marks so.
        imap_poll_seconds: how often the folder is looked at where the server does not tell of new mail.
        imap_days: mail that came longer ago than that is left alone.
        mail_own: our own addresses, with the names that they sign with, a comma between; ``None`` takes the IMAP user's.
        log_level, log_form: what is logged, and how.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    host: str = Field(default="127.0.0.1", min_length=1, max_length=253)
    port: int | None = Field(default=None, ge=0, le=65_535)
    data_folder: Path
    database: str | None = Field(default=None, repr=False, pattern=r"^postgres(ql)?://", max_length=2000)
    workers: int | None = Field(default=None, ge=0, le=256)
    catalogue: Path | None = None
    tables: Path | None = None
    terms: Path | None = None
    tariff: Path | None = None
    origins: tuple[Annotated[str, BeforeValidator(_bare), AfterValidator(_origin)], ...] = ()
    max_text_chars: int = Field(default=20_000, ge=100, le=200_000)
    max_turns: int = Field(default=200, ge=1, le=10_000)
    messages_per_minute: int = Field(default=60, ge=0, le=100_000)
    max_sockets: int = Field(default=500, ge=1, le=100_000)
    max_connections: int = Field(default=2_000, ge=10, le=1_000_000)
    open_chat: bool = False
    plain_http_sign_in: bool = False
    session_idle_minutes: int = Field(default=60, ge=1, le=1440)
    session_hours: int = Field(default=12, ge=1, le=168)
    link_days: int = Field(default=30, ge=1, le=365)
    smtp_url: Annotated[str, Field(max_length=500), AfterValidator(_smtp_url)] | None = None
    smtp_user: Annotated[str, Field(min_length=1, max_length=250)] | None = None
    smtp_password: SecretStr | None = None
    smtp_password_file: Path | None = None
    smtp_plain: bool = False
    smtp_ca: Path | None = None
    mail_people: Annotated[str, Field(min_length=3, max_length=2000)] | None = None
    proxies: tuple[Annotated[Network, BeforeValidator(_network)], ...] = ()
    proxy_user_header: str | None = Field(default=None, pattern=r"^[A-Za-z0-9-]{1,60}$")
    api_token: Token | None = None
    metrics_token: Token | None = None
    imap_url: Annotated[str, Field(max_length=500), AfterValidator(_imap_url)] | None = None
    imap_user: Name | None = None
    imap_password: SecretStr | None = None
    imap_password_file: Path | None = None
    imap_plain: bool = False
    imap_ca: Path | None = None
    imap_folder: Name = "INBOX"
    imap_drafts: Name | None = None
    imap_poll_seconds: int = Field(default=30, ge=1, le=3600)
    imap_days: int = Field(default=30, ge=1, le=3650)
    mail_own: Annotated[str, Field(min_length=3, max_length=2000), AfterValidator(_printable)] | None = None
    log_level: Literal["debug", "info", "warning", "error"] = "warning"
    log_form: Literal["json", "plain"] = "json"

    @model_validator(mode="after")
    def _header_has_its_proxy(self) -> "Settings":
        if self.proxy_user_header is not None and not self.proxies:
            raise ValueError(
                "proxy_user_header is set without proxies: say which addresses may name who has signed in"
            )
        return self

    @property
    def is_reachable(self) -> bool:
        """Whether people elsewhere than at this machine can come here: bound wider than loopback, or behind a proxy."""
        return not is_loopback(self.host) or bool(self.origins) or bool(self.proxies)

    @property
    def sqlite_file(self) -> Path:
        """The SQLite file, where ``database`` names no PostgreSQL."""
        return self.data_folder / "wattclerk.db"

    @property
    def place(self) -> str:
        """Where things are kept, for people: no password in it."""
        if self.database is None:
            return str(self.sqlite_file)
        parts = urlsplit(self.database)
        return f"PostgreSQL at {parts.hostname or 'this machine'}{parts.path}"


def is_loopback(host: str) -> bool:
    """Whether a name or an address is this machine and nothing else."""
    if host.lower() == "localhost":
        return True
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return False


def default_data_folder(environ: Mapping[str, str]) -> Path:
    """The per-user state folder of the XDG base directory specification: ``~/.local/state/wattclerk``."""
    state = environ.get("XDG_STATE_HOME", "")
    base = (
        Path(state)
        if state.startswith("/")
        else Path(environ.get("HOME") or "~").expanduser() / ".local/state"
    )
    return base / "wattclerk"


def load_settings(environ: Mapping[str, str] | None = None, **given: Any) -> Settings:
    """The settings: ``given`` (the command line's) over the environment over the file over the defaults.

    Raises:
        ConfigurationError: a setting can't be used; the line says which, from where, and what is allowed.
    """
    environ = os.environ if environ is None else environ
    _refuse_unknown(environ)
    values: dict[str, Any] = {"data_folder": default_data_folder(environ)}
    places: dict[str, str] = {}
    if path := environ.get(FILE_VARIABLE):
        for name, value in _read_file(Path(path)).items():
            values[name] = value
            places[name] = f"{Path(path).name}: {name}"
    for name in Settings.model_fields:
        variable = PREFIX + name.upper()
        if variable in environ:
            text = environ[variable]
            values[name] = tuple(text.split()) if name in _LISTS else text
            places[name] = variable
    values |= {name: value for name, value in given.items() if value is not None}
    try:
        return Settings.model_validate(values)
    except ValidationError as error:
        first = error.errors()[0]
        name = str(first["loc"][0]) if first["loc"] else "settings"
        line = first["msg"].removeprefix("Value error, ")
        if first["type"] == "extra_forbidden":
            line = f"no such setting{_meant(name, Settings.model_fields)}"
        raise ConfigurationError(f"{places.get(name, name)}: {line}") from None


def _refuse_unknown(environ: Mapping[str, str]) -> None:
    known = {PREFIX + name.upper() for name in Settings.model_fields} | OTHER_VARIABLES
    for variable in sorted(environ):
        if variable.startswith(PREFIX) and variable not in known:
            raise ConfigurationError(f"{variable}: no such setting{_meant(variable, known)}")


def _meant(name: str, known: Iterable[str]) -> str:
    close = get_close_matches(name, list(known), n=1, cutoff=0.7)
    return f"; did you mean {close[0]}?" if close else ": take it out (README lists the settings)"


def _read_file(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text("utf-8"))
    except OSError as error:
        raise ConfigurationError(f"{FILE_VARIABLE}: {path} can't be read ({error.strerror})") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise ConfigurationError(f"{path.name}: not valid TOML: {error}") from None
