"""The plan and the section: to scale, told apart without tone, and no words over others or off the page."""

import itertools
import re
import tomllib
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import ImageFont

from bot.assistant import Assistant, Conversation
from bot.opening import open_assistant
from bot.replies.pictures import layout_pictures_of, pictures_of
from bot.replies.pictures.light_plan import Lamp, Plan, light_plan, round_length
from bot.replies.pictures.light_section import PERSON_FT, Reach, Section, light_section
from bot.replies.pictures.png import png_of
from bot.settings import load_settings

SVG = "{http://www.w3.org/2000/svg}"
CASES = tomllib.loads((Path(__file__).parent / "questions.toml").read_text(encoding="utf-8"))["question"]
QUOTED = (
    "twelve 250W wallpacks at 20 ft, $0.11/kWh, dusk-to-dawn",
    "8 400w metal halide shoebox heads on 25' poles, 480v, bronze",
    "6 1000w mh floods at 35 ft",
    "14 postes con luminarias de 150w hps a 9 metros, toda la noche",
)


@pytest.fixture(scope="module")
def assistant() -> Assistant:
    settings = load_settings()
    return open_assistant(settings.catalogue, settings.tables, settings.terms, settings.tariff)


@pytest.fixture(scope="module")
def drawn(assistant: Assistant) -> dict[str, str]:
    """Every picture of light of the questions and of some quotes, by a name."""
    out = {}
    for case in [*CASES, *({"text": text} for text in QUOTED)]:
        conversation, asked = Conversation(), None
        for text in (case["text"], *case.get("then", ())):
            turn = assistant.take_turn(conversation, text, asked)
            conversation, asked = turn.conversation, turn.question
        if turn.quote is None:
            continue
        found = layout_pictures_of if turn.quote.layouts else pictures_of
        for name, svg in found(turn.quote, turn.reading.language):
            if name.startswith("light"):
                out[f"{turn.conversation.texts[0][:50]} {name}"] = svg
    return out


def boxes_of_words(root: ElementTree.Element) -> list[tuple[float, float, float, float, str]]:
    out = []
    for text in root.iter(f"{SVG}text"):
        size = float(text.attrib["font-size"])
        font = ImageFont.load_default(round(size * 8))
        width = font.getlength(text.text or "") / 8
        x = float(text.attrib["x"]) - width * {"middle": 0.5, "end": 1.0}.get(text.attrib["text-anchor"], 0.0)
        y = float(text.attrib["y"])
        out.append((x, y - 0.75 * size, x + width, y + 0.2 * size, text.text or ""))
    return out


def test_there_are_pictures_of_every_kind(drawn: dict[str, str]) -> None:
    assert len(drawn) > 80
    assert sum("stroke-dasharray" in svg for svg in drawn.values()) > 20


def test_no_words_lie_over_others_or_off_the_page(drawn: dict[str, str]) -> None:
    for name, svg in drawn.items():
        root = ElementTree.fromstring(svg)  # noqa: S314  our own picture
        _, _, width, height = (float(part) for part in root.attrib["viewBox"].split())
        boxes = boxes_of_words(root)
        for left, top, right, bottom, text in boxes:
            assert left >= 0, (name, text)
            assert right <= width + 1, (name, text)
            assert top >= 0, (name, text)
            assert bottom <= height, (name, text)
        for one, other in itertools.combinations(boxes, 2):
            apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
            assert apart, (name, one[4], other[4])


def test_the_two_sides_are_told_apart_by_stroke_and_never_by_tone(drawn: dict[str, str]) -> None:
    for name, svg in drawn.items():
        root = ElementTree.fromstring(svg)  # noqa: S314  our own picture
        tones = {path.attrib["stroke"] for path in root.iter(f"{SVG}path")}
        assert tones <= {"#1b1f24"}, name
        widths = {
            (path.attrib["stroke-width"], "stroke-dasharray" in path.attrib)
            for path in root.iter(f"{SVG}path")
            if path.attrib["fill"] == "none"
        }
        assert widths <= {("2.8", False), ("1.8", True)}, name


def test_every_picture_can_be_mailed_and_says_what_it_shows(drawn: dict[str, str]) -> None:
    for name, svg in list(drawn.items())[::9]:
        png, words = png_of(svg)
        assert png.startswith(b"\x89PNG"), name
        assert re.search(r"\d", words), name
        assert len(svg) < 40_000, name


def test_the_person_and_the_light_are_to_one_scale() -> None:
    section = Section(
        kind="wall", height_ft=23.0, plane_ft=0.0, lights_ft=(0.0,), far_ft=60.0, new=Reach(46.0, "LED: 0.5 fc to 46 ft"),
        old=Reach(40.0, "Now: 0.5 fc to 40 ft"), between="", title="Light from the side", height_words="23 ft up",
        person_words="5 ft 9 in", plane_words="", notes=(), description="One light.",
    )  # fmt: skip
    root = ElementTree.fromstring(light_section(section))  # noqa: S314  our own picture
    lines = [
        tuple(float(line.attrib[k]) for k in ("x1", "y1", "x2", "y2")) for line in root.iter(f"{SVG}line") if "x1" in line.attrib
    ]  # fmt: skip
    ground = max(lines, key=lambda line: line[2] - line[0])[1]
    ray = max(lines, key=lambda line: abs(line[2] - line[0]) * (line[1] != line[3]))
    head = min(
        float(y)
        for path in root.iter(f"{SVG}path")
        for y in re.findall(r"[ML][\d.]+ ([\d.]+)", path.attrib["d"])
    )

    height = ground - ray[1]
    assert height / 23.0 == pytest.approx((ray[2] - ray[0]) / 46.0, rel=0.01)
    assert (ground - head) / height == pytest.approx(PERSON_FT / 23.0, rel=0.04)


def test_the_plan_is_to_scale_in_both_directions() -> None:
    square = ((10.0, 10.0), (30.0, 10.0), (30.0, 30.0), (10.0, 30.0), (10.0, 10.0))
    plan = Plan(
        x_ft=(0.0, 40.0), y_ft=(0.0, 40.0), lamps=(Lamp(20.0, 0.0, 0.0),), new_lines=(square,), old_lines=None, wall=True,
        bounds_ft=None, mark_ft=None, line_ft=None, title="Light from above", new_words="0.5 fc", old_words="", mark_words="",
        line_words="", scale_ft=10.0, scale_words="10 ft", description="A square of 20 ft.",
    )  # fmt: skip
    root = ElementTree.fromstring(light_plan(plan))  # noqa: S314  our own picture
    points = re.findall(r"[ML]([\d.]+) ([\d.]+)", next(root.iter(f"{SVG}path")).attrib["d"])
    x, y = zip(*((float(a), float(b)) for a, b in points), strict=True)
    bars = [line for line in root.iter(f"{SVG}line") if line.attrib.get("y1") == line.attrib.get("y2")]
    scale = min(float(b.attrib["x2"]) - float(b.attrib["x1"]) for b in bars if float(b.attrib["x1"]) == 12)

    assert max(x) - min(x) == pytest.approx(max(y) - min(y), abs=0.2)
    assert max(x) - min(x) > 0
    assert scale > 0


@pytest.mark.parametrize(("longest", "length"), [(100, 20), (60, 20), (59, 10), (350, 100), (16, 5), (7, 2)])
def test_a_scale_is_a_round_length(longest: float, length: float) -> None:
    assert round_length(longest) == length
