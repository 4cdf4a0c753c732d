"""The mail's parts: pictures that any mail program shows, told apart in black and white, with words for who sees none."""

import hashlib
import io
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image, ImageDraw, ImageFont

from bot.replies import render, render_email
from bot.replies.pictures import energy_bars
from bot.replies.pictures.png import png_of
from bot.replies.pictures.svg import picture, words
from bot.replies.words import LANGUAGES, words_in
from engine.proposal import Spread
from tests.unit.replies import samples

BAND = tuple(Spread(-2700.0 + 1600 * y, -2900.0 + 1400 * y, -2500.0 + 1800 * y) for y in range(16))


@pytest.fixture(params=LANGUAGES)
def mail(request):
    quote, reading = samples.wall_packs()
    return render_email(replace(quote, cash_band=BAND), reading, request.param, (samples.TEXT,))


def opened(png):
    return Image.open(io.BytesIO(png)).convert("L")


def one_line(text):
    return picture(200, 40, "t", "d", [words(10, 28, text, size=20)])


def test_every_picture_is_in_the_html_once_with_its_words_beside_it(mail):
    assert [p.filename for p in mail.pictures] == ["energy.png", "money.png", "assumptions.png"]
    for p in mail.pictures:
        assert mail.html.count(f'src="cid:{p.cid}"') == 1
        assert f'alt="{p.alt[:40]}' in mail.html
        assert re.fullmatch(r"[a-z0-9.]+@[a-z.]+", p.cid)
    assert set(re.findall(r"cid:([^\"]+)", mail.html)) == {p.cid for p in mail.pictures}


def test_a_picture_is_a_small_grey_png_of_twice_its_shown_width(mail):
    for p in mail.pictures:
        image = Image.open(io.BytesIO(p.png))
        assert image.format == "PNG"
        assert image.width == 2 * p.width
        assert len(p.png) < 60_000
        assert {r == g == b for r, g, b in (c for _, c in image.convert("RGB").getcolors(256))} == {True}


def test_the_same_quote_gives_the_same_bytes(mail):
    quote, reading = samples.wall_packs()
    again = render_email(
        replace(quote, cash_band=BAND), reading, "en" if 'lang="en"' in mail.html else "es", (samples.TEXT,)
    )

    assert again == mail


def test_the_bars_in_the_picture_are_as_long_as_the_energy():
    image = opened(png_of(energy_bars(1000.0, 250.0, words_in("en")))[0])

    def length(y):
        return sum(image.getpixel((x, 2 * y)) < 100 for x in range(image.width))

    # The upper edge of the present bar, and a row of the LED bar above its label.
    assert length(90) / length(40) == pytest.approx(0.25, abs=0.02)


@pytest.mark.parametrize("pair", ["ñn", "áa", "ée", "íi", "óo", "úu", "üu", "ÑN", "ÁA"])
def test_an_accented_letter_is_drawn_as_the_letter_with_an_accent(pair):
    accented, plain = pair
    with_accent, without = (opened(png_of(one_line(ch))[0]) for ch in pair)
    body = (0, 36, with_accent.width, with_accent.height)

    assert with_accent.tobytes() != without.tobytes(), accented
    if plain.islower():
        assert with_accent.crop(body).tobytes() == without.crop(body).tobytes()


def test_no_letter_of_the_wording_is_drawn_as_an_empty_box():
    """Every letter of both languages' figure names is ASCII, or becomes an ASCII letter with an accent that is drawn."""
    from bot.replies.pictures.png import _pieces

    font = ImageFont.load_default(40)
    missing = Image.new("L", (60, 60), 0)
    ImageDraw.Draw(missing).text((5, 5), "\u4e00", 255, font)
    seen = set()
    for language in LANGUAGES:
        for text in (
            *words_in(language).table("names").values(),
            *words_in(language).table("phrases").values(),
        ):
            for letters, mark in _pieces(text):
                assert letters.isascii()
                assert mark in ("", "\u0301", "\u0303", "\u0308", "\u0300", "upside down")
                seen |= set(letters)
    for letter in seen - {" "}:
        drawn = Image.new("L", (60, 60), 0)
        ImageDraw.Draw(drawn).text((5, 5), letter, 255, font)
        assert drawn.tobytes() != missing.tobytes(), letter


def test_an_upside_down_mark_hangs_below_a_small_letters_top():
    image = opened(png_of(one_line("¿"))[0])
    rows = [y for y in range(image.height) if any(image.getpixel((x, y)) < 128 for x in range(image.width))]

    assert rows[-1] > 2 * 29
    assert rows[0] > 2 * 12


def test_a_shape_that_is_not_ours_is_refused():
    with pytest.raises(ValueError, match="no shape of our pictures"):
        png_of(picture(10, 10, "t", "d", ['<image href="x"/>']))


@pytest.mark.parametrize("sample", ["danger", "greet", "compare", "nothing_fits"])
def test_a_reply_without_figures_has_no_picture(sample):
    quote, reading = samples.SAMPLES[sample]()
    parts = render_email(quote, reading, "en", (samples.TEXT,))

    assert parts.pictures == ()
    assert "cid:" not in parts.html
    assert parts.text == render(quote, reading, "email_text", "en", (samples.TEXT,))


def test_a_machine_without_fonts_draws_the_same_picture(tmp_path):
    """No font of the system is opened: the bytes are the same where its folders are hidden from the library."""
    script = (
        "import hashlib\n"
        "from PIL import ImageFont\n"
        "def refused(*args, **kwargs):\n"
        "    if args and isinstance(args[0], (str, bytes)):\n"
        "        raise OSError('no fonts here')\n"
        "    return real(*args, **kwargs)\n"
        "real = ImageFont.FreeTypeFont\n"
        "ImageFont.truetype = refused\n"
        "from bot.replies.pictures import energy_bars\n"
        "from bot.replies.pictures.png import png_of\n"
        "from bot.replies.words import words_in\n"
        "print(hashlib.sha256(png_of(energy_bars(1000.0, 250.0, words_in('es')))[0]).hexdigest())\n"
    )
    env = {"HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path), "XDG_DATA_DIRS": str(tmp_path)}
    root = Path(__file__).parents[3]
    out = subprocess.run(
        [sys.executable, "-c", script], cwd=root, env=env, capture_output=True, text=True, check=True
    )
    here = png_of(energy_bars(1000.0, 250.0, words_in("es")))[0]

    assert out.stdout.strip() == hashlib.sha256(here).hexdigest()


def test_a_short_answer_does_not_load_the_drawing_library():
    script = "import sys, bot.replies; print('PIL' in sys.modules)"
    root = Path(__file__).parents[3]
    out = subprocess.run([sys.executable, "-c", script], cwd=root, capture_output=True, text=True, check=True)

    assert out.stdout.strip() == "False"
