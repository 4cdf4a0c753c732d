"""A quote made ready to show: every number already written, every key already in words. Templates only arrange it."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Final, NamedTuple

from bot.replies import shown
from bot.replies.asked import choice_words, line_index, question_text, questions_left, slot_of
from bot.replies.assumed import AssumedView, assumption_views
from bot.replies.clean import one_line
from bot.replies.describe import job_details, line_details, line_kind, line_title, value_words
from bot.replies.heard import Heard, HeardDoubt, Language
from bot.replies.light_view import LightView, light_view
from bot.replies.money_view import MoneyView, money_view, paid_once, whole_of
from bot.replies.reasoned import days, problem_text, reason_text
from bot.replies.words import Words, listing, words_in
from engine.by_object import ByObject
from engine.catalog.product import Product
from engine.cautions import ALWAYS
from engine.figure import Figure
from engine.proposal import Existing, Option, Question, Quote, QuoteLine
from engine.record import record

MOST_LINES: Final = 40
"""Lines shown one by one; a long audit's other lines are in its totals and in the JSON."""
MOST_UNREAD: Final = 4
MOST_FAULTS: Final = 6
GRAVEST_FIRST: Final = (
    "hazardous_location",
    "no_wiring_advice",
    "egress",
    "pcb",
    "voltage_check",
    "overhead_lines",
    "open_rated_mh",
    "mercury",
    "wet_location",
    "height",
    "retrofit_kit",
    "asbestos_lead",
    "pole_structure",
    "ballast_disconnect",
    "other_waste",
    "energy_code",
    "glare_trespass",
)
"""A job's own cautions in the order in which they are named where there is room for a few words only."""
NAMED_IN_EVERY_MESSAGE: Final = ("hazardous_location", "egress", "pcb", "mercury", "height", "wet_location")
"""Cautions that even the shortest text message names when the job calls for them."""
NOTES_SAID_ELSEWHERE: Final = frozenset({"never_pays_back", "some_lines_left_out", "lift_included"})
_UNSAID: Final = frozenset({"in_stock"})
_UNSAID_WHERE_TOO_BRIGHT: Final = _UNSAID | {"brightest", "brightest_there"}
"""Reasons that stand elsewhere already, or against a concern."""
STOCK_CONCERNS: Final = frozenset({"partial_stock", "not_in_stock"})
"""Said beside the price already."""


@record
class DoubtView:
    """A slot that could be something else: its name, what was taken, what else it could be."""

    path: str
    name: str
    value: str
    others: str


@record
class OptionView:
    """One product on offer.

    ``role`` is empty where its reasons say it better; ``facts`` are those that its description does not say already;
    ``pieces`` says how many go into one luminaire and what that costs, where it takes more than one.
    """

    letter: str
    chosen: bool
    part_number: str
    description: str
    facts: tuple[str, ...]
    watts: str
    lumens: str
    cct: str
    finish: str
    price: str
    pieces: str
    stock: str
    stock_short: str
    role: str
    reasons: tuple[str, ...]
    why: str
    concerns: tuple[str, ...]
    saved: str
    payback: str


@record
class LineView:
    """One luminaire type: as read, what it draws, what is offered. ``supposed_lamp``, ``existing`` and ``problem`` may be empty."""

    number: int
    title: str
    kind: str
    qty: str
    details: tuple[str, ...]
    doubts: tuple[DoubtView, ...]
    supposed_lamp: str
    existing_watts: str
    existing_is_stated: bool
    existing_range: str
    existing_source: str
    options: tuple[OptionView, ...]
    problem: str
    light: LightView

    @property
    def chosen(self) -> OptionView | None:
        """The option that the totals are computed with."""
        return next((o for o in self.options if o.chosen), None)


@record
class QuestionView:
    """A question with the answers worth offering as buttons."""

    path: str
    text: str
    answers: tuple[str, ...]


@record
class CautionView:
    """A caution in full and in a few words; ``always`` where it holds for every job."""

    key: str
    text: str
    short: str
    always: bool


@record
class QuoteView:
    """The whole reply's material.

    Attributes:
        paid_once: what an option's own payback leaves out, since it is paid once for the job; empty for nothing.
        minor: assumptions that move little, a few words each; ``minor_count``: how many there are.
        cautions_always, cautions_triggered: those of every job; those that this job called for, the gravest first.
        cautions_to_name: as ``cautions_triggered``; ``cautions_named``: what every text message must name, in a word or two.
    """

    lines: tuple[LineView, ...]
    line_count: str
    lines_left_out: str
    unpriced: tuple[str, ...]
    qty: str
    job: tuple[str, ...]
    doubts: tuple[DoubtView, ...]
    assumptions: tuple[AssumedView, ...]
    minor: tuple[str, ...]
    minor_count: str
    assumed_short: tuple[str, ...]
    money: MoneyView | None
    paid_once: str
    notes: tuple[str, ...]
    questions: tuple[QuestionView, ...]
    cautions: tuple[CautionView, ...]
    cautions_always: tuple[CautionView, ...]
    cautions_triggered: tuple[CautionView, ...]
    cautions_to_name: tuple[CautionView, ...]
    cautions_named: tuple[str, ...]
    faults: tuple[str, ...]
    unread: tuple[str, ...]
    catalog_version: str
    tables_version: str


def quote_view(
    quote: Quote, reading: Heard, words: Words, questions: int, texts: Sequence[str] = ()
) -> QuoteView:
    """The material of a reply with at most ``questions`` questions; ``texts`` are the conversation's messages."""
    metric = bool(quote.request.job.metric)
    count = len(quote.lines)
    lines = tuple(_line(line, reading, words, metric) for line in quote.lines[:MOST_LINES])
    assumptions, minor, minor_count = assumption_views(quote.assumptions, count, words, metric)
    cautions = _cautions(tuple([c.key for c in quote.cautions]), words.language)
    return QuoteView(
        lines=lines,
        line_count=shown.whole(count),
        unpriced=tuple(shown.whole(line.index + 1) for line in quote.lines if line.problem is not None),
        lines_left_out=str(count - MOST_LINES) if count > MOST_LINES else "",
        qty=whole_of(quote.totals, "qty"),
        job=job_details(quote.request.job, words),
        doubts=tuple(_doubt(d, words, metric) for d in reading.doubts if line_index(d.path) is None),
        assumptions=assumptions,
        minor=minor,
        minor_count=str(minor_count) if minor_count else "",
        assumed_short=tuple(a.short for a in assumptions),
        money=money_view(quote, words) if "project_cost" in quote.totals else None,
        paid_once=paid_once(quote.totals, words),
        notes=tuple(reason_text("notes", n, words) for n in quote.notes if n.key not in NOTES_SAID_ELSEWHERE),
        questions=tuple(
            _question(q, reading, words) for q in questions_left(quote.questions, reading.put_off)[:questions]
        ),
        cautions=cautions.all,
        cautions_always=cautions.always,
        cautions_triggered=cautions.triggered,
        cautions_to_name=cautions.triggered,
        cautions_named=cautions.named,
        faults=faults_of(reading),
        unread=unread_of(reading, texts),
        catalog_version=one_line(quote.catalog_version, 40),
        tables_version=one_line(quote.tables_version, 40),
    )


class _Cautions(NamedTuple):
    """The cautions of a job, as `QuoteView` has them."""

    all: tuple[CautionView, ...]
    always: tuple[CautionView, ...]
    triggered: tuple[CautionView, ...]
    named: tuple[str, ...]


@lru_cache(maxsize=512)
def _cautions(keys: tuple[str, ...], language: Language) -> _Cautions:
    """Kept, since jobs call for the same few sets of them."""
    words = words_in(language)
    cautions = tuple([_caution(key, words) for key in keys])
    triggered = tuple(sorted((c for c in cautions if not c.always), key=_gravity))
    called_for = {c.key for c in triggered}
    return _Cautions(
        cautions,
        tuple([c for c in cautions if c.always]),
        triggered,
        tuple([words.of("cautions_named", key) for key in NAMED_IN_EVERY_MESSAGE if key in called_for]),
    )


def _caution(key: str, words: Words) -> CautionView:
    return CautionView(key, words.of("cautions", key), words.of("cautions_short", key), key in ALWAYS)


def _gravity(caution: CautionView) -> int:
    return GRAVEST_FIRST.index(caution.key) if caution.key in GRAVEST_FIRST else len(GRAVEST_FIRST)


def faults_of(reading: Heard) -> tuple[str, ...]:
    """What was said and can't be, one line each."""
    return tuple(one_line(f.text, 200) for f in reading.faults[:MOST_FAULTS])


def unread_of(reading: Heard, texts: Sequence[str]) -> tuple[str, ...]:
    """The passages that carry a number or a trade word and were used for nothing, of this turn."""
    out = []
    last = len(texts) - 1
    for turn, start, end in reading.unread:
        if turn == last and 0 <= start < end <= len(texts[turn]):
            passage = one_line(texts[turn][start:end], 40)
            if passage and passage not in out:
                out.append(passage)
    return tuple(out[:MOST_UNREAD])


def stated_views(reading: Heard, words: Words) -> tuple[str, ...]:
    """What was read, as plain lines, for replies without a quote."""
    metric = bool(reading.job.metric)
    out = [
        ", ".join((line_title(line, words), *line_details(line, words, metric)))
        for line in reading.lines[:MOST_LINES]
    ]
    if job := job_details(reading.job, words):
        out.append(", ".join(job))
    return tuple(out)


def _line(line: QuoteLine, reading: Heard, words: Words, metric: bool) -> LineView:
    doubts = [d for d in reading.doubts if line_index(d.path) == line.index]
    existing = line.existing
    watts = existing.input_watts if existing is not None else None
    return LineView(
        number=line.index + 1,
        title=line_title(line.stated, words),
        kind=line_kind(line.stated, words),
        qty=shown.whole(line.stated.qty) if line.stated.qty is not None else "1",
        details=line_details(line.stated, words, metric),
        doubts=tuple(_doubt(d, words, metric) for d in doubts),
        supposed_lamp=supposed_lamp(line, words),
        existing_watts=shown.watts(watts.value) if watts is not None else "",
        existing_is_stated=watts is not None and watts.origin is not None and watts.origin.kind == "stated",
        existing_range=_leaf_range(watts, words),
        existing_source=_existing_source(existing, words),
        options=tuple(_option(line, n, option, words, metric) for n, option in enumerate(line.options)),
        problem=problem_text(line.problem, words) if line.problem is not None else "",
        light=light_view(line, words, metric),
    )


def supposed_lamp(line: QuoteLine, words: Words) -> str:
    """The kind of lamp where it was not said: "most likely metal halide"; "" where it was."""
    existing = line.existing
    if line.stated.source is not None or existing is None or existing.source is None:
        return ""
    return words.say("supposed_lamp", lamp=value_words("source", existing.source, words))


def _leaf_range(figure: Figure | None, words: Words) -> str:
    if figure is None or figure.origin is None or not figure.is_ranged:
        return ""
    return shown.amount_range(figure.origin.low, figure.origin.high, figure.unit, words)


def _existing_source(existing: Existing | None, words: Words) -> str:
    if existing is None or not existing.ballast or existing.ballast == "none":
        return ""
    return value_words("ballast", existing.ballast, words)


def _option(line: QuoteLine, number: int, option: Option, words: Words, metric: bool) -> OptionView:
    product, figures = option.product, option.figures
    qty = pieces_wanted(line, option)
    payback, saved, price = (figures.get(n) for n in ("simple_payback_years", "saved_per_year", "unit_price"))
    says_role = any(r.key.removesuffix("_there") == option.role for r in option.reasons)
    stock, short = stock_words(product, qty, words)
    each = price.value if price is not None else product.net_price
    role = str(words.of("roles", option.role)) if says_role else ""
    too_bright = any(c.key in ("more_light", "more_light_there") for c in option.concerns)
    unsaid = _UNSAID_WHERE_TOO_BRIGHT if too_bright else _UNSAID
    reasons = tuple([reason_text("reasons", r, words, metric) for r in option.reasons if r.key not in unsaid])
    told = _products_told.get(
        product, (option.cct_k, option.finish, words.language), _product_told, product, option.cct_k, option.finish, words
    )  # fmt: skip
    return OptionView(
        letter="ABC"[number] if number < 3 else str(number + 1),
        chosen=number == line.chosen,
        part_number=product.part_number,
        description=told.description,
        facts=told.facts,
        watts=told.watts,
        lumens=told.lumens,
        cct=told.cct,
        finish=told.finish,
        price=shown.price(each),
        pieces=words.say(
            f"pieces_{product.kind}",
            pieces=shown.whole(option.pieces_each),
            price=shown.price(each * option.pieces_each),
        )
        if option.pieces_each > 1
        else "",
        stock=stock,
        stock_short=short,
        role=role,
        reasons=reasons,
        why=" ".join((f"{role}.", *reasons) if role else reasons),
        concerns=tuple(
            [
                reason_text("concerns", r, words, metric)
                for r in option.concerns
                if r.key not in STOCK_CONCERNS
            ]
        ),
        saved=shown.dollars(saved.value) if saved is not None else "",
        payback=shown.years(payback.value, words) if payback is not None else "",
    )


class _ProductTold(NamedTuple):
    """What an option says of its product whatever the job, as `OptionView` has it."""

    description: str
    facts: tuple[str, ...]
    watts: str
    lumens: str
    cct: str
    finish: str


_products_told: Final = ByObject[_ProductTold](4096)


def _product_told(product: Product, cct_k: int, finish: str | None, words: Words) -> _ProductTold:
    watts, lumens, cct = shown.watts(product.input_watts), f"{shown.whole(product.lumens)} lm", f"{cct_k} K"
    description = one_line(product.description, 120)
    finished = value_words("finish", finish, words) if finish is not None else ""
    facts = [fact for fact in (watts, lumens) if fact not in description]
    return _ProductTold(
        description, (*facts, cct, *((finished,) if finished else ())), watts, lumens, cct, finished
    )


def stock_words(product: Product, pieces: int, words: Words) -> tuple[str, str]:
    """Whether so many pieces are at hand, in full and in a few words."""
    in_stock = product.in_stock
    return _stock_words(in_stock, in_stock >= pieces, product.lead_time_days, words.language)


@lru_cache(maxsize=2048)
def _stock_words(in_stock: int, enough: bool, lead_days: int, language: Language) -> tuple[str, str]:
    words = words_in(language)
    lead, have = days(lead_days, words), shown.whole(in_stock)
    if enough:
        return words.say("stock_all", pieces=have), words.say("stock_short")
    if in_stock > 0:
        return words.say("stock_some", pieces=have, days=lead), words.say(
            "stock_some_short", pieces=have, days=lead
        )
    return words.say("stock_none", days=lead), words.say("stock_none_short", days=lead)


def pieces_wanted(line: QuoteLine, option: Option) -> int:
    """Pieces to order: a lamp swap takes several a luminaire."""
    return (line.stated.qty or 1) * option.pieces_each


def _doubt(doubt: HeardDoubt, words: Words, metric: bool) -> DoubtView:
    slot = slot_of(doubt.path)
    return DoubtView(
        path=doubt.path,
        name=words.find("names", slot) or one_line(slot.replace("_", " ")),
        value=value_words(slot, doubt.value, words, metric),
        # no value among the others: it may not be meant at all, which has no words of a value
        others=listing(
            [value_words(slot, o, words, metric) for o in doubt.others[:4] if o is not None], words, "or"
        ),
    )


def _question(question: Question, reading: Heard, words: Words) -> QuestionView:
    return QuestionView(
        question.path,
        question_text(question, reading, words.language),
        tuple(choice_words(question, words)),
    )
