"""Rows that are worked out when looked at: once, and not for their number."""

from engine.later import LaterRows


def test_rows_are_made_once_and_not_to_be_counted() -> None:
    made: list[int] = []

    def make() -> list[str]:
        made.append(1)
        return ["a", "b", "c"]

    rows = LaterRows(3, make)

    assert len(rows) == 3
    assert made == []
    assert list(rows) == ["a", "b", "c"]
    assert rows[-1] == "c"
    assert rows[1:] == ["b", "c"]
    assert "b" in rows
    assert made == [1]
