"""What is kept of a quote's figures is plain JSON that any library reads, and never a number that is none."""

import json
import zlib
from dataclasses import replace

import pytest

from bot.replies.quote_json import quote_told
from bot.store.figures import kept_figures
from bot.store.quote_body import body_of
from engine.catalog.catalogue import Catalogue
from engine.figure import stated
from engine.quote import make_quote
from engine.request import Request
from engine.tables.tables import Tables
from tests.unit.engine.test_quote import JOBS


def test_a_body_is_read_by_any_zlib() -> None:
    body = body_of(b'{"lines":[]}', b"{}", b'{"rows":[]}')

    assert json.loads(zlib.decompress(body)) == {
        "quote": {"lines": []},
        "reading": {},
        "figures": {"rows": []},
    }


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_figure_that_is_no_number_is_not_kept(
    value: float, catalogue: Catalogue, tables: Tables, monkeypatch: pytest.MonkeyPatch
) -> None:
    quote = make_quote(Request.model_validate(JOBS[0]), catalogue, tables)
    _, graph = quote_told(quote)

    with pytest.raises(ValueError, match="not JSON compliant"):
        kept_figures(replace(quote, hours_per_year=stated("hours", value, "h/yr", "x")), graph)
    monkeypatch.setattr(quote.totals["net_cost"], "value", value)
    with pytest.raises(ValueError, match="net_cost"):
        kept_figures(quote, graph)
