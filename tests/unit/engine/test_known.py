"""What quotes share with those before them never shows: a quote comes out the same whatever was quoted before it."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.replies.quote_json import quote_told
from bot.store.figures import kept_figures
from engine import known
from engine.catalog.catalogue import Catalogue
from engine.quote import make_quote
from engine.request import Request
from engine.tables.tables import Tables
from engine.terms import Terms
from tests.unit.engine.test_quote import JOBS


def kept(request: dict[str, Any], catalogue: Catalogue, tables: Tables, terms: Terms | None = None) -> bytes:
    quote = make_quote(Request.model_validate(request), catalogue, tables, terms or Terms())
    told, graph = quote_told(quote)
    return told + kept_figures(quote, graph)


def changed(request: dict[str, Any], **slots: Any) -> dict[str, Any]:
    return {**request, "lines": [{**line, **slots} for line in request["lines"]]}


SLOTS = {
    "qty": st.sampled_from([1, 2, 40, 41]),
    "price_now": st.sampled_from([None, 90.0]),
    "height_ft": st.sampled_from([None, 9.0, 20.0, 20.5]),
    "watts": st.sampled_from([None, 250.0, 400.0]),
    "source": st.sampled_from([None, "MH", "HPS"]),
    "voltage": st.sampled_from([None, 277, 480]),
    "finish": st.sampled_from([None, "bronze"]),
    "cct_k": st.sampled_from([None, 3000]),
    "optic": st.sampled_from([None, "full_cutoff"]),
    "spacing_ft": st.sampled_from([None, 40.0]),
    "controls": st.sampled_from([None, ["motion"]]),
}


@settings(max_examples=25)
@given(
    asked=st.lists(
        st.tuples(st.sampled_from(JOBS), st.fixed_dictionaries({}, optional=SLOTS)), min_size=2, max_size=5
    )
)
def test_a_quote_does_not_hang_on_those_before_it(
    asked: list[tuple[dict[str, Any], dict[str, Any]]], catalogue: Catalogue, tables: Tables
) -> None:
    requests = [changed(job, **slots) for job, slots in asked]
    known._known.cache_clear()
    after_others = [kept(request, catalogue, tables) for request in (*requests, *requests)]
    alone = []
    for request in requests:
        known._known.cache_clear()
        alone.append(kept(request, catalogue, tables))
    assert after_others == alone + alone


def test_terms_that_change_are_not_those_of_before(catalogue: Catalogue, tables: Tables) -> None:
    known._known.cache_clear()
    first = kept(JOBS[0], catalogue, tables)
    dearer = kept(JOBS[0], catalogue, tables, Terms(discount_rate=0.09))
    known._known.cache_clear()
    assert dearer == kept(JOBS[0], catalogue, tables, Terms(discount_rate=0.09))
    assert first != dearer


def test_another_catalogue_is_another(catalogue: Catalogue, tables: Tables) -> None:
    known._known.cache_clear()
    fewer = Catalogue.of(catalogue.products[::2], catalogue.like_for_like, catalogue.light)
    whole = kept(JOBS[0], catalogue, tables)
    half = kept(JOBS[0], fewer, tables)
    assert whole != half
    assert whole == kept(JOBS[0], catalogue, tables)


def test_what_is_kept_is_bounded(
    catalogue: Catalogue, tables: Tables, monkeypatch: pytest.MonkeyPatch
) -> None:
    known._known.cache_clear()
    monkeypatch.setattr(known, "MOST_KEPT", 8)
    for feet in range(10, 40):
        kept(changed(JOBS[0], height_ft=float(feet)), catalogue, tables)
    shelves = known.known_of(catalogue, tables)._shelves
    assert shelves.keys() >= {"lines", "fits"}
    assert all(0 < len(shelf) <= 8 for shelf in shelves.values())
