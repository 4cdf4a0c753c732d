"""Who sells: the distributor's own particulars, which stand on a quote. One TOML file beside the catalogue."""

import tomllib
from pathlib import Path
from typing import Final

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from engine.catalog.fault import MAX_FAULTS, CatalogueFault, Fault, quoted
from engine.catalog.sheet import allowed_words

MAX_BYTES: Final = 64 * 1024

_PATTERNS: Final = {
    "key": "a word of small letters, digits and underscores, as after stock_ in the sheets",
    "state": "two capital letters",
    "email": "a mail address",
    "currency": "three capital letters (ISO 4217)",
}


class Branch(BaseModel):
    """A place that keeps stock. ``key`` is the word after ``stock_`` in the product sheets."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    key: str = Field(pattern=r"^[a-z][a-z0-9_]{0,30}$")
    name: str = Field(min_length=2, max_length=60)
    city: str = Field(min_length=2, max_length=80)
    state: str = Field(pattern=r"^[A-Z]{2}$")
    phone: str = Field(min_length=7, max_length=30)


class Distributor(BaseModel):
    """The seller. ``quote_valid_days``: how long a price holds. ``currency``: ISO 4217 code of every price."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str = Field(min_length=2, max_length=80)
    phone: str = Field(min_length=7, max_length=30)
    email: str = Field(pattern=r"^[a-z0-9.]{1,40}@[a-z0-9.-]{3,60}$")
    currency: str = Field(pattern=r"^[A-Z]{3}$")
    quote_valid_days: int = Field(ge=1, le=365)
    branches: tuple[Branch, ...] = Field(min_length=1, max_length=100)


def load_distributor(path: Path) -> Distributor:
    """The distributor of a TOML file.

    Raises:
        CatalogueFault: the file is missing, too big, not TOML in UTF-8, or not of the shape.
    """
    problem: tuple[Fault, ...]
    try:
        with path.open("rb") as stream:
            content = stream.read(MAX_BYTES + 1)
        if len(content) > MAX_BYTES:
            raise CatalogueFault((Fault(path.name, None, "", "too many bytes", f"at most {MAX_BYTES}"),))
        return Distributor.model_validate(tomllib.loads(content.decode("utf-8")))
    except OSError as error:
        problem = (Fault(path.name, None, "", f"no readable file ({error.strerror})", "a TOML file"),)
    except UnicodeDecodeError:
        problem = (Fault(path.name, None, "", "bytes that are not UTF-8", "TOML in UTF-8"),)
    except tomllib.TOMLDecodeError as error:
        problem = (Fault(path.name, None, "", f"text that is not TOML ({error})", "TOML"),)
    except ValidationError as error:
        problem = tuple(
            Fault(
                path.name,
                None,
                ".".join(map(str, detail["loc"])),
                "nothing" if detail["type"] == "missing" else quoted(str(detail["input"])),
                allowed_words(str(detail["loc"][-1]), detail, _PATTERNS),
            )
            for detail in error.errors(include_url=False)[:MAX_FAULTS]
        )
    raise CatalogueFault(problem)
