"""The quote as a document: what it says, that it says no more than it was given, and that nobody's text is more than text."""

import io
import re
import subprocess
import sys
import threading
import time
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pdfminer.pdfdocument import PDFDocument
from pdfminer.pdfparser import PDFParser
from pdfminer.pdftypes import resolve1

from bot.assistant import Conversation, Turn
from bot.documents import typesetting
from bot.documents.material import MOST_ROWS, Head, material_of
from bot.documents.quote_pdf import file_name, quote_pdf
from bot.documents.typesetting import TEMPLATE, DocumentFailed, typeset
from bot.opening import open_assistant
from engine.request import Request
from tests.unit.paper.pdf_text import pages_of_pdf, text_of_pdf

HEAD = Head(
    "Oxbow & Tansy Electrical Supply", ("612-555-0140", "quotes@example.com"), good_until=date(2026, 12, 24)
)
PACKS = "twelve 250W wallpacks at 20 ft, $0.11/kWh, dusk-to-dawn"
BODEGA = "6 campanas de 400 w de haluro metalico en la bodega a 24 pies, 12 horas al día, 14 centavos el kWh"


@pytest.fixture(scope="module")
def assistant():
    return open_assistant()


@pytest.fixture(scope="module")
def packs(assistant) -> Turn:
    return assistant.take_turn(Conversation(), PACKS)


def pdf(turn: Turn, head: Head = HEAD) -> bytes:
    return quote_pdf(turn.quote, turn.reading, turn.reading.language, turn.conversation.texts, head)


def material(turn: Turn, head: Head = HEAD) -> dict:
    return material_of(turn.quote, turn.reading, turn.reading.language, turn.conversation.texts, head)


def test_it_says_who_quotes_what_is_proposed_what_it_saves_and_what_was_assumed(packs) -> None:
    text = text_of_pdf(pdf(packs))

    for words in (
        "Oxbow & Tansy Electrical Supply", "612-555-0140", "December 24, 2026", "250 W wall pack", "≈ 295 W", "DUNLIN/05P", "52 W", "$252.00",
        "$3,024.00", "$2,488", "about 1.6 years", "between 1.5 and 1.9 years", "At 20 ft the new one keeps",
        "Assumed, not stated", "4,300 hours a year", "3,900 to 4,380", "means assumed, from tables", "licensed electrician",
        "authority having jurisdiction", "15,222", "2,683",
    ):  # fmt: skip
        assert words in text, words
    for number, page in enumerate(pages := pages_of_pdf(pdf(packs)), 1):
        assert f"Page {number} of {len(pages)}" in page


def test_every_assumption_of_the_reply_stands_under_assumed_and_a_stated_watt_bears_no_mark(
    assistant,
) -> None:
    turn = assistant.take_turn(Conversation(), "10 area lights, 400 W metal halide, 458 W input each, 25 ft")
    shown = material(turn)

    assert [row["watts"] for row in shown["rows"]] == ["458 W"]
    assert not shown["approximate"]
    assert {row["what"] for row in shown["assumed"]} >= {"Hours on", "Labor rate"}


def test_spanish_is_spanish_throughout(assistant) -> None:
    text = text_of_pdf(pdf(assistant.take_turn(Conversation(), BODEGA)))

    for words in (
        "Cotización de cambio a LED",
        "24 de diciembre de 2026",
        "Lo que se propone",
        "Supuesto, no indicado",
        "Página 1 de",
        "electricista con licencia",
    ):
        assert words in text, words
    for words in ("Lighting upgrade", "a year", "Page 1", "Assumed", "each"):
        assert words not in text, words


def test_the_same_quote_gives_the_same_bytes_and_no_date_of_its_own(packs) -> None:
    first = pdf(packs)

    assert pdf(packs) == first
    assert b"/CreationDate" not in first
    assert b"/ModDate" not in first


def test_it_is_tagged_titled_and_names_its_language(assistant, packs) -> None:
    for turn, language, title in (
        (packs, b"en", "Oxbow & Tansy Electrical Supply: Lighting upgrade quote"),
        (
            assistant.take_turn(Conversation(), BODEGA),
            b"es",
            "Oxbow & Tansy Electrical Supply: Cotización de cambio a LED",
        ),
    ):
        made = pdf(turn)
        catalog = PDFDocument(PDFParser(io.BytesIO(made))).catalog

        assert resolve1(catalog["MarkInfo"])["Marked"] is True
        assert "StructTreeRoot" in catalog
        assert catalog["Lang"] == language
        assert resolve1(catalog["ViewerPreferences"])["DisplayDocTitle"] is True
        assert b"pdfuaid:part" in resolve1(catalog["Metadata"]).get_data()
        assert pypdfium2.PdfDocument(made).get_metadata_value("Title") == title


def audit(assistant, count: int) -> Turn:
    lines = [
        {"qty": 3, "family": "wall_pack", "source": "MH", "watts": 70 + n % 330, "height_ft": 10 + n % 20}
        for n in range(count)
    ]
    return assistant.quote(Request.model_validate({"job": {"rate_per_kwh": 0.11}, "lines": lines}))


def test_a_long_table_goes_over_pages_with_its_head_on_each(assistant) -> None:
    pages = pages_of_pdf(pdf(audit(assistant, 60)))
    with_rows = [page for page in pages if re.search(r"\$[\d.,]+\s+\$[\d.,]+", page)]

    assert len(with_rows) >= 4
    for page in with_rows:
        assert "Replacement" in page


def test_what_is_too_long_to_list_is_counted_and_said(assistant) -> None:
    turn = audit(assistant, 3)
    many = replace(turn.quote, lines=turn.quote.lines * 1000)
    shown = material(replace(turn, quote=many))

    assert len(shown["rows"]) == MOST_ROWS
    assert shown["more"] == "2,600 more lines are not listed here; they are in the totals."


def test_what_has_no_replacement_is_told_and_left_out_of_the_totals(assistant) -> None:
    text = text_of_pdf(pdf(assistant.take_turn(Conversation(), "12 175w MH wall packs and 6 exit signs")))

    assert "Not in the totals: line 2." in text
    assert "Exit and emergency lights need a person" in text


def test_an_answer_without_a_price_or_a_saving_is_set_too(assistant) -> None:
    for asked in ("8 widgets of 90 W", "6 exit signs", "quote 12 LED wall packs 50 W"):
        turn = assistant.take_turn(Conversation(), asked)

        assert turn.quote is not None
        assert "licensed electrician" in text_of_pdf(pdf(turn))


def test_the_template_reads_nothing_but_what_it_is_handed() -> None:
    code = re.sub(r"//[^\n]*", "", TEMPLATE.read_text("utf-8"))

    assert not re.search(
        r"\beval\b|\bimport\b|\binclude\b|\bread\(|\bimage\(|\bplugin\b|@preview|\bdatetime\b|https?:", code
    )
    assert code.count("sys.inputs") == 1


HOSTILE = [
    '#read("/etc/hostname")', '#eval("1+1")', "$x^2$", "*bold*", "_it_", "#import \"@preview/x:1.0.0\"", "<label> @ref", "\\u{41}", "// gone",
    "/* gone */", "`raw`", "= Heading", "#set page(width: 1pt)", "{{ 7*7 }}", "<script>alert(1)</script>", "](javascript:x)", "\u202egnp.exe", "'\"\\",
    "https://example.net/x", "a" * 300,
]  # fmt: skip
TEXTS = st.sampled_from(HOSTILE) | st.text(
    st.characters(min_codepoint=32, max_codepoint=0x17F, exclude_categories=("Cc", "Cf", "Cs", "Zs"))
    | st.just(" "),
    max_size=70,
)


def bare(text: str) -> str:
    """Without what a line break may put in or take out."""
    return re.sub(r"[\s\u200b\u00ad\ufffe-]", "", text)


@settings(max_examples=40, deadline=None)
@given(text=TEXTS)
def test_nobodys_text_is_ever_more_than_text(packs, text: str) -> None:
    quote = packs.quote
    named = replace(
        quote,
        request=quote.request.model_copy(update={"job": quote.request.job.model_copy(update={"site": text})}),
    )
    turn = replace(packs, quote=named)
    head = replace(HEAD, seller=text, contact=(text,), customer=text, left_out=(text,))
    shown = material(turn, head)
    set_text = bare(text_of_pdf(pdf(turn, head)))

    for given_text in (
        shown["head"]["seller"],
        shown["left_out"][0],
        *(value for _, value in shown["head"]["facts"]),
    ):
        assert bare(given_text) in set_text
    assert "DUNLIN/05P" in set_text


def test_text_in_a_script_that_the_fonts_lack_does_not_stop_it(packs) -> None:
    for text in ("照明器具 二十台", "مصابيح", "💡💡", "עברית", "a\u0301\u0302\u0303"):
        assert pdf(packs, replace(HEAD, customer=text)).startswith(b"%PDF-")


@pytest.mark.parametrize("about", ["../../etc/passwd", "a\r\nb", "con.exe\x00", "Ñandú <b>", "", "x" * 500])
def test_a_file_name_is_plain_whatever_it_is_about(about: str) -> None:
    name = file_name("es", about)

    assert re.fullmatch(r"[A-Za-z0-9 -]{1,80}\.pdf", name)
    assert name.startswith("cotizacion LED")


def test_too_much_is_refused_and_too_slow_is_given_up(packs, monkeypatch) -> None:
    with pytest.raises(DocumentFailed, match="too much"):
        typeset({"x": "a" * 5_000_000})

    release = threading.Event()

    class Slow:
        def pdf(self, data: str) -> bytes:
            release.wait(20)
            return b"%PDF-"

    monkeypatch.setattr(typesetting, "_typesetter", Slow())
    began = time.monotonic()
    with pytest.raises(DocumentFailed, match=r"took longer than 0\.2 seconds"):
        typeset(material(packs), seconds=0.2)
    assert time.monotonic() - began < 10
    release.set()
    # The next document has a typesetter of its own.
    assert pdf(packs).startswith(b"%PDF-")


def test_what_the_typesetter_refuses_is_one_fault_without_the_text() -> None:
    with pytest.raises(DocumentFailed) as fault:
        typeset({"secret": "Dan Hale"})

    assert "Dan" not in str(fault.value)


def test_a_typesetter_that_falls_over_is_a_document_that_fails_and_is_not_used_again(
    packs, monkeypatch
) -> None:
    class Panic(BaseException):
        """As compiled libraries raise them."""

    class Broken:
        def pdf(self, data: str) -> bytes:
            raise Panic

    monkeypatch.setattr(typesetting, "_typesetter", Broken())
    with pytest.raises(DocumentFailed, match="Panic"):
        typeset(material(packs))
    assert pdf(packs).startswith(b"%PDF-")


def test_only_who_wants_a_document_loads_the_typesetter() -> None:
    code = "import sys, bot.mail.desk, bot.commands.quote, bot.documents.quote_pdf; sys.exit('typst' in sys.modules)"
    root = Path(__file__).parents[3]

    assert subprocess.run([sys.executable, "-c", code], cwd=root, check=False).returncode == 0
