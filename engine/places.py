"""Where a US city or ZIP code lies, without the network: two packaged files, read when a place is first asked for.

The files are searched as text, not parsed: a look-up costs less than a millisecond. Both are sorted, and are built
by ``engine/tables/build_places.py``. Coordinates serve for the length of the night and the state for prices;
they are not addresses.
"""

from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources
from typing import Final, Literal

from engine.tables import NoSuchRow, load_tables, state_facts
from engine.tables.tables import Tables

_EXPANDED: Final = {
    "st": "saint",
    "ste": "sainte",
    "ft": "fort",
    "mt": "mount",
    "mtn": "mountain",
    "pt": "point",
}
_MAX_NAME: Final = 80


@dataclass(frozen=True, slots=True)
class CityMatch:
    """A city of the name that was asked for; ``zips`` is how many ZIP codes it has."""

    city: str
    state: str
    latitude: float
    longitude: float
    zips: int


@dataclass(frozen=True, slots=True)
class FoundPlace:
    """A place on the map.

    Attributes:
        city: as the postal service spells it; ``None`` where only a state was said.
        state: two letters.
        zip: five digits, if said.
        latitude: north [degrees]; ``longitude``: east [degrees], so negative in the US.
        by: what the place was found by.
        alternatives: other cities of that name, the one with most ZIP codes first, where no state was said.
        disagrees: what was said and does not fit the ZIP code that was taken, in words; empty if all fits.
        source: table and row.
    """

    city: str | None
    state: str
    zip: str | None
    latitude: float
    longitude: float
    by: Literal["zip", "city and state", "city", "state"]
    alternatives: tuple[CityMatch, ...]
    disagrees: str
    source: str


@dataclass(frozen=True, slots=True)
class UnknownPlace:
    """No such place is known. ``elsewhere``: cities of that name in other states."""

    asked: str
    elsewhere: tuple[CityMatch, ...] = ()


def find_place(
    *,
    city: str | None = None,
    state: str | None = None,
    zip_code: str | None = None,
    tables: Tables | None = None,
) -> FoundPlace | UnknownPlace:
    """The place that was said, by ZIP code, else by city and state, else by city, else by state.

    A bare city is the one with most ZIP codes, with the others named; equal ones are ordered by state.

    Args:
        city: any spelling of case, "St." or "Saint", "Ft.", "Mt.".
        state: two letters.
        zip_code: five digits, or nine with a hyphen.
        tables: for the middle of a state; ``None`` takes the packaged ones.

    Returns:
        ``UnknownPlace`` if the ZIP code is not known, or no such city is known in that state.
    """
    if zip_code is not None:
        return _by_zip(zip_code, city, state)
    if city is not None:
        return _by_city(city, state)
    if state is not None:
        row = state_facts(tables or load_tables(), state.upper())
        if isinstance(row, NoSuchRow):
            return UnknownPlace(state)
        source = f"states.csv: {row.state}"
        return FoundPlace(None, row.state, None, row.latitude, row.longitude, "state", (), "", source)
    return UnknownPlace("")


def name_key(name: str) -> str:
    """One spelling for all: lower case, no points, "saint", "fort" and "mount" written out.

    >>> name_key("St. Louis"), name_key("  FT.  Wayne"), name_key("Winston-Salem"), name_key("Coeur D'Alene")
    ('saint louis', 'fort wayne', 'winston salem', 'coeur dalene')
    """
    plain = name[:_MAX_NAME].lower().replace(".", " ").replace("-", " ")
    kept = "".join(letter for letter in plain if letter.isalnum() or letter == " ")
    return " ".join(_EXPANDED.get(word, word) for word in kept.split())


def _by_zip(zip_code: str, city: str | None, state: str | None) -> FoundPlace | UnknownPlace:
    digits = zip_code.strip()[:5]
    if len(digits) != 5 or not (digits.isascii() and digits.isdigit()):
        return UnknownPlace(zip_code[:_MAX_NAME])
    row = _zip_row(digits)
    if row is None:
        return UnknownPlace(digits)
    found_city, found_state, latitude, longitude = row
    disagrees = []
    if state is not None and state.upper() != found_state:
        disagrees.append(f"{digits} is in {found_state}, not {state.upper()}")
    if city is not None and not any(match.state == found_state for match in _matches(city)):
        disagrees.append(f"{digits} is {found_city} {found_state}, not {city}")
    return FoundPlace(
        city=found_city,
        state=found_state,
        zip=digits,
        latitude=float(latitude),
        longitude=float(longitude),
        by="zip",
        alternatives=(),
        disagrees="; ".join(disagrees),
        source=f"places_zips.csv: {digits}",
    )


@lru_cache(maxsize=4096)
def _zip_row(digits: str) -> tuple[str, str, str, str] | None:
    text = _text("places_zips.csv")
    at = text.find(f"\n{digits},")
    if at < 0:
        return None
    _, city, state, latitude, longitude = text[at + 1 : text.index("\n", at + 1)].split(",")
    return city, state, latitude, longitude


def _by_city(city: str, state: str | None) -> FoundPlace | UnknownPlace:
    matches = _matches(city)
    if state is not None:
        here = tuple(match for match in matches if match.state == state.upper())
        if not here:
            return UnknownPlace(f"{city} {state.upper()}"[:_MAX_NAME], matches)
        chosen, others = here[0], here[1:]
    elif matches:
        chosen, others = matches[0], matches[1:]
    else:
        return UnknownPlace(city[:_MAX_NAME])
    return FoundPlace(
        city=chosen.city,
        state=chosen.state,
        zip=None,
        latitude=chosen.latitude,
        longitude=chosen.longitude,
        by="city" if state is None else "city and state",
        alternatives=others,
        disagrees="",
        source=f"places_cities.csv: {chosen.city} {chosen.state}",
    )


def _matches(city: str) -> tuple[CityMatch, ...]:
    """Every city of that name, the one with most ZIP codes first, then by state."""
    key = name_key(city)
    return _matches_of(key) if key else ()


@lru_cache(maxsize=4096)
def _matches_of(key: str) -> tuple[CityMatch, ...]:
    """As `_matches`; kept, since a shop's customers are mostly from the same few places, and looking takes a millisecond."""
    text = _text("places_cities.csv")
    found = []
    at = text.find(f"\n{key},")
    while at >= 0 and text.startswith(f"{key},", at + 1):
        end = text.index("\n", at + 1)
        _, state, name, latitude, longitude, zips = text[at + 1 : end].split(",")
        found.append(CityMatch(name, state, float(latitude), float(longitude), int(zips)))
        at = end
    return tuple(sorted(found, key=lambda match: (-match.zips, match.state)))


@cache
def _text(name: str) -> str:
    return (resources.files("engine.tables") / name).read_text(encoding="utf-8")
