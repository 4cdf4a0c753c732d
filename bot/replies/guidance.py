"""An answer from guides alone: what light such a place is given, where no luminaires were named."""

from bot.replies import shown
from bot.replies.layout_view import LayoutTeller
from bot.replies.words import Words
from engine.light.layout_guides import guides_for
from engine.request import AskedLight
from engine.tables import Tables, load_tables


def guidance(
    asked: AskedLight | None, words: Words, metric: bool, tables: Tables | None
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Paragraphs and items; empty where no place was named.

    Args:
        asked: what was asked of light, as the conversation has it.
        words: of the reply.
        metric: in lux and metres.
        tables: the reference tables; the program's own where not given.
    """
    if asked is None or asked.space is None:
        return (), ()
    own = tables or load_tables()
    space = next(row for row in own.spaces if row.space == asked.space)
    guides = guides_for(space, own)
    teller = LayoutTeller(words, metric)
    name = str(words.of("spaces", space.space))
    first = guides[0]
    if asked.level_fc is None or first.fc_low is None or first.fc_high is None:
        opening = words.of("layout_phrases", "guidance_for").format_map({"space": name})
    else:
        where = (
            "below"
            if asked.level_fc < first.fc_low
            else "above"
            if asked.level_fc > first.fc_high
            else "held"
        )
        opening = words.of("layout_phrases", f"guidance_{where}").format_map(
            {
                "level": shown.footcandles(asked.level_fc, words, metric),
                "space": name,
                "range": teller.range_fc(first.fc_low, first.fc_high),
            }
        )
    return (opening, words.of("layout_phrases", "levels_only")), tuple(
        f"{teller.guide(row)}." for row in guides
    )
