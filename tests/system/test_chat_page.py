"""The chat page as a person meets it: in a real Chromium, by mouse, by keyboard, on a phone."""

import re
from collections.abc import AsyncIterator, Callable
from itertools import pairwise
from pathlib import Path

import pytest
import pytest_asyncio
from playwright.async_api import Browser, BrowserContext, ConsoleMessage, Page, expect

from tests.system.conftest import SESSION_LOOP, Served

pytestmark = [pytest.mark.browser, SESSION_LOOP]

FIRST = "twelve 250W wallpacks at 20 ft, $0.11/kWh, dusk-to-dawn"
Open = Callable[..., "AsyncIterator[Page]"]


@pytest_asyncio.fixture(loop_scope="session")
async def open_page(browser: Browser, shared_server: Served) -> AsyncIterator[Callable[..., object]]:
    """Opens the served page; a script error or a refused resource fails the test."""
    troubles: list[str] = []
    opened: list[BrowserContext] = []

    async def open_it(
        width: int = 1000, height: int = 900, *, served: Served = shared_server, **options: object
    ) -> Page:
        context = await browser.new_context(viewport={"width": width, "height": height}, **options)
        opened.append(context)
        page = await context.new_page()
        page.set_default_timeout(15_000)
        page.on("pageerror", lambda error: troubles.append(str(error)))
        page.on("console", lambda said: troubles.append(said.text) if is_trouble(said) else None)
        await page.goto(served.address)
        await expect(page.locator("#link")).to_have_attribute("data-state", "linked")
        return page

    open_it.troubles = troubles  # type: ignore[attr-defined]
    yield open_it
    for context in opened:
        await context.close()
    assert troubles == []


def is_trouble(said: ConsoleMessage) -> bool:
    """That a server is down is no fault of the page's; the browser notes it all the same, at any later time."""
    return said.type == "error" and "CONNECTION_REFUSED" not in said.text


async def send(page: Page, text: str) -> None:
    await page.get_by_role("textbox", name="What hangs there now?").fill(text)
    await page.keyboard.press("Enter")


async def number_in(page: Page, selector: str) -> float:
    text = await page.locator(selector).first.inner_text()
    found = re.search(r"[0-9][0-9,]*(?:\.[0-9]+)?", text)
    assert found is not None, text
    return float(found.group().replace(",", ""))


async def test_a_typed_sentence_becomes_a_ticket_that_can_be_changed_and_opened(
    open_page: Callable[..., object], artifacts: Path
) -> None:
    page: Page = await open_page()
    await send(page, FIRST)
    ticket = page.locator(".ticket")
    await expect(ticket).to_be_visible()

    marks = await page.locator("mark").all_inner_texts()
    assert marks == ["twelve", "250W", "wallpacks", "20 ft", "$0.11/kWh", "dusk-to-dawn"]
    assert await page.locator("mark").nth(1).get_attribute("title") == "Lamp watts: 250 W"
    await expect(page.locator(".key")).to_contain_text("Mounting height")
    await expect(ticket.locator("h4").first).to_have_text("12 x 250 W wall pack (most likely metal halide)")
    await expect(ticket.locator(".option").first).to_contain_text("LED")
    draws = await ticket.locator(".option.chosen .facts").first.inner_text()
    watts = re.search(r"Draws\s+([0-9]+) W", draws)
    assert watts is not None
    assert 45 <= int(watts.group(1)) <= 65
    await expect(ticket.locator(".option.chosen .reasons")).to_contain_text("Why:")
    await expect(ticket.locator(".headline")).to_contain_text(re.compile(r"Pays back in .*(year|month)"))
    await expect(ticket.locator(".headline .likely")).to_contain_text("between")
    await expect(ticket.locator(".tape")).to_be_visible()
    await expect(ticket.locator(".cautions")).to_contain_text("licensed electrician")
    await page.screenshot(path=artifacts / "ticket.png", full_page=True)

    # A figure opens to its working, down to what was said.
    await ticket.locator(".figure.big").click()
    working = page.get_by_role("dialog")
    await expect(working).to_contain_text("Payback")
    await expect(working.locator(".from-stated").first).to_be_attached()
    assert await working.locator(".from-assumed, .from-table, .from-catalogue").count() > 3
    await page.screenshot(path=artifacts / "working.png")
    await page.keyboard.press("Escape")
    await expect(working).to_be_hidden()

    # An assumption is changed by pressing its tag.
    saved = ".ledger [data-name=saved_per_year] dd"
    saved_before = await number_in(page, saved)
    await ticket.locator('.tag[data-path="job.schedule"]').click()
    await ticket.get_by_label("Hours a year").fill("2000")
    await ticket.get_by_role("button", name="Change it").click()
    await expect(page.locator(".ticket")).to_have_count(2)
    assert await number_in(page, f".ticket >> nth=1 >> {saved}") < saved_before
    await expect(page.locator(".slip-change")).to_contain_text("2000")


SHOWN_IN_PICTURES = {
    "Energy a year": "15,222 kWh a year",
    "Money ahead, year by year": "It pays back after about",
    "Payback, if an assumption is off": "Hours on:",
    "Light from above": "LED: 0.5 fc to 40 ft",
    "Light from the side": "Now: 0.5 fc to 40 ft",
}


@pytest.mark.parametrize(("width", "open_at_once"), [(1000, 2), (360, 1)])
async def test_the_pictures_are_there_and_say_in_words_what_they_show(
    open_page: Callable[..., object], artifacts: Path, width: int, open_at_once: int
) -> None:
    page: Page = await open_page(width, 900)
    await send(page, FIRST)
    pictures = page.locator(".ticket .picture svg")
    await expect(pictures).to_have_count(len(SHOWN_IN_PICTURES))
    assert [await each.is_visible() for each in await pictures.all()].count(True) == open_at_once
    for _ in range(len(SHOWN_IN_PICTURES) - open_at_once):
        await page.locator(".folded-picture:not([open]) summary").first.press("Enter")

    for number, (title, words) in enumerate(SHOWN_IN_PICTURES.items()):
        picture = pictures.nth(number)
        await expect(picture).to_be_visible()
        await expect(page.get_by_role("img", name=title)).to_have_count(1)
        described = await picture.evaluate(
            "n => n.getAttribute('aria-labelledby').split(' ').map(i => document.getElementById(i).textContent).join(' ')"
        )
        assert words in described
        smallest = await picture.evaluate(
            "n => Math.min(...[...n.querySelectorAll('text')].map(w => w.getBoundingClientRect().height))"
        )
        assert smallest >= 10, "words in a picture are large enough to be read on a phone"
    assert await page.evaluate("document.documentElement.scrollWidth") <= width
    await page.locator(".pictures").screenshot(path=artifacts / f"pictures-{width}.png")


async def test_every_caution_shows_in_short_without_a_press_and_in_full_with_one(
    open_page: Callable[..., object],
) -> None:
    page: Page = await open_page()
    await send(page, FIRST)
    cautions = page.locator(".ticket .cautions")
    await expect(cautions).to_be_visible()
    brief = await cautions.locator("> ul > li").all_inner_texts()
    whole = cautions.locator("details li")

    assert "Licensed electrician and local code decide." in brief
    assert "Recycle the old lamps (mercury)." in brief
    assert len(brief) == await whole.count() > 6
    await expect(whole.first).to_be_hidden()
    await cautions.locator("summary").click()
    await expect(whole.first).to_be_visible()


async def test_an_option_s_payback_says_what_it_leaves_out(open_page: Callable[..., object]) -> None:
    page: Page = await open_page()
    await send(page, FIRST)
    await expect(page.locator(".option.chosen .facts")).to_contain_text("Pays back, not counting lift")
    await send(page, "they are at 8 ft")

    await expect(page.locator(".ticket").nth(1).locator(".option.chosen .facts")).not_to_contain_text("lift")


async def test_the_ticket_says_what_the_money_leaves_out(open_page: Callable[..., object]) -> None:
    page: Page = await open_page()
    await send(page, f"{FIRST}, utility pays $600 each")
    left_out = page.locator(".ticket .left-out")

    await expect(left_out).to_contain_text("Freight is not included.")
    await expect(left_out).to_contain_text("so it was cut to that")


async def test_what_cannot_be_is_asked_for_again_with_what_was_read(open_page: Callable[..., object]) -> None:
    page: Page = await open_page()
    await send(page, "12 wallpacks at 900 ft")

    await expect(page.locator(".note")).to_contain_text("900 ft")
    await expect(page.locator(".note")).to_contain_text("I can price it once that is put right.")
    await expect(page.locator(".note")).to_contain_text("12 x wall pack")


async def test_an_assumed_lamp_is_put_right_by_choosing_another(open_page: Callable[..., object]) -> None:
    page: Page = await open_page()
    await send(page, FIRST)
    await page.locator('.tag[data-path="lines.0.source"]').click()
    await page.locator(".edit select").select_option(label="high pressure sodium")
    await page.get_by_role("button", name="Change it").click()

    await expect(page.locator(".ticket").nth(1).locator("h4").first).to_contain_text("high pressure sodium")


async def test_a_number_that_cannot_be_is_said_beside_the_field(open_page: Callable[..., object]) -> None:
    page: Page = await open_page()
    await send(page, "12 250w metal halide wallpacks dusk to dawn")
    await page.locator('.tag[data-path="job.rate_per_kwh"]').click()
    await page.get_by_role("textbox", name="Power rate").fill("eleven")
    await page.get_by_role("button", name="Change it").click()

    await expect(page.locator(".edit .fault")).to_contain_text("number")
    await expect(page.locator(".ticket")).to_have_count(1)


async def test_everything_can_be_done_from_the_keyboard(open_page: Callable[..., object]) -> None:
    page: Page = await open_page()
    keys = page.keyboard

    # The first stop is the link that skips to the message box.
    await keys.press("Tab")
    await keys.press("Enter")
    await expect(page.locator("#words")).to_be_focused()
    await keys.type(FIRST)
    await keys.press("Enter")
    await expect(page.locator(".ticket")).to_be_visible()

    async def tab_to(selector: str, most: int = 80) -> None:
        for _ in range(most):
            await keys.press("Shift+Tab")
            if await page.evaluate("s => document.activeElement.matches(s)", selector):
                return
        raise AssertionError(f"{selector} can't be reached by tabbing")

    await tab_to('.tag[data-path="lines.0.source"]')
    await keys.press("Enter")
    await expect(page.locator(".edit select")).to_be_focused()
    await keys.press("Escape")
    await expect(page.locator('.tag[data-path="lines.0.source"]')).to_be_focused()
    await tab_to(".figure.big")
    outline = await page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline == "solid", "the focus must be seen"
    await keys.press("Enter")
    await expect(page.get_by_role("dialog")).to_be_visible()
    assert await page.evaluate("document.querySelector('dialog').contains(document.activeElement)")
    await keys.press("Escape")
    await expect(page.locator(".figure.big")).to_be_focused()


async def test_the_page_tells_a_screen_reader_what_it_is_and_what_came(
    open_page: Callable[..., object],
) -> None:
    page: Page = await open_page()
    for role in ("banner", "main", "log", "form"):
        await expect(page.get_by_role(role)).to_have_count(1)  # type: ignore[arg-type]
    await send(page, FIRST)
    await expect(page.locator(".ticket")).to_be_visible()

    await expect(page.get_by_role("log")).to_contain_text("Pays back in")
    await expect(page.get_by_role("region", name="Ticket 1")).to_be_visible()
    await expect(page.get_by_role("heading", name="Cautions")).to_be_visible()
    unnamed = await page.evaluate(
        "[...document.querySelectorAll('button, input, select, textarea, a, svg[role=img]')].filter(n =>"
        " !(n.textContent.trim() || n.labels?.length || n.getAttribute('aria-label') || n.getAttribute('aria-labelledby')))"
        ".map(n => n.outerHTML)"
    )
    assert unnamed == []
    levels = await page.evaluate(
        "[...document.querySelectorAll('#talk h2, #talk h3, #talk h4')].map(n => +n.tagName[1])"
    )
    assert levels[0] == 2
    assert all(after - before <= 1 for before, after in pairwise(levels))


CONTRAST = """
() => {
  const parse = (c) => (c.match(/[0-9.]+/g) || []).map(Number);
  const lum = ([r, g, b]) => { const f = (v) => { v /= 255; return v <= .03928 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4; };
    return .2126 * f(r) + .7152 * f(g) + .0722 * f(b); };
  const ground = (n) => { for (; n; n = n.parentElement) { const c = parse(getComputedStyle(n).backgroundColor);
    if (c.length && (c.length < 4 || c[3] === 1)) return c; } return [255, 255, 255]; };
  const out = [];
  for (const n of document.querySelectorAll('body *')) {
    if (n.closest('svg') || n.closest('.unseen') || !n.getClientRects().length) continue;
    if (![...n.childNodes].some((c) => c.nodeType === 3 && c.textContent.trim())) continue;
    const style = getComputedStyle(n);
    const [a, b] = [lum(parse(style.color)), lum(ground(n))].sort((x, y) => y - x);
    const ratio = (a + .05) / (b + .05);
    const large = parseFloat(style.fontSize) >= 24 || (parseFloat(style.fontSize) >= 18.66 && style.fontWeight >= 700);
    if (ratio < (large ? 3 : 4.5)) out.push(`${ratio.toFixed(2)} ${n.className} ${n.textContent.trim().slice(0, 40)}`);
  }
  return out;
}
"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
async def test_words_stand_out_from_their_ground_by_the_aa_measure(
    open_page: Callable[..., object], artifacts: Path, scheme: str
) -> None:
    page: Page = await open_page(color_scheme=scheme, reduced_motion="reduce")
    assert await page.evaluate(CONTRAST) == []
    await send(page, "we need a price: " + FIRST)
    await expect(page.locator(".ticket")).to_be_visible()
    await page.locator(".tag").first.click()
    await page.screenshot(path=artifacts / f"contrast-{scheme}.png", full_page=True)

    assert await page.evaluate(CONTRAST) == []


async def test_nothing_moves_for_those_who_asked_for_that(open_page: Callable[..., object]) -> None:
    page: Page = await open_page(reduced_motion="reduce")
    await send(page, FIRST)
    await expect(page.locator(".ticket")).to_be_visible()

    assert await page.evaluate("document.getAnimations().length") == 0


async def test_a_phone_shows_it_all_without_sideways_scrolling(
    open_page: Callable[..., object], artifacts: Path
) -> None:
    page: Page = await open_page(360, 740, has_touch=True, is_mobile=True)
    await page.screenshot(path=artifacts / "phone-start.png")
    await page.get_by_role("button", name="(20) 400W MH highbays").tap()
    await expect(page.locator(".ticket")).to_be_visible()
    await page.screenshot(path=artifacts / "phone-ticket.png")

    assert await page.evaluate("document.documentElement.scrollWidth") <= 360
    small = await page.evaluate(
        "[...document.querySelectorAll('.plain, .ink, .tag, .example, textarea')].filter(n => n.getClientRects().length)"
        ".map(n => n.getBoundingClientRect()).filter(r => r.height < 40).length"
    )
    assert small == 0, "what is pressed with a thumb is at least 40 px high"
    for selector in (".option.chosen", ".tags", ".cautions"):
        await page.locator(selector).first.scroll_into_view_if_needed()
        await expect(page.locator(selector).first).to_be_visible()
    await page.screenshot(path=artifacts / "phone-cautions.png")


async def test_a_pressed_example_in_spanish_is_answered_in_spanish(
    open_page: Callable[..., object], artifacts: Path
) -> None:
    page: Page = await open_page()
    await page.get_by_role("button", name="cuanto por 10 wallpacks").click()
    await expect(page.locator(".ticket")).to_be_visible()

    await expect(page.locator(".ticket .cautions")).to_contain_text("electricista")
    await expect(page.locator("#send")).to_have_text("Enviar")
    assert await page.evaluate("document.documentElement.lang") == "es"
    await page.screenshot(path=artifacts / "spanish.png", full_page=True)


async def test_what_is_sent_while_the_line_is_down_is_answered_when_it_is_back(
    open_page: Callable[..., object], serve: Callable[..., Served]
) -> None:
    served = serve()
    page: Page = await open_page(served=served)
    await send(page, "12 250w metal halide wallpacks")
    await expect(page.locator(".ticket")).to_be_visible()
    port = int(served.address.rpartition(":")[2])
    served.stop()
    await expect(page.locator("#link")).to_have_attribute("data-state", "unlinked")
    await send(page, "they are 480v")
    await expect(page.locator(".waiting")).to_contain_text("they are 480v")
    serve(port=port)
    await expect(page.locator(".ticket")).to_have_count(2)

    await expect(page.locator(".ticket").nth(1).locator(".details")).to_contain_text("480 V")
    await expect(page.locator(".waiting")).to_have_count(0)
    await page.context.close()
    # That the line was down is no fault of the page's; the browser notes it all the same, some of it late.
    troubles: list[str] = open_page.troubles  # type: ignore[attr-defined]
    troubles[:] = [each for each in troubles if "WebSocket" not in each]


async def test_a_page_loaded_again_shows_the_conversation(open_page: Callable[..., object]) -> None:
    page: Page = await open_page()
    await send(page, FIRST)
    await expect(page.locator(".ticket")).to_be_visible()
    await page.get_by_role("textbox", name="What hangs there now?").fill("half a thought")
    await page.reload()

    await expect(page.locator(".ticket")).to_have_count(1)
    await expect(page.locator("mark")).to_have_count(6)
    await expect(page.locator("#words")).to_have_value("half a thought")


async def test_markup_and_other_scripts_are_shown_as_they_were_typed(
    open_page: Callable[..., object],
) -> None:
    page: Page = await open_page()
    text = '12 wallpacks <b onclick="alert(1)">250w</b> 🔌 mañana'
    await send(page, text)
    await expect(page.locator(".slip:not(.waiting .slip) .words")).to_have_text(text)

    assert await page.locator(".words b").count() == 0
    assert "250w" in await page.locator("mark").all_inner_texts()


async def test_a_hazardous_place_shows_a_stop_and_no_price(
    open_page: Callable[..., object], artifacts: Path
) -> None:
    page: Page = await open_page()
    await send(page, "we have class 1 div 2 area with 6 150w hps, need led")
    await expect(page.locator(".note.stop")).to_be_visible()
    await page.screenshot(path=artifacts / "stop.png")

    assert "$" not in await page.locator(".note.stop").inner_text()
    await expect(page.locator(".ticket")).to_have_count(0)


async def test_a_refused_message_can_be_put_back_and_mended(open_page: Callable[..., object]) -> None:
    page: Page = await open_page()
    await send(page, "12 wallpacks \x07 250w")
    await expect(page.locator(".slip-refused")).to_contain_text("binary")
    await page.get_by_role("button", name="Put it back in the box").click()

    await expect(page.locator("#words")).to_be_focused()
    await expect(page.locator(".slip-refused")).to_have_count(0)


async def test_a_new_pad_lets_go_of_the_conversation(open_page: Callable[..., object]) -> None:
    page: Page = await open_page()
    await send(page, FIRST)
    await expect(page.locator(".ticket")).to_be_visible()
    page.on("dialog", lambda dialog: dialog.accept())
    await page.get_by_role("button", name="New pad").click()

    await expect(page.locator(".ticket")).to_have_count(0)
    await expect(page.get_by_role("heading", level=1)).to_be_visible()


async def test_a_question_about_light_gets_an_answer_with_a_plan_and_figures_that_open(
    open_page: Callable[..., object], artifacts: Path
) -> None:
    page: Page = await open_page()
    await send(page, "12 250W MH wall packs at 20 ft. how much light spills at the fence 30 ft away?")
    sheet = page.locator(".light-sheet")
    await expect(sheet).to_be_visible()

    await expect(sheet.locator(".light-answer")).to_contain_text("At the line 30 ft out")
    await expect(sheet.locator(".light-pictures svg")).to_have_count(2)
    await expect(sheet.locator(".light-pictures svg title").first).to_have_text("Light from above")
    await expect(sheet).to_contain_text("This is not a lighting design.")
    ground = sheet.locator("[data-name='light.0.line_fc_after'] button")
    shown = await ground.inner_text()
    await ground.click()
    working = page.locator("#working-body")
    await expect(working).to_contain_text("Intensity that way, for each lumen")
    await expect(working).to_contain_text("Distance from the light")
    assert float(shown.split()[0]) > 0.2
    await page.locator("#working-close").click()
    await page.screenshot(path=artifacts / "light.png", full_page=True)


async def test_the_room_that_was_asked_after_is_answered_on_a_phone_without_sideways_scrolling(
    open_page: Callable[..., object], artifacts: Path
) -> None:
    page: Page = await open_page(width=360, height=740)
    await send(page, "will 12 150W LED high bays at 24 ft be bright enough in the warehouse?")
    await expect(page.locator(".light-sheet .question")).to_contain_text("How long and wide is the room")
    await send(page, "60 x 120")
    last = page.locator(".light-sheet").last
    await expect(last.locator(".light-answer")).to_contain_text("12 of them give about")
    assert await page.evaluate("document.documentElement.scrollWidth") <= 360
    await page.screenshot(path=artifacts / "light-phone.png", full_page=True)
