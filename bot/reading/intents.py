"""What the writer wants: one of the contract's intents, from phrases and from what was read.

Safety comes first and errs to the safe side: a phrase of danger hands over unless it stands inside a known near miss
("fire station", "shocked by the price").
"""

import re
from functools import cache, lru_cache
from typing import Literal, NamedTuple, final

from bot.reading.compiled import INTENTS, parsed, part
from bot.reading.late import Late
from bot.reading.phrasing import IntentPhrases, intent_phrases_of, plain_words
from bot.reading.words import words_of
from engine.vocabulary import Intent


@final
class Features:
    """What the reader found, as far as it bears on the intent."""

    __slots__ = (
        "action",
        "added",
        "answered",
        "asked",
        "command",
        "counted",
        "in_conversation",
        "job",
        "lines",
        "question",
        "trade",
        "unsure",
    )

    def __init__(
        self,
        lines: int,
        counted: bool,
        trade: bool,
        job: bool,
        question: bool,
        in_conversation: bool,
        asked: bool,
        command: bool,
        action: bool,
        added: bool,
        answered: bool,
        unsure: bool,
    ) -> None:
        self.lines = lines
        self.counted = counted
        self.trade = trade
        self.job = job
        self.question = question
        self.in_conversation = in_conversation
        self.asked = asked
        self.command = command
        self.action = action
        self.added = added
        self.answered = answered
        self.unsure = unsure


@lru_cache(maxsize=1)
def _phrases() -> IntentPhrases:
    held = part("intents", INTENTS)
    if held is None:
        return intent_phrases_of(parsed("intents"))
    names = [frozenset(mean) for mean in held["meanings"]]
    return {
        first: tuple(
            [
                (tuple(rest.split(" ")) if rest else (), names[number])
                for rest, number in zip(rests[::2], rests[1::2], strict=True)
            ]
        )
        for first, rests in held["phrases"].items()
    }


@cache
def _followed(first: str) -> IntentPhrases:
    """The phrases that begin with a word by their second word; under ``""`` the word alone, which stands with each of them."""
    rests = _phrases()[first]
    alone = tuple([phrase for phrase in rests if not phrase[0]])
    seconds = {rest[0] for rest, _ in rests if rest}
    return {"": alone} | {
        second: (*[phrase for phrase in rests if phrase[0][:1] == (second,)], *alone) for second in seconds
    }


@lru_cache(maxsize=2)
def intent_words(intent: str = "") -> frozenset[str]:
    """Every word that stands in some phrase of the intents; of one intent alone where it is named."""
    return frozenset(
        word
        for first, rests in _phrases().items()
        for rest, names in rests
        if not intent or any(name.startswith(intent) for name in names)
        for word in (first, *rest)
    )


_CALL = Late(
    r"(?:someone|somebody|anyone|anybody|a person|a human|alguien) (?:there |else )?(?:i|we|that i|who i|con quien|a quien) (?:can|could|may|puedo|pueda) (?:just )?(?:call|talk|speak|hablar|llamar|phone)|"
    r"(?:get|put|have|need|want) (?:me |us )?(?:somebody|someone|a person|a human|a rep|anybody|anyone|him|her|alguien)(?: real| live)? (?:on the (?:phone|line)|al telefono)|"
    r"(?<![a-z])(?:have|get|can|could|would|let|tell|ask) (?!you\b|u\b|i\b|we\b)[a-z]{2,12}(?: [a-z]{2,12}){0,2} (?:to )?(?:call|phone|ring)(?: me| us| back|$|[.!?])"
)


_CALL_ME = Late(
    r"(?<![a-z])(?:call|phone|ring) (?:me|us)(?! (?:crazy|bob|if|with|for any|should|old|when|names|back when))(?![a-z])|(?<![a-z])(?:llamame|llameme|marqueme|marcame)(?![a-z])"
)
"""A call is wanted, unless it only comes with a described job: "call me at 216-555-0148 - 10 shoeboxes"."""
_PLEASE_BEFORE = Late(r"(?<![a-z])(?:please|pls|plz|favor) ?[.!?\n][.! \n]{0,4}(?:call|phone|ring|llam|marq)")
"""The courtesy closes the sentence before: "quote please. Call me at ..."."""


_CALL_BACK = frozenset(
    [
        "call me back",
        "call back",
        "call back please",
        "please call me",
        "pls call me",
        "give me a call",
        "gimme a call",
        "give us a call",
        "call us back",
        "llameme",
        "llamenme",
        "llamame",
        "marqueme",
    ]
)
"""A call is wanted as in the text above."""
_OF_IT = words_of("about regarding re to so sobre acerca para por i we id rather")
"""What goes on behind a wish to talk."""
_SOMEBODY = Late(
    r"(?<![a-z])(?:someone|somebody|anyone|anybody|alguien|a rep|a person|a human)(?: [a-z]{2,12}){0,5} (?:(?:call|phone|ring) (?:me|us)|give (?:me|us) a (?:call|ring|buzz|shout))(?![a-z])"
)


class Heard(NamedTuple):
    """Phrases heard: intent -> how many words of the text they cover, the words in all, where each began, the first two words."""

    covered: dict[str, int]
    words: int
    first: dict[str, int]
    opening: list[str]


_NON_HAZARDOUS = Late(
    r"(?<![a-z])(?:non ?-?hazardous|(?:not|isn'?t|no es) (?:a |an )?(?:hazardous|classified|peligros[oa])|un ?-?classified|no hazard(?:ous)?(?: area| location)?)(?![a-z])"
)
_VAPOURS = words_of(
    """gas gases gasoline gasolina fuel fuels fueling diesel pump pumps dispenser dispensers propane lp lpg cng paint painting pintura spray grain
    granos class division div zone explosion explosive explosivo dust polvo solvent solventes ethanol alcohol refinery chemical hydrogen"""
)
"""Words of a place that stays one for a person, whatever is said of it beside."""


@lru_cache(maxsize=4)
def listen(folded: str) -> Heard:
    """Every phrase of the intent lexicon in the text; near misses hide what they cover."""
    words = plain_words(folded)
    known = _phrases()
    hidden = bytearray(len(words))
    hits: list[tuple[int, int, frozenset[str]]] = []
    for at, word in enumerate(words):
        if word not in known:
            continue
        followed = _followed(word)
        after = words[at + 1] if at + 1 < len(words) else ""
        for rest, names in followed.get(after) or followed[""]:
            to = at + 1 + len(rest)
            if not rest or words[at + 1 : to] == list(rest):
                if "near_miss" in names:
                    hidden[at:to] = b"\1" * (to - at)
                hits.append((at, to, names))
    covered: dict[str, int] = {}
    first: dict[str, int] = {}
    if _CALL.search(folded) or _SOMEBODY.search(folded):
        covered["handoff.person"] = 3
        first["handoff.person"] = 0
    harmless = _NON_HAZARDOUS.search(folded) is not None
    closed = _PLEASE_BEFORE.search(folded) is not None
    for at, to, names in hits:
        for name in names:
            if name == "handoff.place" and harmless and _VAPOURS.isdisjoint(words[at:to]):
                continue  # "tank farm, non hazardous, its water"
            if closed and name == "handoff.person" and words[at] in ("please", "pls", "plz", "favor"):
                continue
            if (
                name == "handoff.place"
                and _denied(words, at, to)
                and f"{words[at - 1]} {words[at]}" in folded
            ):
                continue
            if (name.startswith("handoff") or name in ("accept", "greet")) and any(hidden[at:to]):
                continue
            if (
                name == "handoff.person"
                and " ".join(words[at:to]) in _CALL_BACK
                and (to >= len(words) or words[to] not in _OF_IT)
            ):
                name = "call_back"
            covered[name] = covered.get(name, 0) + to - at
            first.setdefault(name, at)
    return Heard(covered, len(words), first, words[:2])


def _denied(words: list[str], at: int, to: int) -> bool:
    """Whether a place of danger is said not to be there: "no hazmat", "not a paint booth", "we don't need explosion proof"."""
    before = words[at - 1] if at else ""
    two = words[at - 2] if at > 1 else ""
    if before in ("need", "want", "necesita", "necesitamos"):
        return two in ("dont", "doesnt", "don't", "doesn't", "no")
    if not _RATED.isdisjoint(words[at:to]):
        return False  # "no explosion proof lights in there yet"
    return before in ("no", "nothing", "ningun", "ninguna") or (
        before in ("a", "an", "un", "una")
        and two in ("not", "isnt", "isn't", "aint", "no", "es")
        and (two != "es" or (at > 2 and words[at - 3] == "no"))
    )


_RATED = words_of("proof rated class div division clase zone xp")
_HARD_STATUS = 2


def intent_of(folded: str, features: Features) -> Intent:
    """The intent of a message."""
    heard = listen(folded)  # asked for more than once a message: what is added here goes into copies
    heard = Heard(dict(heard.covered), heard.words, dict(heard.first), heard.opening)
    covered = heard.covered
    if "handoff.danger" in covered or "handoff.place" in covered or "handoff.person" in covered:
        return "handoff"
    if features.command:
        return "revise"
    described = features.lines > 0 and features.counted
    if not described and ("call_back" in covered or _CALL_ME.search(folded)):
        return "handoff"
    for_quote = covered.get("quote", 0)
    if features.in_conversation and asks_what_it_comes_to(folded):
        return "quote"
    if _WILL_DO.search(folded):
        return "layout"
    if (
        (
            "accept" in covered
            or (_GO_WITH.search(folded) and (features.in_conversation or not described))
            or (features.in_conversation and not features.asked and _SEND_IT.fullmatch(folded))
        )
        and not _go_ahead_and_price(folded)
        and not (
            covered.get("status", 0) >= _HARD_STATUS
            and heard.first.get("status", 9) <= heard.first.get("accept", 0)
        )
        and not (features.in_conversation and features.lines and _DO_IT_SO.search(folded))
        and not (described and for_quote > 1)
        and not (described and not features.in_conversation and not _ORDERS.search(folded))
        and (not features.question or heard.first.get("accept", 0) < 3)
        and not (_SO_MANY_TAKEN.search(folded) and not _ORDERS_IT.search(folded))
    ):
        return "accept"
    if _STATUS.search(folded):
        covered["status"] = covered.get("status", 0) + _HARD_STATUS
    if not described and _OTHER_OPTION.search(folded):
        covered.setdefault("compare", 2)
        heard.first.setdefault("compare", 0)
    if (
        covered.get("status", 0) >= _HARD_STATUS
        and not (described and not _asks_status(folded))
        and not (features.in_conversation and _FIGURED.search(folded))
    ):
        return "status"
    if (
        _ASKS_AFTER.search(folded)
        and not _WANTS.search(folded)
        and not (features.in_conversation and _FIGURED.search(folded))
    ):
        return "status"
    if _WIRING.search(folded) or _RETURNS.search(folded):
        return "other"
    if features.in_conversation and not described and not features.asked and _TAX.search(folded):
        return "other"
    if (
        not features.in_conversation
        and (not described or heard.words <= _SHORT_QUESTION)
        and _OF_GOODS.match(folded)
        and not _asks_price(folded)
        and not _WANTS.search(folded)
    ):
        return "other"
    if not described and _STOCKED.search(folded) and not _asks_price(folded):
        return "other"
    if covered.get("layout", 0) <= 2 and described and "?" not in folded and _LEVEL_TOLD.search(folded):
        covered.pop("layout", None)  # what somebody demands is told beside the request, and nothing is asked
    if (
        "layout" in covered
        and described
        and "?" not in folded
        and (grievance := _GRIEVANCE.search(folded)) is not None
        and _PLAINLY_WANTED.search(folded)
        and "layout" not in listen(folded[: grievance.start()] + folded[grievance.end() :]).covered
    ):
        covered.pop("layout")  # "neighbors complain about glare so I need full cutoff packs"
    if described and _PAYS_FOR_IT.search(folded) and not _OF_LIGHT.search(folded):
        return "quote"
    if "layout" in covered or _LIGHT_LEVEL.search(folded) or _HOW_MANY.search(folded):
        return "layout"
    if _WHERE_FROM.search(folded):
        covered.setdefault("explain", 2)
        heard.first.setdefault("explain", 0)
    if not features.answered and _OF_A_FIGURE.match(folded) and not _WANTS.search(folded):
        return "explain"  # the lamp that the figure is of may be told beside it
    opening = heard.opening
    if opening[:1] in _WHY or opening == ["por", "que"] or opening[:1] == ["porque"]:
        covered.setdefault("explain", 1)
        heard.first.setdefault("explain", 0)
    if (
        features.in_conversation
        and not features.answered
        and (
            _FIGURED.search(folded)
            or _WHERE_FROM.match(folded.lstrip(" "))
            or opening[:1] == ["why"]
            or _GOT_FROM.search(folded)
        )
    ):
        return "explain"
    if not described and not features.answered and (_GOT_FROM.search(folded) or _WHY_THAT.search(folded)):
        return "explain"
    if (
        not described
        and not features.trade
        and not features.in_conversation
        and ("explain" in covered or _FIGURED.search(folded))
    ):
        return "explain"
    if (
        "explain" in covered
        and not described
        and (features.question or features.in_conversation or heard.first["explain"] < 4)
    ) and not (features.asked and features.answered):
        return "explain"
    if (
        "compare" in covered
        and not described
        and not (features.in_conversation and features.lines and _POINTS_ON.search(folded))
        and not (features.job and not features.question)
    ):
        return "compare"
    if "status" in covered and not described and not features.trade and heard.words <= 12:
        return "status"
    if features.in_conversation and covered.get("other", 0) >= 2 and not described and not features.asked:
        return "other"
    if (
        features.in_conversation
        and not described
        and not features.asked
        and _FIGURE_ASKED.fullmatch(folded.strip())
    ):
        return "explain"
    if features.in_conversation and not features.lines and not features.asked and _ORDER_HELD.search(folded):
        return "revise"
    nothing = not (features.lines or features.job or features.action or features.asked)
    if features.in_conversation and nothing and _ASKS_SAVING.search(folded):
        return "quote"
    if features.in_conversation and features.unsure:
        return "other"
    if (
        features.in_conversation
        and not features.asked
        and _WOULD_COST.search(folded)
        and not _CHANGE_TO.search(folded)
    ):
        return "compare"
    if features.in_conversation and (features.lines or features.job or features.action or features.answered):
        return (
            "quote"
            if (features.asked and features.answered) or (features.added and not features.action)
            else "revise"
        )
    if covered.get("other", 0) >= 2 and not described and not (features.trade and for_quote):
        return "other"
    if features.lines or features.job:
        if (
            not features.in_conversation
            and _opens_with_change(heard, features)
            and not _MAKE_A_QUOTE.search(folded)
        ):
            return "revise"
        return "quote"
    if _ONLY_GREETS.fullmatch(folded.strip()):
        return "greet"
    if (
        "greet" in covered
        and not (features.in_conversation and _ASKS_SOMETHING.search(folded))
        and not features.trade
        and not features.question
        and not _CHATTER.fullmatch(folded.strip())
    ):
        rest = heard.words - covered["greet"]
        if rest <= 3 + heard.words // 2 or (heard.first["greet"] == 0 and not for_quote):
            return "greet"
    if (
        for_quote
        and (features.trade or covered.get("quote", 0) >= 2)
        and not covered.get("other")
        and heard.words >= 2
        and not features.in_conversation
    ):
        return "quote" if features.trade or _asks_price(folded) else "other"
    return "other"


_ASKS_SOMETHING = Late(
    r"[.,;!?] ?(?:and |but |oh |also |btw |ps )?(?:(?:do|does|can|could|will|would) (?:you|u|yall|y'all|i|we|they)|are (?:you|u|yall) (?:guys )?(?:open|closed|doing)|is (?:there|that|it)|whats|what's|what is|how (?:do|long|much)|aceptan|tienen|puedo)(?![a-z])(?! (?:later|soon|tomorrow))"
)
"""Beside the thanks something is asked: "that's it I think. do you take checks"."""
_TAX = Late(
    r"(?<![a-z])(?:with or without|with|before|without|plus|includ(?:e|es|ing|ed)|charge|after|and) (?:the |any |sales )?(?:tax|taxes|freight|shipping|delivery)(?: (?:and|or) (?:tax|freight|shipping|delivery))?(?: included| on (?:that|it|top)| in (?:that|it|there))? ?\??[ .!]*$"
    r"|(?<![a-z])(?:incluye|incluido|con|sin|mas) (?:el |la |los )?(?:iva|flete|envio|impuestos)(?: o (?:sin|con)(?: (?:el )?(?:iva|flete))?)? ?\??[ .!]*$|(?<![a-z])(?:is|are) (?:that|those|it|they|the price|prices) (?:with|before|plus|after) tax"
)
"""Tax and freight are asked after, which no figure of ours holds."""
_SO_MANY_TAKEN = Late(
    r"(?<![a-z])(?:approved?|ok'?d|okay(?:e?d)?|authorized|funded|sold|aprobaron|aprobo|autorizaron)(?: (?:me|us|for|only|just|about|like|solo|nomas)){0,2} (?:\d|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|dos|tres|cuatro|cinco|seis|ocho|diez|my|some)(?![a-z])"
)
"""So many are granted, or something else is sold: "council only approved 8", "sold 40 head this morning"."""
_ORDERS_IT = Late(r"(?<![a-z])(?:go ahead|order|send (?:it|them)|ship|place|adelante|pedido)(?![a-z])")
_SEND_IT = Late(
    r" *(?:(?:ok|okay|yeah|yes|yep|fine|great|cool|perfect|good|sure|alright|nice|sounds good|looks good|just|please|then|so|and)[ ,.!]{1,2}){0,4}(?:(?:send|ship|book|order|get) (?:me |us )?(?:that|it|those|them|em|that one|(?:the )?(?:first|1st|original)(?: one| option)?)|(?:ship|book|order) (?:me |us )?the (?:second|2nd|other|cheaper|cheapest|better|last|third|3rd|premium)(?: one| option)?|(?:do|take) the (?:first|1st|second|2nd|other|cheaper|cheapest) (?:one|option)|(?:manda|mande|manden|mandame|mandeme|mandanos|envia|envie|enviame)(?: (?:la|el))? (?:primer[oa]?|1ra)(?: opcion)?)(?: over| out| please| pls| then| up| already| today| asap| thanks| thx)?[ .!]*"
)
"""As in "send me that": what was shown is taken."""
_CHATTER = Late(
    r"(?:hi|hello|hey|hola|yo|sup|morning|evening|howdy)(?: (?:there|man|guys|again|bud|boss))?[ ,.!]{1,3}(?:what|whats|what's|how|hows|where|wheres|when|who|why|is|are|do|does|did|can|will|que|como|cuando|donde|cual|it|its|it's|my|our|the|we|we're|he|she)(?![a-z])(?! (?:are you|are things|is it going|ya doing|you doing|it going|are ya|u doing|estas?|tal|up(?![a-z])))(?: [^ ]{1,16}){2,}"
    r"|.{0,40}(?:says?|said|say|manda(?:n)?) (?:hi|hello|hey|saludos)(?: (?:lol|haha|btw|to (?:you|u|everyone)))*[ .!]*"
)
"""A greeting with some other talk behind it, or somebody else's greeting."""
_PAPER = r"(?:quote|quotes|order|orders|estimate|bid|proposal|po|invoice|shipment|delivery|material|paperwork|numbers|pricing|submittal|submittals|lights|fixtures|stuff|cotizacion|pedido|orden|presupuesto|propuesta)"
_STATUS = Late(
    rf"(?<![a-z])(?:did|has|have|had|was|were|is|are|when (?:did|will|does|do|is|are|can)) (?:the|my|our|that|those|this|first|second|last|original|anyone|anybody|someone|you|u|yall|you guys|they|it)(?: (?:first|second|last|other|original|new|revised|old))*(?: {_PAPER})?(?: [a-z]{{2,12}}){{0,3}}? (?:go(?:ne)? (?:out|through)|went out|get (?:sent|there|in|out|here|my|our|the)|got (?:sent|my|our)|been (?:sent|shipped|placed|processed|ordered|emailed)|sent|send|ship(?:ped)?|email(?:ed)?|arriv\w{{1,3}}(?! at)|come in|came in|ready|confirmed|processed|placed|left|on (?:its|the) way|show(?:ed)? up)(?: {_PAPER}| me| us| the| my| our| that| it| out| over)*(?: yet| already| still| today| this week| by now| or (?:what|not)| to (?:me|us|him|her|them)| over)?[ ?.!]*$"
    rf"|(?<![a-z])(?:that|the|this|my|our|your|those|it|they) ?(?:{_PAPER}|price|prices|numbers?|offer)?(?: (?:from|of|on|for|you gave|u gave|i got)(?: [a-z]{{2,10}}){{1,3}}?)? still (?:good|valid|stand|stands|current|hold|holds|in effect)(?![a-z])(?! (?:enough|for the))"
    rf"|(?<![a-z])where(?:'s| is|s) (?:the|that|my|our|this) {_PAPER}(?![a-z])|(?<![a-z])(?:you|u|he|she|they|someone|somebody|yall) (?:were|was|are) (?:gonna|going to|supposed to|sposed to) (?:send|get|email|text|mail|give) (?:me|us)(?! to)(?![a-z])|(?<![a-z])sigue (?:vigente|en pie|igual|valid[oa]) (?:la|el|ese|esa) |(?:cotizacion|precio) (?:que [a-z ]{{3,20}} )?(?:sigue|todavia)(?![a-z])"
    rf"|(?<![a-z])(?:did|have|has) (?:you|u|yall|y'all|anyone|anybody|someone|somebody|he|she|they)(?: guys| all)?(?: ever| even| already| finally| been able to| manage to)? (?:get|got|gotten|finish|finished|do|done|run|work up|worked up|put together)(?: (?:around|back))?(?: to)? (?:the|my|our|that|those) (?:[a-z]{{2,12}} )?(?:quote|quotes|price|prices|pricing|estimate|bid|numbers|proposal)(?: (?:done|ready|finished|together|worked|yet|for|on|i)(?![a-z])|[ ?.!]*$)"
    rf"|(?<![a-z])(?:you|u|yall) (?:ever )?(?:get|got) (?:around )?to (?:the|my|our|that|those) (?:[a-z]{{2,12}} )?(?:quote|price|pricing|estimate|bid|numbers)(?: yet|[ ?.!]*$)"
    rf"|(?<![a-z])(?:is|are) (?:the|my|our|that|those) (?:[a-z]{{2,12}} )?{_PAPER}(?: [a-z]{{2,12}}){{0,3}} (?:done|finished|complete|completed|together)(?: yet)?[ ?.!]*$"
    rf"|(?<![a-z])(?:any|got any|no) (?:word|news|updates?|movement|luck|progress|eta|status)(?: yet)?(?: (?:on|about|with|for|from)(?![a-z])|[ ?.!]*$)"
    rf"|(?<![a-z])where (?:are|r|is|do) (?:we|you|u|things|that|my|the|our|yall)(?: {_PAPER})? ?(?:stand|at|on|with|sitting)(?: (?:on|with|for))?(?: (?:the|that|my|our|this))?(?: [a-z]{{2,12}}){{0,2}} ?(?:{_PAPER})?[ ?.!]*$"
    rf"|(?<![a-z])where(?:'s| is| are|s)? (?:my |our |the |that )?(?:{_PAPER}) (?:#|no\.?|number)? ?[a-z]{{0,3}}-?\d{{3,9}}(?![a-z0-9])"
    rf"|(?<![a-z])still (?:waiting|havent|haven't|have not|no)(?: [a-z]{{2,12}}){{0,4}} {_PAPER}"
    rf"|(?<![a-z])(?:what(?:ever)? happened|what(?:'s| is|s) (?:going on|happening|the (?:holdup|hold up|latest|deal))|what became|what(?:'s| is|s) up) (?:to|with|of|on) (?:the |my |our |that |those |this )?(?:[a-z]{{2,12}} )?{_PAPER}(?![a-z])"
    rf"|(?<![a-z])(?:havent|haven't|have not|never|didnt|didn't) (?:seen|got|gotten|get|received|heard)(?: [a-z]{{2,12}}){{0,3}} (?:{_PAPER}|back|anything)"
    rf"|(?<![a-z])(?:ya|todavia no) (?:sali\w+|lleg\w+|enviar\w+|mandar\w+|esta list\w+|me mandar\w+)(?: (?:la|el|mi|nuestra|nuestro))? ?(?:{_PAPER})?|(?<![a-z])(?:como va|que paso con|en que va|en que quedo) (?:la|el|mi|lo de|nuestro|nuestra) "
)
"""A quote or an order of before is asked after: "did the first quote go out yet", "where do we stand on that"."""
_OTHER_OPTION = Late(
    r"(?<![a-z])(?:what|how|wut) ?(?:if|about|abt|bout|'?s) (?:i|we|u|you) (?:go|went|do|did|use|used|get|got|step(?:ped)?|buy|want|wanted)(?: with)?(?: (?:the|a|an|something|one|it|to))* (?:cheaper|bigger|smaller|brighter|better|premium|lower|higher|economy|budget|other|dimmer|nicer|next|lesser|less expensive|more expensive)"
    r"|(?<![a-z])(?:got|have|is there|are there|any|u got|you got|do you have|do you guys have|hay|tienes?|tienen) (?:anything|something|one|another one|options?|any options?|a|an|any|algo|una opcion|otra)? ?(?:that'?s |thats |that is |a bit |a little |mas )?(?:cheaper|brighter|less money|less expensive|better quality|higher end|lower cost|nicer|barat[oa]s?|economic[oa]s?)(?![a-z])"
    r"|(?<![a-z])(?:what|how|wut) ?(?:about|abt|bout) (?:the|a|an|your|one of the) (?:other|next|different|second) (?:optic|lens|model|version|brand|choice|size|distribution|make|type of optic)s?(?![a-z])"
    r"|(?<![a-z])(?:muestra\w{0,3}|ensena\w{0,3}|manda\w{0,3}|pasa\w{0,3}|ver|cual es) (?:la |el |las |los )?(?:otra |otro )?(?:opcion |opciones )?(?:mas )?(?:barat[oa]s?|economic[oa]s?|segunda|premium)(?![a-z])"
    r"|(?<![a-z])(?:show|give|lemme see|let me see|can i see|could i see|send)(?: me| us)?(?: (?:the|a|an|your))? (?:other|cheaper|cheapest|premium|better|next|second|third|brighter|economy|budget|alternate|alternative)(?: (?:option|one|choice|version|model|ones|options|choices))(?! (?:is|are|at|in|for \d))"
    r"|(?<![a-z])(?:which|what)(?: one| ones| of (?:them|these|those|the two))?(?: is|'s| are| would be| works| do you (?:like|recommend))? (?:better|best|brighter|cheaper|nicer)(?![a-z])|(?<![a-z])(?:better|brighter|cheaper) than (?:the|an?) (?:\d|other|second|first)|(?<![a-z])(?:cual|cuales)(?: de (?:ellos|ellas|los dos|las dos))? (?:es|son|sale|conviene) (?:mejor|mas)(?![a-z])"
)
"""Another option is asked for beside the one given."""
_HOW_MANY = Late(
    r"(?<![a-z])(?:how many|cuant[oa]s)(?: [a-z0-9'-]{1,12}){0,4} (?:lights?|fixtures?|lamps?|luminaires?|high ?bays?|low ?bays?|wall ?packs?|poles?|heads?|floods?|flood ?lights?|troffers?|panels?|bollards?|shoe ?boxes|strips?|"
    r"campanas|reflectores|lamparas|luminarias|luminarios|postes|paneles|luces)(?: [a-z0-9'-]{1,12}){0,6}? (?:(?:do|would|will|should|does) (?:i|we|it|you|they) (?:need|want|put|hang|use|take|cover|require|have to)|to (?:light|cover|hit|get|reach|hold)|"
    r"(?:ocupo|necesito|se necesitan|hacen falta|llevaria|lleva|pongo|ocupamos|necesitamos)|(?:for|para) (?:a|an|the|my|our|this|un|una|el|la|mi)|in (?:a|an)|en (?:un|una)|at \d)(?![a-z])"
    r"|(?<![a-z])(?:light|alumbrar|iluminar)(?: up)?(?: (?:a|an|the|my|un|una|el|la|mi))? \d{2,4} ?(?:x|by|por) ?\d{2,4}"
    r"|(?:apart|up|high|separad[oa]s|de alto)[^?.]{0,20}[.,;]? (?:is (?:it|that) )?(?:good|bright|light|fine) enough ?\?"
)
"""A number of lights is asked for, not given: "how many high bays for a 60x120 shop"."""
_WHERE_FROM = Late(
    r"(?<![a-z])(?:where'?s?|wheres|hows|how's|whats|what's|what did you base|what do you base|how did|how'd|how is|how come|who says|why|why'?s|de donde|como sacaste|como salio|por que)"
    r"(?: (?:is|does|did|do|that|this|the|you|u|get|got|it|are|come|your|sale|viene|salio|sacaron|esos|los|el|la|figure|number|only|up|base|based|on|with)){0,4} \$?\.?\d[\d.,]{0,9}k?(?: ?(?:watts?|w|hours?|hrs?|kwh|dollars|bucks|years?|horas|pesos|%))?"
    r"(?= (?:from|come|comes|coming|based|about|and not|when|if|instead|de donde|figure|for|in the|a year|hours|there|on|out of)|[?.,]|$)"
    r"|\d[\d.,]{0,9}(?: ?(?:watts?|w|hours?|hrs?))? (?:came|comes|is coming|coming) from|^\W{0,3}\$?\d[\d,.]{0,9}(?: ?(?:watts?|w|hours|hrs|kwh))?\?{1,3} (?:i said|they|we|how|why|no|that|it|thats|yo dije|pero)|where you get (?:the |that )?\$?\d",
    (
        "where",
        "how",
        "what",
        "who says",
        "why",
        "de donde",
        "como s",
        "por que",
        "came",
        "comes",
        "coming",
        "?",
    ),
)
_OF_A_FIGURE = Late(
    r"[ ,]{0,2}(?:[a-z']{1,9},? ){0,3}?(?:where(?:'d|d)?|how come|how(?:'d|d)? (?:did|do|does|are|is|was|were|you|u|they|it)|why'?s?|what makes|de donde|por que|como)(?: (?!i |we |my |our |not )[a-z']{1,12}){0,6}"
    r" \$?\.?\d[\d.,]{0,9} ?(?:watts?|w|hours?|hrs?|cents?|kwh|percent|%|dollars|bucks|horas|vatios|centavos|pesos)(?![a-z])"
    r"(?= ?(?:[?.,!]|$)| (?:for|on|in|from|when|if|instead|and|to|out|at|as|per|para|en|de|por|si|cuando|about|comes?|coming|vs|versus|rather|a year)(?![a-z]))[^.?!,\n]{0,90}(?:[.?!,\n]\D*)?$"
)
"""As in "why did it pick 295 watts for a 250 halide": a figure with its unit is asked after, and nothing else is told."""
_GOT_FROM = Late(
    r"^(?:[a-z]{1,9},? ){0,2}(?:how'?d?|howd|where'?d?|whered|how did|where did|how do|where do|how are|where are)(?: (?:you|u|yall|ya))(?: guys)? (?:even )?(?:get(?:ting)?|got|com(?:e|ing) up with|figur(?:e|ing)|come by|pull(?:ing)?|arriv(?:e|ing) at|land on|find|take|have)(?: (?:the|that|a|an|this|those|only))* \$?\.?\d"
)
"""As in "how'd you get 458 watts for a 400 lamp"."""
_ORDER_HELD = Late(
    r"(?<![a-z])(?:dont|don't|do not|hold off on|hold off|stop|hold up on|wait (?:on|with)|hold|no) (?:the |that |my |it |placing |sending |shipping |yet )*(?:order|ordering|ship|shipping|send|sending|place|placing|process|processing|po)(?: it| them| anything| that)?(?: yet| for now| until| till|[ .!,]*$)"
)
"""An order that was given is held: "hold on, don't order yet"."""
_ASKS_SAVING = Late(
    r"(?<![a-z])(?:how much (?:would|will|do|could|does|can|am|are) (?:i|we|it|that|this|they) (?:be )?sav\w{1,4}|what(?:'?s| is| are| would be)?(?: the| our| my)? (?:payback|savings|roi|total|bottom line|damage)|how (?:fast|quick(?:ly)?|soon) (?:does|do|will|would) (?:it|they|this|that) pay|what (?:would|will|does|do|could) (?:it|that|this|they|i|we|all that) save|what(?:'?s| is|s) (?:it|that|this|all that) (?:gonna |going to |all )?(?:cost|run|come to)|how much (?:is|are|would be|for) (?:it|that|all that|everything|the whole (?:thing|job))|cuanto (?:me |nos )?ahorr\w{1,4}|cuanto seria)(?: [a-z]{1,8}){0,5}[ ?.!]*$"
)
_FIGURE_ASKED = Late(
    r"(?:(?:ok|and|so|hm+|what about|how about|then|but)[ ,]{1,2}){0,3}(?:the|that|those) \$?\d[\d,.]{0,8} ?(?:hours?|hrs?|watts?|w|kwh|dollars|bucks|%|percent|a year|savings|rate)?(?: (?:part|figure|number|one))? ?\?+"
)
"""As in "and the 4380?": where a figure of ours is from."""
_FIGURED = Late(
    r"(?<![a-z])(?:what(?:'?s| is| are| were) the (?:[a-z]{3,12} ){1,2}you (?:guys )?(?:us|assum|figur|bas|count|plug)[a-z]{0,4}|(?:what|which|how many|que|cuantas|cuantos) (?:[a-z]{2,12} ){1,3}?(?:did|do|are|is|were|was) (?:you|u|yall|y'all|that|they) (?:guys )?(?:figur|us|assum|bas|count|plug|go|work|get|run|calc)[a-z]{0,8}"
    r"|how (?:is|are|was|were|did|do|does|'?d|'?s)? ?(?:you|u|the|that|your|this|it|they)? ?(?:[a-z]{2,12} ){0,2}?(?:figured|calculated|computed|worked out|arrived at|determined|derived|come up with|came up with)"
    r"|(?:what(?:'?s|'?re)?|which|wich)(?: is| are| was| were)? (?:the |those |these |that |your |all the )?(?:[a-z]{2,12} ){1,3}?(?:you|u|yall|they|it) (?:guys |just |all )?(?:used?|using|assum(?:ed?|ing)|figur(?:ed?|ing)|plugg(?:ed|ing) in|went with|came up with|ran|based|picked|put in|counted)(?! to(?![a-z]))(?![a-z])"
    r"|(?:what|whats|what's) (?:is |are )?(?:that|this|the [a-z]{3,12}|those|it|(?:those|these|your|that) [a-z]{3,12}) (?:based|coming) (?:on|from|off)|como (?:calcul|sac|lleg|sal)[a-z]{2,8}|(?:what|where)(?:'?s|'?re| is| are)? (?:the |our |your |that |those |these |my )?(?:[a-z]{3,10} )?(?:rates?|hours|payback|savings?|wattages?|watts|kwh|numbers?|assumptions?|figures?|total|demand|costs?)(?: [a-z]{3,10})? from(?= ?(?:$|[?.!,]| (?:and|if|though|then)))|what (?:did|do) (?:you|u|yall|they) (?:guys )?base (?:the|that|this|those|my|our|it|your)|(?:is|was|are|were) (?:that|the|this|those|these|your) (?:[a-z]{3,10} )?(?:rates?|hours|watts|wattage|figures?|numbers?) (?:just )?(?:an? )?(?:assumptions?|guess(?:es)?|estimates?|assumed|guessed|estimated)(?![a-z])|en que (?:se basa|te basas)|(?:de )?donde (?:sale|salio|sacas|sacaste|sacaron|viene)"
    r"|where (?:the |that |this |your |those |these |all )?(?:\$?[a-z0-9.,]{1,12} ){0,4}?(?:came|comes?|coming) from|(?:what|which)(?:'?s)? (?:[a-z0-9$.,]{1,12} ){1,6}?based (?:on|off)"
    r"|is (?:that|the|this|your) (?:[a-z]{3,10} )?(?:savings?|payback|figure|number|total) (?:based|figured|calculated|computed) (?:on|with|at|from|off))"
)
"""Where a figure of ours is from: "where's 295 from", "why 4200 hours"."""


def asks_saving(folded: str) -> bool:
    """Whether the message asks what the job at hand saves or costs."""
    return _ASKS_SAVING.search(folded) is not None


def asks_layout(folded: str) -> bool:
    """Whether the writer asks for light levels; what is said in such a question counts."""
    return (
        "layout" in listen(folded).covered
        or _LIGHT_LEVEL.search(folded) is not None
        or _HOW_MANY.search(folded) is not None
    )


def handoff_reason(folded: str) -> str:
    """Why a person must take over: danger first, then the place, then the wish."""
    covered = listen(folded).covered
    for name, reason in (
        ("handoff.danger", "danger"),
        ("handoff.place", "hazardous_location"),
        ("handoff.person", "person_wanted"),
    ):
        if name in covered:
            return reason
    return "person_wanted" if _CALL_ME.search(folded) else ""


def asks_what_it_comes_to(folded: str) -> bool:
    """Whether the message asks what the quote comes to, and nothing else."""
    return _PRICE_OF_IT.fullmatch(folded.strip(" ?!.")) is not None


def _asks_price(folded: str) -> bool:
    return any(
        word in folded
        for word in ("quote", "price", "pricing", "estimate", "cotiza", "precio", "cuanto", "how much")
    )


def _go_ahead_and_price(folded: str) -> bool:
    return bool(
        re.search(
            r"go ahead (?:and |& |n )?(?:price|quote|work|figure|give|get me|run|put (?:together|in|them|it|me)|send me (?:a|the) (?:price|quote)|add|change|make|drop|remove|take|swap|switch|bump|include|throw|toss|use|do (?=\\d)|set|update|delete|lose|leave|skip)",
            folded,
        )
    )


_PRICE_OF_IT = Late(
    r"(?:(?:ok|okay|so|and|well|y) )?(?:how much(?: (?:is (?:it|that|all that)|total|in total|all ?together|altogether|for (?:all of it|everything|the lot|all of them)))?|"
    r"(?:what(?:'?s| is| would be) (?:the|my|our) )?(?:grand |full )?(?:total|price|cost|damage|bottom line)(?: price| cost)?(?: (?:on|for) (?:it|that|all of it|everything))?|"
    r"what (?:does|do|will|would|did) (?:it|that|they|all that|everything) (?:all )?(?:come (?:out )?to|run|cost|total)(?: me| us)?|cuanto(?: (?:es|sale|seria|cuesta))?(?: (?:en total|todo|por todo))?)"
)
"""What the quote comes to, asked without another word: "how much total", "price?"."""
_WOULD_COST = Late(
    r"(?<![a-z])(?:what(?: would|'?d| does| do|ll| will)? (?!i\b)(?:[a-z0-9'-]{1,14} ){1,6}?(?:cost|run|come to|come out to|save|look like)(?: (?:me|us))?(?: (?:instead|with|if|at|vs|versus)|[ ?.!]*$)|how much (?:more|less|cheaper|extra) (?:[a-z0-9'-]{1,14} ){0,6}?(?:if|with|for|to|at|would)|what(?:'?s| is) the (?:price|cost) (?:difference|diff|at|if|with))(?![a-z])"
)
"""A price is asked for something else than what was said: "what would 14 cost instead of 10"; nothing is changed by that."""
_CHANGE_TO = Late(
    r"(?<![a-z])(?:make (?:it|them|that)|change (?:it|them|that)|update|switch (?:it|them)|go ahead|lets do|let's do)(?![a-z])"
)
_DO_IT_SO = Late(
    r"(?<![a-z])(?:do|make|quote|run|price) (?:it|them|that) (?:for|with|in|at|as|on|con|en|para)(?! (?:me|us|now|that price|it))(?![a-z])"
    r"|(?<![a-z])(?:lets|let's|well|we'll|ill|i'll|vamos) (?:go|do|say|use|con)(?: with| for| a)? (?:the )?(?:\.?\d|bronze|black|white|gray|grey|green|silver|type [iv]|motion|photocell|dimm|warm|neutral|bronce|negro|blanco|gris)"
)
_POINTS_ON = Late(
    r"(?:other|middle|bigger|smaller|second|first|last|taller|lower|higher) ones? (?:is|are|r|at|needs?|should|gets?|has|have|to|=|on)(?![a-z])"
)
"""As in "the other one is 240": it points at a line and asks for no option."""
_ORDERS = Late(
    r"(?<![a-z])(?:order|ship|send (?:me |us |them|it|out)|buy(?! (?:them|these|those|em|it) (?:for|at)(?![a-z]))|purchase|place|book|sold|we.?ll take|i.?ll take|pedido|ordena|mand[ae]|surt[ae])"
)
_ASKS_AFTER = Late(
    r"(?<![a-z])(?:did|(?:have|has)(?! to)|when|when's|whens|where's|wheres|where|are|is|were|was|only|still) (?:[a-z0-9'-]{1,14} ){1,9}?(?:ship(?:ped)?(?! (?:to|me|us))|arrived?(?! at)|delivered|came(?! with)|come in|coming(?= ?(?:[.?!,]|$|in|yet|today|this|soon|still))|backorder(?:ed)?|back order(?:ed)?|on order|show(?:ed)? up|get here|in transit|en route)(?! (?:cost|charge|fee))"
    r"|(?<![a-z])(?:i|we|he|she|they) ordered (?:[a-z0-9'-]{1,14} ){0,8}?(?:still|yet|backorder|where|when|not here|never)"
    r"|(?<![a-z])(?:check(?:ing)?|mak(?:e|ing) sure|verify(?:ing)?|confirm(?:ing)?|see(?:ing)? if|wondering if) (?:if |that |to see )?(?:you|u|yall|y'all|someone|anybody|they) (?:guys )?(?:got|get|received|have|seen|saw) (?:my|our|the|that)(?! (?:in stock|any))"
    r"|(?<![a-z])(?:you|u|he|she|they|someone) (?:said|told|promised) (?:me |us )?(?:[a-z0-9'-]{1,14} ){1,10}?(?:yesterday|last week|by now|already(?! (?:done|replaced|changed|swapped|gone|leds?|installed|fixed|new|out|been|taken|did)(?![a-z]))|still nothing|nothing yet|havent|haven't|never)"
    r"|(?<![a-z])(?:was|were) (?:promised|supposed to (?:be here|ship|arrive|come|get))|still nothing (?:in|from|on)|nothing (?:in my inbox|yet)(?![a-z])"
)
"""An order or a quote of before is asked after, luminaires named or not: "did the 20 wall packs ship", "when's the other 4 coming"."""
_WANTS = Late(
    r"(?<![a-z])(?:need|want|price (?:on|for|me)|pricing|quote (?:me|for|on)|looking for|how much|cotiza|necesito|ocupo|also add|replace)(?![a-z])"
)
_WHY = (["why"], ["whys"])
_RETURNS = Late(
    r"(?<![a-z])(?:can|could|may|how do|want to|wants to|need to|have to|got to|gotta|like to|trying to|puedo|quiero|necesito|podemos|quisiera) (?:i |we |you |u )?(?:please |still )?(?:return|bring back|send back|take back|exchange|devolver|regresar|regresarles)(?= (?:[0-9]{1,4}|stuff|things?|material|extras?|unused|anything|whats?|whatever|leftovers?|cosas|lo que|an?|one|two|three|four|five|six|eight|ten|twelve|dozen|some|the|these|those|this|that|my|our|them|it|un|una|unos|unas|los|las|dos|tres|cuatro|seis)(?![a-z]))"
)
"""Goods go back: "can I return 6 lamps I bought"."""
_STOCKED = Late(
    r"(?<![a-z])(?:got|have|has|is|are|any|carry|keep|stock|hay|tienen|tienes|manejan|tendran|how many)(?![a-z])[^.;!?\n]{1,48} (?:in stock|on (?:the|your) (?:shelf|shelves|floor)|on hand|in your warehouse|en existencia|en stock|en inventario|en almacen)(?![a-z])"
    r"|(?<![a-z])(?:do |does )?(?:you|u|yall|y'all|you all)(?: guys| all| folks)? (?:still |also |even )?(?:carry|stock|sell)(?![a-z])"
)
"""It is asked what is in stock: "got any F32T8 on the shelf"."""
_SHORT_QUESTION = 9
_OF_GOODS = Late(
    r"[ ,]{0,2}(?:(?:hi|hey|hello|hola|quick question|question|quick one|also|just wondering|curious)[ ,:.-]{1,3}){0,2}(?:"
    r"(?:are|is) (?:the|your|those|these|they|all|any of)(?: [a-z0-9'-]{1,14}){1,6} (?:dimmable|ul|dlc|etl|energy star|listed|rated|compatible|available|made|assembled|warrantied|waterproof|weatherproof|returnable)(?![a-z])"
    r"|(?:do|does|will|would|can) (?:your|the|those|these|they|an?|any)(?: [a-z0-9'-]{1,14}){1,6} (?:work|fit|come|need|include|last|dim|interfere|buzz|flicker|qualify|ship)(?![a-z])"
    r"|(?:what'?s|what is|how long is|hows|how's|what about) (?:the|your) (?:warranty|lead time|return policy|freight|shipping|turnaround)(?![a-z])|(?:lead time|warranty|availability) (?:on|for)(?![a-z])"
    r"|(?:can|could|will) (?:you|u|yall|you guys) (?:match|beat|deliver|hold|ship|price match|expedite)(?![a-z]| (?:me|us|them|it|out)(?![a-z]))"
    r"|how (?:many|much) (?:watts?|power|amps|juice|electricity) (?:does|do|will|would)(?![a-z]))"
)
"""Something is asked of the goods and no price: "are the 100 watt floods dimmable", "lead time on 40 high bays?"."""
_WILL_DO = Late(
    r"(?<![a-z])(?:will|would|are|is|can|could|gonna|think|if)(?= )[^.;!?\n]{1,60}(?:w|watts?|watters?|lumens?|leds?|heads?|lights?|fixtures?|ones|packs?|wallpacks?|floods?|bays?|panels?|troffers?|shoeboxes|cans?) (?:going to |gonna |really |even |actually )?(?:do it(?! (?:by|for|on|in|with|if))|do the (?:job|trick)|cut it|be (?:good|bright) enough)(?![a-z])"
)
"""It is asked whether a light is enough: "will 40 watt LED heads do it"."""
_WIRING = Late(
    r"(?<![a-z])(?:how (?:do|would|can|should) (?:i|we|you|u) (?:wire|hook up|connect|splice|ground)|how to (?:wire|hook up|connect|splice)|what (?:size|gauge) wire|como (?:conecto|se conecta|cablear))(?![a-z])"
)
_PAYS_FOR_IT = Late(
    r"(?<![a-z])(?:\$ ?\d|budget|to spend|bucks|dollars|grand|dolares|presupuesto|(?<!\d)\d{1,2}k(?![a-z])|fund|raised|approved)[^?]{0,220}(?<![a-z])(?:does|do|will|would|is|should|can) (?:that|it|this|they|we)(?: be)? (?:even )?(?:cover (?:it|everything|all|that|the (?:cost|job|whole thing))|enough|suffice|do it|pay for it|get (?:it|us) there)[ ?.!]{0,3}$"
)
"""Money is asked to be enough, and no light: "they gave me $3,500 to spend ... does that cover it?"."""
_OF_LIGHT = Late(
    r"(?<![a-z])(?:bright|foot ?candles?|footcandles?|fc|lux|dark|dim|light level|light it|enough light|spacing|apart)(?![a-z])"
)
_LIGHT_LEVEL = Late(
    r"(?<![a-z])(?:does|do|will|would|is|are) (?:that|it|this|they|those|these) (?:even )?(?:pass|meet (?:code|the|spec)|be enough|suffice|light (?:it|the)|cover (?:it|the|that)|reach)(?![a-z])"
    r"|how many (?:[a-z0-9'x-]{1,12} ){1,6}?(?:for|to (?:light|cover|do)|do i need|would i need|needed) (?:a|an|the|my|our|this|that)? ?(?:\d{2,3} ?(?:x|by) ?\d{2,3}|[a-z]{3,12} ){0,3}(?:room|classroom|gym|lot|warehouse|shop|court|barn|garage|office|field|hall)"
    r"|\d{1,4} ?(?:lux|fc|foot ?candles?|footcandles?)(?![a-z])[^.?!]{0,60}(?:[^?]{0,80})enough ?\?|so it (?:isnt|isn't|aint|wont be|won't be) (?:so |too )?(?:dim|dark)"
)
_GRIEVANCE = Late(
    r"(?<![a-z])(?:glare|light trespass|light pollution|light spill|too dark|too dim|dark spots?|(?:bothers?|bothering|blinding|annoying) (?:the |my |our )?neighbou?rs?|spill(?:s|ing)? (?:onto|over|past)|encandilan?|deslumbran?|muy oscuro|muy oscura)(?![a-z])"
)
"""What somebody suffers from the lights that are there: it is the reason for the request, and asks nothing."""
_PLAINLY_WANTED = Late(
    r"(?<![a-z])(?:i|we|they)(?:'d| would)? (?:just )?(?:need|want|like)|(?<![a-z])(?:need|want|quote|price|replace|replacing|replaced|cotiz|necesit|quiero|queremos|ocup|cambiar|reemplaz)"
)
_LEVEL_TOLD = Late(
    r"(?<![a-z])(?:specs?|insurance|insurer|code|plans?|city|owner|boss|standards?|norma|osha|engineer)(?: [a-z]{2,10}){0,2} (?:says?|wants?|calls? for|requires?|asks? for|needs?|pide) (?:is |at least |about |minimum )?\d{1,4}(?:\.\d)? ?(?:lux|luxes|fc|foot ?candles?)(?![a-z])"
    r"|(?<![a-z])(?:like to keep|try to keep|maintain|we keep|keep it at|mantenemos) (?:at least |about )?\d{1,4} ?(?:lux|luxes|fc|foot ?candles?)(?![a-z])"
)
"""A light level that somebody demands, told in passing."""
_WHY_THAT = Late(
    r"^(?:[a-z]{1,9},? ){0,2}(?:why|why's|whys|how so|how come|por que)(?! (?:not|dont|don't) (?:you|we|i|just))(?![a-z])|(?<![a-z])(?:what's|whats|what is|what all's|que hay) (?:in|behind|included in|inside|under|incluido en|en) (?:the |that |those |el |los )?(?:\$|total|price|number|figure|savings|payback|quote)"
    r"|(?<![a-z])(?:know|tell me|understand|see|explain|ask(?:s|ed|ing)?) how (?:you|u|yall|y'all|they) (?:get|got|came|come|figure|figured|arrive|arrived|calculate|calculated)(?![a-z])"
)
_ONLY_GREETS = Late(
    r"[^a-z0-9]{0,8}[\U0001f64f\U0001f44d\U0001f44b\U0001f600-\U0001f64f\u2764]{1,6}[^a-z0-9]{0,8}"
    r"|(?:(?:hi|hello|hey|hola|yo|good (?:morning|afternoon|evening)|buenas|buenos dias)(?: there| again| all| guys| yall)?[ ,.!?]{0,3})+(?:(?:this is|its|it's|im|i'm|soy|its me|habla) [a-z]{2,14}(?: (?:here|again|from [a-z ]{2,30}))?|(?:you |anyone |anybody |u |are you |is anyone )?(?:still )?(?:there|around|awake|home)|whos this|how are you|how's it going|hows it going)?[ ,.!?]{0,4}"
)
_GO_WITH = Late(
    r"(?<![a-z])(?:(?:go|going|lets go|let's go|well go|we'll go|ill go|i'll go|gonna go|vamos) (?:with|for|con) (?:the |that |your |el |la |lo )?(?:cheaper|cheapest|better|first|second|third|other|middle|premium|economy|basic|lower|higher|bigger|smaller|good|one|option|that|quote|mas barat[oa]|barat[oa]|primer[oa]?|segund[oa]|opcion|otr[oa]|esa?)"
    r"|^(?:ok |okay |yes |yep |sure |alright |lets |let's )?go (?:with|w|w/) (?:it|that|them|those|this)(?= ?(?:[.,!]|$))|(?:ill|i'll|well|we'll) take (?:the |that |it|them)|me quedo con (?:la|el|esa|ese))"
)


def _asks_status(folded: str) -> bool:
    return bool(
        re.search(
            r"ship|where|status|any word|update on|track|eta|still waiting|did (?:my|our|the)|ya (?:salio|llego)|donde",
            folded,
        )
    )


_ASKING = (["what"], ["whats"], ["which"], ["how"], ["que"], ["cual"], ["cuanto"], ["cuantos"])


_MAKE_A_QUOTE = Late(r"(?<![a-z])make (?:it|that|me|this|us) (?:a|an|up a) (?:quote|price|bid|estimate)")


def _opens_with_change(heard: Heard, features: Features) -> bool:
    """Whether a message without a conversation plainly changes something said earlier."""
    first = heard.first.get("revise")
    if first is None or first > 5 or heard.covered.get("quote", 0) > 2:
        return False
    if heard.opening[:1] in _ASKING:
        return False  # "what do I put up instead of ..." asks, it takes nothing back
    if heard.opening in _CEILINGS:
        return False
    if not features.counted:
        return True
    # "swap 16 halide floods for LED" and "scratch the list below, it is 16 floods" are the job itself
    return first == 0 and (heard.opening[0] in _OF_BEFORE or heard.opening in _THEM_OF_BEFORE)


_CEILINGS = (["drop", "ceiling"], ["drop", "ceilings"], ["drop", "clg"], ["drop", "in"])
_OF_BEFORE = frozenset({"on", "to", "for", "drop", "correction", "forgot", "revise", "update", "add"})
"""Words that open what is said of a job given before, even where it counts luminaires."""
_THEM_OF_BEFORE = (["make", "it"], ["make", "them"], ["switch", "it"], ["switch", "them"])


Kind = Literal["yes", "no", "unsure"]
_YES = frozenset(
    [
        "yes",
        "yep",
        "yeah",
        "yup",
        "sure",
        "correct",
        "right",
        "affirmative",
        "ok",
        "okay",
        "si",
        "claro",
        "simon",
        "yea",
        "ya",
        "yessir",
        "sip",
        "yah",
        "affirm",
        "exactly",
        "certainly",
        "obvio",
        "definitely",
        "absolutely",
        "please",
    ]
)
_NO = frozenset(
    [
        "no",
        "nope",
        "nop",
        "nah",
        "naw",
        "nel",
        "negative",
        "negatory",
        "none",
        "neither",
        "ninguno",
        "ninguna",
        "nada",
        "not",
        "never",
        "tampoco",
    ]
)
_UNSURE = Late(
    r"\b(?:not sure|dont know|don't know|no idea|no clue|idk|dunno|unsure|no se\b|ni idea|can't tell|cant tell|couldn't say|"
    r"have to check|need to check|let me check|lemme check|gotta ask|have to ask|who knows|beats me|no tengo idea|quien sabe|"
    r"i'll find out|will find out|not certain|hard to say|couldnt tell|couldnt say)"
)


_SENTENCE_END = Late(
    r"[.;!?\n](?![0-9])|,? (?:but|also|and also|pero|oh and|and(?= (?:make|add|drop|change|put|remove|its|it's|the)))(?![a-z])"
)
_HEDGED = Late(
    r"(?<![a-z])(?:maybe|probably|prolly|i think|i guess|guess|around|about|ish|creo|tal vez|quizas|like|assume|say)(?![a-z])"
)


def without_excuse(folded: str) -> tuple[int, int] | None:
    """The characters of a sentence that says only "let me check" or "not sure", where others stand beside it; else ``None``."""
    start = 0
    sentences = []
    for match in _SENTENCE_END.finditer(folded):
        sentences.append((start, match.end()))
        start = match.end()
    sentences.append((start, len(folded)))
    if len(sentences) < 2:
        return None
    for first, end in sentences:
        sentence = folded[first:end]
        if _UNSURE.search(sentence) and not any(char.isdigit() for char in sentence):
            rest = folded[:first] + folded[end:]
            return None if _HEDGED.search(rest) else (first, end)
    return None


def short_answer(folded: str) -> Kind | None:
    """Whether a message is a plain yes, no, or "don't know"."""
    if _UNSURE.search(folded):
        return "unsure"
    words = plain_words(folded)
    if not words or len(words) > 8:
        return None
    if words[0] in _NO:
        return "no"
    if words[0] in _YES:
        return "yes"
    return None
