"""Places are found offline, however they are spelled, and an unknown one is an answer and not an error."""

import csv
from importlib import resources

import pytest

from engine.places import FoundPlace, UnknownPlace, find_place, name_key

FOLDER = resources.files("engine.tables")


def _rows(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((FOLDER / name).read_text(encoding="utf-8").splitlines()))


def test_a_zip_code_gives_city_state_and_latitude():
    found = find_place(zip_code="43604")

    assert (found.city, found.state, found.by) == ("Toledo", "OH", "zip")
    assert found.latitude == pytest.approx(41.66, abs=0.05)
    assert found.longitude == pytest.approx(-83.5, abs=0.1)
    assert found.source == "places_zips.csv: 43604"


def test_a_zip_code_may_have_its_four_digits_more():
    assert find_place(zip_code="43604-1234").zip == "43604"


@pytest.mark.parametrize("said", ["00000", "99999", "4360", "abcde", "", "٤٣٦٠٤", "43604\n"[:0]])
def test_an_unknown_zip_code_is_an_answer(said):
    assert isinstance(find_place(zip_code=said), UnknownPlace)


@pytest.mark.parametrize("said", ["St. Louis", "st louis", "ST. LOUIS", "Saint Louis", " saint  louis "])
def test_a_saint_is_found_however_it_is_written(said):
    assert (find_place(city=said).city, find_place(city=said).state) == ("Saint Louis", "MO")


@pytest.mark.parametrize(
    ("city", "state", "found"),
    [
        ("ft. wayne", "in", "Fort Wayne"),
        ("Mt Vernon", "OH", "Mount Vernon"),
        ("winston-salem", "NC", "Winston Salem"),
        ("Winston Salem", "NC", "Winston Salem"),
        ("TOLEDO", "OH", "Toledo"),
        ("Brooklyn", "NY", "Brooklyn"),
    ],
)
def test_a_city_is_found_in_its_state(city, state, found):
    place = find_place(city=city, state=state)

    assert place.city.replace("-", " ").lower() == found.lower()
    assert place.by == "city and state"
    assert place.alternatives == ()


def test_a_bare_city_is_the_one_with_most_zip_codes_and_names_the_others():
    place = find_place(city="Portland")

    assert place.state == "OR"
    assert place.by == "city"
    assert place.alternatives[0].state == "ME"
    counts = [other.zips for other in place.alternatives]
    assert counts == sorted(counts, reverse=True)


def test_a_city_in_the_wrong_state_is_unknown_and_says_where_it_is():
    answer = find_place(city="Toledo", state="TX")

    assert isinstance(answer, UnknownPlace)
    assert "OH" in {match.state for match in answer.elsewhere}


def test_a_city_that_is_nowhere_is_unknown():
    assert find_place(city="Xyzzyville") == UnknownPlace("Xyzzyville")
    assert isinstance(find_place(), UnknownPlace)
    assert isinstance(find_place(state="ZZ"), UnknownPlace)
    assert isinstance(find_place(city="..."), UnknownPlace)


@pytest.mark.parametrize("said", ["a,b", "\nToledo", "toledo,OH", "x" * 100_000, "🏙" * 50, "%s", "../../etc"])
def test_hostile_names_are_only_names(said):
    assert isinstance(find_place(city=said), (FoundPlace, UnknownPlace))
    assert len(name_key(said)) <= 200


def test_a_zip_code_wins_over_a_state_that_does_not_fit_and_says_so():
    place = find_place(zip_code="43604", city="Dallas", state="TX")

    assert place.state == "OH"
    assert place.disagrees == "43604 is in OH, not TX; 43604 is Toledo OH, not Dallas"
    assert find_place(zip_code="43604", city="toledo", state="OH").disagrees == ""


def test_a_state_alone_has_a_middle():
    place = find_place(state="oh")

    assert (place.city, place.state, place.by) == (None, "OH", "state")
    assert 39 < place.latitude < 41.5


def test_the_files_are_small_sorted_and_searchable_as_text():
    zips, cities = _rows("places_zips.csv"), _rows("places_cities.csv")
    size = sum(len((FOLDER / name).read_bytes()) for name in ("places_zips.csv", "places_cities.csv"))

    assert size < 3_000_000
    assert len(zips) > 40_000
    assert len(cities) > 29_000
    assert [row["zip"] for row in zips] == sorted(row["zip"] for row in zips)
    keys = [(row["key"], row["state"]) for row in cities]
    assert keys == sorted(keys)
    assert len(set(keys)) == len(keys)
    assert all(len(row) == 5 and None not in row.values() and None not in row for row in zips)
    assert all(row["key"] == name_key(row["city"]) for row in cities)


def test_every_tenth_city_of_the_file_is_found_by_its_own_name():
    for row in _rows("places_cities.csv")[::10]:
        place = find_place(city=row["city"], state=row["state"])
        assert isinstance(place, FoundPlace), row
        assert place.latitude == float(row["latitude"])
