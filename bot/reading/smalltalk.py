"""Numbers of small talk in a talk about a job: "my kid turned 16 today", "score was 31 to 17".

A bare number changes a job only where the sentence that it stands in gives it a reason to: a word of the trade, a word that
binds it to a slot, a word that corrects, counts or decides, or no other matter at all ("14 now"). Where a sentence has none of
these and speaks in words that a talk about luminaires has no use for, its numbers are left unread.
"""

from bisect import bisect_left

from bot.reading.clause import Work
from bot.reading.foreign import take
from bot.reading.labels import labels_of
from bot.reading.late import Late
from bot.reading.message import Known
from bot.reading.pointers import pointers_of
from bot.reading.words import lexicon, words_of

_TRADE = frozenset({
    "family", "source", "size", "led", "generic", "finish", "optic", "controls", "voltage", "mount", "flag", "pointer", "damp_or_wet",
    "schedule", "colour",
})  # fmt: skip
_UNITS = frozenset({
    "w", "v", "kelvin", "lumens", "cri", "kwh", "kw", "cents", "lamps", "each", "dozen", "pair", "storey", "dollars", "grand",
})  # fmt: skip
_CUES = frozenset({
    "fix", "qty", "want", "not", "up", "rate", "rebate", "labor", "budget", "demand", "payback", "price_now", "draws", "spacing", "po",
    "per_pole", "per_head", "poles", "rows", "equivalent",
})  # fmt: skip
_SCOPES = frozenset({"all", "both", "others", "that", "same", "except"})
_IDLE = words_of(
    "like wait now today old high tall sun pay power electric quite just only move space past up in of eat"
)
"""Words that are cues beside luminaires and say as much in any other talk."""
_MATTERS = words_of("also too well")
"""Words that go on with a job or with any other matter."""
_TELLING = frozenset({208.0, 277.0, 347.0, 480.0})
"""Numbers that are voltages wherever they stand."""
_COUNTED = Late(
    r"(?<![a-z])(?:(?:re|mis)?count(?:ed|s|ing)?|says?|saying|said|tells?|told|swears?|shows?|showed|find|finds|found|total(?:s|led|ed)?|tally|there(?:'s|s| is| are|'re| were| was)?|"
    r"turn(?:s|ed) out|looks like|(?:came|comes|come) (?:to|out|back|up)|ones|end(?:s|ed)? up|redo|redid|(?:it|that|they|there)(?:'ll| will| would|'d) be|should|shoulda|shouldve|correct(?:ion|ed)?|right (?:number|count|one|is)|number (?:is|should)|decid\w{1,3}|approv\w{1,3}|walk(?:ed|ing|thru|through)?|"
    r"check(?:ed|ing)?|look(?:ed|ing)? (?:at|it|up|again|closer)|went back|drawings?|prints?|plans?|spec(?:s|ed)?|schedule|sheet|list|figured?|thinks?|thought|guess|needs?|wants?|wanted|"
    r"let'?s|make|making|chang\w{1,3}|switch\w{0,4}|swap\w{0,4}|rais\w{1,3}|lower\w{0,3}|reduc\w{1,3}|increas\w{1,3}|trim\w{0,4}|shift\w{0,3}|measur\w{1,3}|taped|went (?:up|down)|too (?:many|few)|bump\w{0,3}|cut|drop(?:ped|ping)?|knock\w{0,3}|keep|do|go to|lied|wrong|mistake|typo|meant|mean|quote[ds]?|pric(?:e|ed|ing)|order\w{0,3}|buy\w{0,3}|replac\w{1,4}|install\w{0,4}|"
    r"they(?:'re|re| are)|(?:it|that|this)(?:'s|s| is) (?:really |actually |only |just |now |gonna be |going to be )?(?=\d)|(?:we|they|it|i|you|customer|owner|site|place|each|really|only|actually) (?:only |really |actually |just )?(?:have|had|has|got)(?! to)|"
    r"hay|son|eran|serian|conte|contamos|dice[n]?|dijo|dijeron|me dicen|resulta\w{0,4}|mejor|ponle|pon|cambia\w{0,2}|deja\w{0,3}|quiere[n]?|necesita\w{0,4}|ocupa\w{0,4}|equivoque|tiene[n]?|tengo|quedan|faltan|total)(?![a-z])"
)
"""Words that count, report, correct or decide: what follows them may well be a count."""
_TALK = words_of("""
    agree agreed ahead alright anyhow anyone anything apparently arrived asked assume bad basically because before been behind belong better
    between bid board boss both bring building buildings came can't can cant careful case catch cheaper choir church city clear client closer code come coming
    committee company confirmed contractor corner council counter couple crew customer customers day days deal definitely dept desk didnt dimension dont
    done double drawing each earlier electrician email emailed end engineer enough even ever everybody exact exactly facilities facility fat figure final
    finally fine finger fingers first fix fixed foreman forget forgot found front full gave get gets getting give gonna good got guy guys had half hand handy happened has have hello
    help helper hmm honest honestly hundred idea inspector is it's its jefe job keep kept kind know landlord last later lead least left less let letter
    lets lift line listen little live lol long look looked looks lot main maintenance make manager many maybe mean meant memory message might mind
    minute mine miss missed mistake months morning most much must my need never new next nice night noon not note notes nothing notice number numbers off office often
    okay once one's one ones only spares spare cushion breakage open opened order other ought our out outside over own owner owners page paper part parts pass pastor per person phone photo
    photos pick picture place plan please point pole possible prior probably project property pull put question quick quote quoted quoting read real
    realize realized really reason recheck report revise revised right roof room rough roughly run running runs safe same save saw say saying see seem seems
    seen send sent separate shed shoot short show side since site size small some somebody someone something sorry sort spare spec
    spot spots spreadsheet standing start started stay stays still stop street stuff such super superintendent supposed sure
    survey switch take taken takes talked tech technician tell tenant tenants text texted than thank thanks that's thats the their them then there
    these they thing things think third this those though thought through tight till time to today told tomorrow took top total totally tower town
    trust try turn twice type types typo under unit until update use using usual vacation verified verify visit visited voltage wait walk walked walkthrough want
    warehouse was wasnt watch way we'll we're went were what whatever when where which while who whole why wife will wing with work works would
    wrong wrote yard year years yes yesterday yet you your zone ladder binoculars clipboard tape takeoff takeoffs reflected legend bom submittal addendum
    nomas basta bastan solamente quedan miscounted counted tops exactly electrico dueno patron cliente encargado maestro plano planos lista segun ahora hoy ayer manana siempre entonces tambien otra otro vez veces creo
    esta este estos estas eso esa ese nueve cuando donde porque pero para fui fuimos vimos mire checamos checar revise revisamos contando bien mal perdon disculpa
    ingeniero electricista arquitecto gerente senor senora muchacho compadre numero cuenta cantidad cuantos faltaba faltaron salieron salio
    yeah yep yup yea yah yessir nah nope oops whoops gotcha perfect great awesome ugh dang darn welp aight orale vale
    anyway anyways btw fyi update headsup heads actually turns per via got gotten grand
    hours hour miles inches degrees percent minutes
""")  # fmt: skip
"""Words of a talk about any job."""
_HE = Late(
    r"(?:^|(?<=[ ,]))(?:i'?m|i am|i was|he|he's|hes|she|she's|shes|my (?!bad|mistake|count|number|numbers|total|notes?|list|guy|boss|electrician|helper|customer|takeoff|error|fault|apologies)[a-z]{2,12}) "
)
"""Somebody is spoken of, not something."""


def _unknown(word: str) -> bool:
    """Whether a word has no use in a talk about luminaires."""
    return len(word) >= 3 and word.isalpha() and word not in _TALK and word not in lexicon().known


def _sentences(work: Work) -> list[tuple[int, int]]:
    """First and last atom of every sentence; "anyway" begins one."""
    out = []
    start = 0
    for index, atom in enumerate(work.atoms):
        ends = atom.kind == "b" or (atom.kind == "s" and atom.text in ".;!?")
        turns = atom.text in ("anyway", "anyways", "btw", "lol") and index > start
        if ends or turns:
            if index > start:
                out.append((start, index - 1))
            start = index + 1 if ends else index
    if start < len(work.atoms):
        out.append((start, len(work.atoms) - 1))
    return out


def _reason(work: Work, first: int, last: int) -> bool:
    """Whether something between two atoms speaks of luminaires, or corrects, counts or decides."""
    for index in range(first, last + 1):
        atom = work.atoms[index]
        if atom.kind == "c":
            return True
        mean = atom.mean
        if not mean or atom.text in _IDLE:
            continue
        if (
            not _TRADE.isdisjoint(mean)
            or mean.get("unit") in _UNITS
            or mean.get("scope") in _SCOPES
            or ("action" in mean and atom.text not in _MATTERS)
            or not _CUES.isdisjoint(mean.get("cue", ()))
        ):
            return True
    return False


def chat(work: Work, known: Known | None) -> None:
    """Take the numbers of small talk out of the reading of a message about a job."""
    if not any(work.is_number(index) for index in work.numbers):
        return
    labels = {
        word
        for words in (known.labels if known is not None else ())
        for label in words
        for word in label.split()
    }
    pointing: list[int] | None = None
    for first, last in _sentences(work):
        inside = [index for index in range(first, last + 1) if work.is_number(index)]
        if not inside:
            continue
        words = [work.text_at(index) for index in range(first, last + 1) if work.atoms[index].kind == "w"]
        stretch = work.folded[work.atoms[first].start : work.atoms[last].end]
        if not any(_unknown(word) for word in words) and _HE.search(stretch) is None:
            continue
        if (
            any(work.atoms[index].value in _TELLING for index in inside)
            or _COUNTED.search(stretch) is not None
            or not labels.isdisjoint(words)
            or _reason(work, first, last)
            or labels_of(stretch)
        ):
            continue
        if pointing is None:
            pointing = sorted(pointers_of(work, known))
        at = bisect_left(pointing, first)
        if at < len(pointing) and pointing[at] <= last:
            continue
        for index in inside:
            take(work, index)
