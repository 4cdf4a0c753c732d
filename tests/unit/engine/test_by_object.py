"""What was made of an object is kept for that object and no other, within bounds."""

from engine.by_object import ByObject


def test_it_is_made_once_for_an_object_and_a_way() -> None:
    kept, thing, made = ByObject[str](8), [1], []

    def make(way: str) -> str:
        made.append(way)
        return way.upper()

    assert [kept.get(thing, way, make, way) for way in ("en", "es", "en")] == ["EN", "ES", "EN"]
    assert made == ["en", "es"]


def test_an_equal_object_is_another() -> None:
    kept = ByObject[int](8)

    assert kept.get([1], None, lambda: 1) == 1
    assert kept.get([1], None, lambda: 2) == 2


def test_no_object_is_taken_for_one_that_is_gone() -> None:
    kept = ByObject[int](1000)

    # each is thrown away at once, so that memory, and with it the id, would soon be that of another
    assert [kept.get([n], None, lambda n=n: n) for n in range(500)] == list(range(500))


def test_it_is_bounded() -> None:
    kept = ByObject[int](8)
    things = [[n] for n in range(50)]
    for n, thing in enumerate(things):
        assert kept.get(thing, None, lambda n=n: n) == n

    assert len(kept._kept) <= 8
