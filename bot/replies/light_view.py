"""The light before and after in words: how far a level reaches, what there is at the places that count, what it rests on."""

from typing import Final

from bot.replies import shown
from bot.replies.clean import one_line
from bot.replies.words import Words
from engine.by_object import ByObject
from engine.figure import Figure
from engine.light.before_after import BeforeAfter
from engine.proposal import QuoteLine
from engine.record import record


@record
class LightView:
    """What changes where people walk. Every field is text.

    Attributes:
        sentences: what changes, a sentence each; none where either side's light is not known.
        basis: what that rests on: maintained, direct, a generic shape or a file, what height was taken.
        matched: whether the choice was made by light, by lumens or by what was asked for; "" where nothing was matched.
        short: one clause for text messages; "" where either side's light is not known.
    """

    sentences: tuple[str, ...]
    basis: str
    matched: str
    short: str

    @property
    def told(self) -> str:
        """All of it in one paragraph."""
        return " ".join(filter(None, (*self.sentences, self.matched, self.basis)))


def light_view(line: QuoteLine, words: Words, metric: bool) -> LightView:
    """The light of the chosen option beside the present one's; lines share it where they differ in their counts alone."""
    how = (line.matched_by, words.language, metric)
    return _lights_viewed.get(line.light, how, _light_view, line, words, metric)


_lights_viewed: Final = ByObject[LightView](256)


def _light_view(line: QuoteLine, words: Words, metric: bool) -> LightView:
    matched = words.say(f"matched_{line.matched_by}") if line.matched_by is not None else ""
    if line.light is None:
        return LightView((), "", matched, "")
    told = _Told(line.light, words, metric)
    return LightView(told.sentences(), told.basis(), matched, told.short())


@record
class _Told:
    light: BeforeAfter
    words: Words
    metric: bool

    def sentences(self) -> tuple[str, ...]:
        match self.light.scene.arrangement:
            case "wall":
                return (self._reach(),)
            case "pole":
                return (self._reach(), self._midway())
            case "aim":
                return (self._aimed(),)
            case "grid":
                return (self._average(),)

    def basis(self) -> str:
        before = self.light.before
        if before.generic:
            first = self.words.say("light_basis_generic")
        else:
            first = self.words.say("light_basis_own", name=one_line(before.reference, 60))
        taken = self._taken()
        return f"{first} {taken}" if taken else first

    def short(self) -> str:
        ahead = self._pair("throw_ahead")
        if ahead is not None:
            before, after = (self._feet(figure) for figure in ahead)
            return self.words.say(
                "light_short", level=self._level(self.light.level_fc), after=after, before=before
            )
        spot = self.light.limiting
        before_fc, after_fc = self._levels(spot.key)
        distance = self.light.distance_ft(spot)
        return self.words.say(
            "light_short_level",
            spot=shown.spot(spot.key, distance, self.words, self.metric),
            after=after_fc,
            before=before_fc,
        )

    def _reach(self) -> str:
        height, level = self._feet(self.light.scene.height_ft), self._spoken_level()
        ahead, side = self._pair("throw_ahead"), self._pair("throw_side")
        figures = self.light.figures
        if ahead is None:
            for when, phrase in (("after", "light_new_only"), ("before", "light_old_only")):
                one = figures.get(f"throw_ahead_{when}")
                if one is not None:
                    return self.words.say(phrase, height=height, level=level, **{when: self._feet(one)})
            return self.words.say("light_no_reach", height=height, level=level)
        before, after = (self._feet(figure) for figure in ahead)
        if side is None or self.light.scene.arrangement != "wall":
            return self.words.say("light_reach", height=height, level=level, before=before, after=after)
        side_before, side_after = (self._feet(figure) for figure in side)
        return self.words.say(
            "light_reach_sides",
            height=height,
            level=level,
            before=before,
            after=after,
            side_before=side_before,
            side_after=side_after,
        )

    def _midway(self) -> str:
        before, after = self._levels("midway")
        return self.words.say("light_midway", spacing=self._spacing(), before=before, after=after)

    def _aimed(self) -> str:
        before, after = self._levels("aim")
        edge_before, edge_after = self._levels("edge")
        return self.words.say(
            "light_aim",
            height=self._feet(self.light.scene.height_ft),
            distance=shown.feet(round(self.light.distance_ft(self.light.spots[0])), self.words, self.metric),
            before=before,
            after=after,
            edge_before=edge_before,
            edge_after=edge_after,
        )

    def _average(self) -> str:
        before, after = self._levels("average")
        between_before, between_after = self._levels("between")
        return self.words.say(
            "light_average",
            height=self._feet(self.light.scene.height_ft),
            spacing=self._spacing(),
            before=before,
            after=after,
            between_before=between_before,
            between_after=between_after,
        )

    def _taken(self) -> str:
        scene = self.light.scene
        height = _is_assumed(scene.height_ft)
        spacing = scene.spacing_ft is not None and _is_assumed(scene.spacing_ft)
        values = {"height": self._feet(scene.height_ft), "spacing": self._spacing()}
        if height and spacing:
            return self.words.say("light_both_taken", **values)
        if height:
            return self.words.say("light_height_taken", **values)
        return self.words.say("light_spacing_taken", **values) if spacing else ""

    def _pair(self, name: str) -> tuple[Figure, Figure] | None:
        before, after = (self.light.figures.get(f"{name}_{when}") for when in ("before", "after"))
        return None if before is None or after is None else (before, after)

    def _levels(self, spot: str) -> tuple[str, str]:
        before, after = (self.light.figures[f"level_{spot}_{when}"].value for when in ("before", "after"))
        return self._level(before), self._level(after)

    def _level(self, value: float) -> str:
        return shown.footcandles(value, self.words, self.metric)

    def _spoken_level(self) -> str:
        if self.light.level_fc == 0.5 and not self.metric:
            return self.words.say("half_fc")
        return self._level(self.light.level_fc)

    def _feet(self, figure: Figure) -> str:
        value = figure.value if figure.name == "mounting_height_ft" else round(figure.value)
        return shown.feet(value, self.words, self.metric)

    def _spacing(self) -> str:
        spacing = self.light.scene.spacing_ft
        return "" if spacing is None else shown.feet(round(spacing.value), self.words, self.metric)


def _is_assumed(figure: Figure) -> bool:
    return figure.origin is not None and figure.origin.kind == "assumed"
