"""A kept quote is made again from what it was made from, whatever became of the files since."""

import csv
import hashlib
import json
import shutil
from pathlib import Path

import pytest

from bot.answering import Answered, Before, Question, answered
from bot.contents import Versions
from bot.json_bytes import json_bytes
from bot.opening import DEMO_CATALOGUE
from bot.replies import quote_json
from bot.replies.quote_json import quote_told
from bot.settings import Settings
from bot.store.catalogue import open_served, read_files
from bot.store.figures import Traces, as_kept_before
from bot.store.kept import keep_quote, kept_quote, made_again, revised
from bot.store.protocol import Store
from bot.store.quote_body import body_of
from bot.store.records import DraftQuote, packed
from bot.usable import UnusableInput
from engine.request import Request

JOBS = [
    {"job": {"rate_per_kwh": 0.11, "schedule": "dusk_to_dawn"}, "lines": [{"qty": 12, "family": "wall_pack", "watts": 250}]},
    {"lines": [{"qty": 40, "family": "troffer", "source": "T8", "watts": 32, "lamps": 4}], "context": {"building": "office"}},
    {"job": {"place": {"state": "OH"}}, "lines": [{"qty": 8, "family": "area", "source": "MH", "watts": 400, "voltage": 480}]},
]  # fmt: skip


@pytest.fixture
def files(tmp_path: Path) -> Path:
    """A shop's own files, which it may change."""
    folder = tmp_path / "shop"
    (folder / "catalogue").mkdir(parents=True)
    for sheet in DEMO_CATALOGUE.glob("*.csv"):
        shutil.copy(sheet, folder / "catalogue")
    (folder / "tables").mkdir()
    (folder / "terms.toml").write_text("sales_tax_share = 0.07\n")
    shutil.copy(Path("engine/money/tariffs/time_of_use.toml"), folder / "tariff.toml")
    return folder


@pytest.fixture
def shop(store_settings: Settings, files: Path) -> Settings:
    return store_settings.model_copy(
        update={
            "catalogue": files / "catalogue",
            "tables": files / "tables",
            "terms": files / "terms.toml",
            "tariff": files / "tariff.toml",
        }
    )


def dearer(files: Path) -> None:
    """Every price goes up by a dollar."""
    for sheet in (files / "catalogue").glob("*.csv"):
        with sheet.open(newline="", encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
        if "net_price" not in rows[0] or "list_price" not in rows[0]:
            continue
        for row in rows:
            for price in ("net_price", "list_price"):
                row[price] = f"{float(row[price]) + 1:.2f}"
        with sheet.open("w", newline="", encoding="utf-8") as file:
            out = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
            out.writeheader()
            out.writerows(rows)


def keep(settings: Settings, store: Store, job: dict[str, object]) -> str:
    assistant = open_served(settings, read_files(settings), store).assistant
    return keep_quote(settings, store, assistant.quote(Request.model_validate(job)))


@pytest.mark.parametrize("job", JOBS)
def test_the_same_bytes_come_out_when_every_file_has_changed(
    shop: Settings, store: Store, files: Path, job: dict[str, object]
) -> None:
    name = keep(shop, store, job)
    dearer(files)
    (files / "terms.toml").write_text("sales_tax_share = 0.09\n")
    (files / "tariff.toml").unlink()
    shutil.rmtree(files / "tables")
    again = made_again(store, kept_quote(store, name))

    assert again.same
    kept = kept_quote(store, name)
    assert json.loads(again.body) == kept.quote
    assert kept.versions is not None
    assert kept.versions.tariff is not None


@pytest.mark.parametrize("job", JOBS)
def test_a_kept_quote_comes_back_byte_for_byte(shop: Settings, store: Store, job: dict[str, object]) -> None:
    """Its list of figures is not kept in its public form."""
    assistant = open_served(shop, read_files(shop), store).assistant
    turn = assistant.quote(Request.model_validate(job))
    kept = kept_quote(store, keep_quote(shop, store, turn))

    assert turn.quote is not None
    assert json_bytes(kept.quote) == json_bytes(quote_json(turn.quote, turn.reading))
    traces = Traces.of(turn.quote)
    assert Traces.from_json(kept.figures).as_json() == Traces.from_json(traces.as_json()).as_json()


@pytest.mark.parametrize("job", JOBS)
def test_a_quote_kept_with_its_figures_in_both_forms_is_made_again_too(
    shop: Settings, store: Store, job: dict[str, object]
) -> None:
    served = open_served(shop, read_files(shop), store)
    turn = served.assistant.quote(Request.model_validate(job))
    assert turn.quote is not None
    public = quote_json(turn.quote, turn.reading)
    body = {
        "quote": public,
        "request": turn.quote.request.stated(),
        "reading": turn.reading.as_json(),
        "figures": Traces.of(turn.quote).as_json(),
    }
    digest = hashlib.sha256(json_bytes(public)).hexdigest()
    with store.transaction() as session:
        session.keep_quote(
            "old", DraftQuote("en", served.versions, digest, packed(body)), "2026-01-31T09:05:00.000Z"
        )
        session.keep_quote(
            "other", DraftQuote("en", served.versions, "other", packed(body)), "2026-01-31T09:05:00.000Z"
        )

    kept = kept_quote(store, "old")
    assert json_bytes(kept.quote) == json_bytes(public)
    assert made_again(store, kept).same
    assert not made_again(store, kept_quote(store, "other")).same


@pytest.mark.parametrize("job", JOBS)
def test_a_quote_kept_with_every_path_and_formula_written_out_is_made_again_too(
    shop: Settings, store: Store, job: dict[str, object]
) -> None:
    """As the version before kept it."""
    served = open_served(shop, read_files(shop), store)
    turn = served.assistant.quote(Request.model_validate(job))
    assert turn.quote is not None
    told, graph = quote_told(turn.quote, turn.reading)
    figures = as_kept_before(turn.quote, graph)
    digest = hashlib.sha256(told + json_bytes(figures)).hexdigest()
    body = body_of(told, json_bytes(turn.reading.as_json()), json_bytes(figures))
    with store.transaction() as session:
        for name, kept_digest in (("old", digest), ("other", "other")):
            draft = DraftQuote("en", served.versions, kept_digest, body)
            session.keep_quote(name, draft, "2026-01-31T09:05:00.000Z")
    kept, now = kept_quote(store, "old"), kept_quote(store, keep_quote(shop, store, turn))

    assert figures["roots"].keys() == Traces.of(turn.quote).roots.keys()
    assert json_bytes(kept.quote) == json_bytes(now.quote)
    assert json_bytes(kept.figures) == json_bytes(now.figures)
    assert made_again(store, kept).same
    assert not made_again(store, kept_quote(store, "other")).same
    assert revised(shop, store, kept) is None


def test_a_quote_of_a_conversation_is_made_again_too(shop: Settings, store: Store, files: Path) -> None:
    served = open_served(shop, read_files(shop), store)
    outcome = answered(
        served.assistant,
        served.versions,
        Question(Before(), "cuanto por 10 wallpacks de 175w, toda la noche"),
    )
    assert isinstance(outcome, Answered)
    assert outcome.quote is not None
    with store.transaction() as session:
        session.keep_quote("q1", outcome.quote, "2026-01-31T09:05:00.000Z")
    dearer(files)
    kept = kept_quote(store, "q1")

    assert made_again(store, kept).same
    assert kept.reading is not None
    assert kept.reading["language"] == "es"


def test_a_changed_price_makes_a_revision_and_leaves_the_quote_as_it_was(
    shop: Settings, store: Store, files: Path
) -> None:
    first = keep(shop, store, JOBS[0])
    assert revised(shop, store, kept_quote(store, first)) is None
    dearer(files)
    second = revised(shop, store, kept_quote(store, first))
    assert second is not None
    old, new = kept_quote(store, first), kept_quote(store, second)

    assert (new.revision, new.revises) == (2, first)
    assert float(new.quote["totals"]["project_cost"]) > float(old.quote["totals"]["project_cost"])
    assert made_again(store, old).same
    assert made_again(store, new).same
    with pytest.raises(UnusableInput, match=second):
        revised(shop, store, old)


def test_a_changed_price_keeps_a_part_of_the_catalogue_and_not_another_whole(
    shop: Settings, store: Store, files: Path
) -> None:
    before = open_served(shop, read_files(shop), store)
    sheet = sorted((files / "catalogue").glob("*.csv"), key=lambda path: -path.stat().st_size)[0]
    rows = sheet.read_text().splitlines()
    with sheet.open(newline="", encoding="utf-8") as file:
        first = next(csv.DictReader(file))
    rows[1] = rows[1].replace(first["net_price"], f"{float(first['net_price']) + 1:.2f}", 1)
    sheet.write_text("\n".join(rows) + "\n")
    after = open_served(shop, read_files(shop), store)
    new = after.pieces.keys() - before.pieces.keys()

    assert after.assistant.catalogue.version != before.assistant.catalogue.version
    assert len(new) == 2, "one part and the list of parts"


def test_another_program_is_told_from_this_one(shop: Settings, store: Store) -> None:
    name = keep(shop, store, JOBS[0])
    kept = kept_quote(store, name)
    assert kept.versions is not None
    again = made_again(store, kept)

    assert again.program == again.then.program == kept.versions.program
    assert len(kept.versions.roots) == 4
    assert Versions(**{f: getattr(kept.versions, f) for f in ("program", "catalogue", "tables", "terms", "tariff")}) == kept.versions  # fmt: skip
