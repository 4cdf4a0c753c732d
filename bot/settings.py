"""What an operator can set: one frozen model, filled from the environment, a TOML file and defaults, in that order.

Every setting has a name in lower case in the file (``port = 8080``) and in upper case behind ``WATTCLERK_`` in the
environment (``WATTCLERK_PORT=8080``). ``WATTCLERK_SETTINGS`` names the file. Nothing is read at import.
"""

import os
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlsplit

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from engine.errors import ConfigurationError

PREFIX: Final = "WATTCLERK_"
FILE_VARIABLE: Final = "WATTCLERK_SETTINGS"
DEFAULT_PORT: Final = 8765


class Settings(BaseModel):
    """The settings; the defaults run the demo.

    Attributes:
        host, port: where ``serve`` listens; port 0 takes any free one.
        data_folder: where conversations, quotes and the served catalogue are kept; made when first needed.
        database: ``postgresql://...`` of a store that several servers share; ``None`` keeps all in one SQLite file.
        workers: processes that answer messages; 0 answers in a thread of the server.
        catalogue: CSV file of products; ``None`` takes the demo catalogue.
        tables: folder of reference tables; ``None`` takes those of the program.
        terms: TOML file of the seller's terms (taxes, freight, rebate program, discounting); ``None`` sets none.
        tariff: TOML file of the utility's tariff; ``None`` takes the rate from the message or from the tables.
        origins: further origins (``https://quotes.example.com``) whose pages may open the chat, beside the server's own.
        max_text_chars: longest message that is read [characters].
        max_turns: most messages of one conversation.
        messages_per_minute: most messages a minute from one address; 0 sets no limit.
        max_sockets: most open chat pages at once.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    host: str = Field(default="127.0.0.1", min_length=1, max_length=253)
    port: int | None = Field(default=None, ge=0, le=65_535)
    data_folder: Path
    database: str | None = Field(default=None, pattern=r"^postgres(ql)?://", max_length=2000)
    workers: int = Field(default=0, ge=0, le=256)
    catalogue: Path | None = None
    tables: Path | None = None
    terms: Path | None = None
    tariff: Path | None = None
    origins: tuple[str, ...] = ()
    max_text_chars: int = Field(default=20_000, ge=100, le=200_000)
    max_turns: int = Field(default=200, ge=1, le=10_000)
    messages_per_minute: int = Field(default=60, ge=0, le=100_000)
    max_sockets: int = Field(default=500, ge=1, le=100_000)

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
            values[name] = tuple(text.split()) if name == "origins" else text
            places[name] = variable
    values |= {name: value for name, value in given.items() if value is not None}
    try:
        return Settings.model_validate(values)
    except ValidationError as error:
        first = error.errors()[0]
        name = str(first["loc"][0]) if first["loc"] else "settings"
        raise ConfigurationError(f"{places.get(name, name)}: {first['msg']}") from None


def _read_file(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text("utf-8"))
    except OSError as error:
        raise ConfigurationError(f"{FILE_VARIABLE}: {path} can't be read ({error.strerror})") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise ConfigurationError(f"{path.name}: not valid TOML: {error}") from None
