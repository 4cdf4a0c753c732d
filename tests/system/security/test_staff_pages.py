"""The staff's pages in a real Chromium: by mouse, by keyboard, on a phone; no script error, nothing refused by the policy."""

from collections.abc import AsyncIterator, Callable, Iterator
from pathlib import Path

import pytest
import pytest_asyncio
from playwright.async_api import Browser, BrowserContext, Page, expect

from bot.settings import Settings
from tests.system.conftest import SESSION_LOOP, Served, serving
from tests.system.security.conftest import FIRST, PASSWORD, add_staff
from tests.system.test_chat_page import send

pytestmark = [pytest.mark.browser, SESSION_LOOP]


@pytest.fixture(scope="module")
def staffed_process(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("staffed")
    add_staff(Settings.model_validate({"data_folder": folder / "data"}))
    started = serving(folder)
    yield next(started)()
    next(started, None)


@pytest_asyncio.fixture(loop_scope="session")
async def open_staff(browser: Browser, staffed_process: Served) -> AsyncIterator[Callable[..., object]]:
    """Opens a page; a script error or a refused resource fails the test."""
    troubles: list[str] = []
    opened: list[BrowserContext] = []

    async def open_it(width: int = 1000, path: str = "/staff", **options: object) -> Page:
        context = await browser.new_context(viewport={"width": width, "height": 900}, **options)  # type: ignore[arg-type]
        opened.append(context)
        page = await context.new_page()
        page.set_default_timeout(15_000)
        page.on("pageerror", lambda error: troubles.append(str(error)))
        page.on("console", lambda said: troubles.append(said.text) if said.type == "error" else None)
        await page.goto(staffed_process.address + path)
        return page

    yield open_it
    for context in opened:
        await context.close()
    # A refusal that is a page of its own is told in the console too.
    assert [
        trouble for trouble in troubles if "the server responded with a status of 40" not in trouble
    ] == []


async def sign_in(page: Page, name: str) -> None:
    await page.get_by_label("Name").fill(name)
    await page.get_by_label("Password").fill(PASSWORD)
    await page.keyboard.press("Enter")
    await page.wait_for_url(lambda url: "sign-in" not in url)


async def test_a_clerk_signs_in_chats_and_hands_a_customer_a_link(
    open_staff: Callable[..., object], staffed_process: Served, artifacts: Path
) -> None:
    page: Page = await open_staff(path="/")  # type: ignore[misc]
    await expect(page).to_have_title("Sign in · Wattclerk")
    await page.screenshot(path=artifacts / "staff-sign-in.png", full_page=True)
    await sign_in(page, "clerk")
    await expect(page.locator("#link")).to_have_attribute("data-state", "linked")
    await send(page, FIRST)
    await expect(page.locator(".ticket")).to_be_visible()

    await page.get_by_role("link", name="Staff pages").click()
    await page.screenshot(path=artifacts / "staff-conversations.png", full_page=True)
    await expect(page.locator("tbody tr").first).to_contain_text("Lopez Bakery")
    await page.get_by_role("link", name="Open the quote").first.click()
    await page.get_by_role("button", name="Make a link").click()
    address = await page.get_by_label("Copy it now").input_value()
    await page.screenshot(path=artifacts / "staff-quote.png", full_page=True)
    assert "/q/" in address
    assert "UTC" not in await page.locator(".links").inner_text()  # the reader's own time

    customer: Page = await open_staff(width=390, path=address.removeprefix(staffed_process.address))  # type: ignore[misc]
    await expect(customer.locator(".ticket")).to_contain_text("Pays back in")
    await expect(customer.locator(".picture svg")).to_be_visible()
    await customer.screenshot(path=artifacts / "customer-link-phone.png", full_page=True)
    assert await customer.get_by_role("button").count() == 0
    assert await customer.evaluate("document.documentElement.scrollWidth <= innerWidth")

    await page.get_by_role("button", name="Close it").click()
    await expect(page.locator(".links")).to_contain_text("closed")
    status = await customer.evaluate("fetch(location.href).then((answer) => answer.status)")
    assert status == 404


async def test_a_clerk_goes_on_with_a_conversation_in_the_chat(
    open_staff: Callable[..., object], staffed_process: Served
) -> None:
    page: Page = await open_staff()  # type: ignore[misc]
    await sign_in(page, "clerk")
    await page.goto(f"{staffed_process.address}/")
    await expect(page.locator("#link")).to_have_attribute("data-state", "linked")
    await send(page, "8 troffers 4 lamp t8")
    await expect(page.locator(".ticket")).to_be_visible()

    other: Page = await open_staff()  # type: ignore[misc]
    await sign_in(other, "manager")
    await other.get_by_role("link", name="8 troffers").first.click()
    await other.get_by_role("button", name="Go on with it in the chat").click()
    await expect(other.locator(".ticket")).to_be_visible()
    await send(other, "make it 9")
    await expect(other.locator(".ticket")).to_have_count(2)


async def test_the_pages_work_by_keyboard_and_say_what_went_wrong(
    open_staff: Callable[..., object], artifacts: Path
) -> None:
    page: Page = await open_staff()  # type: ignore[misc]
    await expect(page.get_by_label("Name")).to_be_focused()
    await page.keyboard.type("owner")
    await page.keyboard.press("Tab")
    await page.keyboard.type("not the password")
    await page.keyboard.press("Enter")
    await expect(page.get_by_role("alert")).to_contain_text("don't go together")
    await expect(page.get_by_label("Name")).to_have_value("owner")
    await expect(page.get_by_label("Password")).to_be_focused()


async def test_an_owner_finds_and_erases_a_customer_on_a_phone(
    open_staff: Callable[..., object], staffed_process: Served, artifacts: Path
) -> None:
    page: Page = await open_staff(width=390)  # type: ignore[misc]
    await sign_in(page, "owner")
    await page.goto(f"{staffed_process.address}/")
    await expect(page.locator("#link")).to_have_attribute("data-state", "linked")
    await send(page, "6 wallpacks 400w customer: Erasable Works")
    await expect(page.locator(".ticket")).to_be_visible()
    for path, name in (
        ("/staff", "conversations"),
        ("/staff/aside", "aside"),
        ("/staff/accounts", "accounts"),
        ("/staff/person", "person"),
    ):
        await page.goto(staffed_process.address + path)
        await page.screenshot(path=artifacts / f"staff-{name}-phone.png", full_page=True)
        assert await page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path
        for box in await page.locator(
            "main button:visible, main input:visible:not([type=checkbox]), main select:visible, .tabs a"
        ).all():
            size = await box.bounding_box()
            assert size is not None
            assert size["height"] >= 39, await box.inner_text()
    await page.get_by_label("Find by").select_option("customer")
    await page.get_by_label("Which one").fill("erasable works")
    await page.get_by_role("button", name="Find").click()
    await expect(page.locator("#found")).to_have_text("Conversations and mails found: 1")
    await page.screenshot(path=artifacts / "staff-found-phone.png", full_page=True)
    async with page.expect_download() as download:
        await page.get_by_role("button", name="Download their data").click()
    assert "Erasable Works" in (await (await download.value).path()).read_text("utf-8")
    await page.get_by_label("Yes, erase them").check()
    await page.get_by_role("button", name="Erase", exact=True).click()
    await expect(page.get_by_role("status")).to_contain_text("Conversations: 1, messages in them: 1")
    await page.goto(f"{staffed_process.address}/staff")
    await expect(page.locator("main")).not_to_contain_text("Erasable Works")


async def test_the_pages_speak_spanish_to_a_spanish_browser(
    open_staff: Callable[..., object], artifacts: Path
) -> None:
    page: Page = await open_staff(locale="es-MX")  # type: ignore[misc]
    await expect(page).to_have_title("Entrar · Wattclerk")
    await page.get_by_label("Nombre").fill("owner")
    await page.get_by_label("Contraseña").fill(PASSWORD)
    await page.keyboard.press("Enter")
    await expect(page.get_by_role("heading", level=1)).to_have_text("Conversaciones")
    await page.screenshot(path=artifacts / "staff-es.png", full_page=True)


async def test_a_chat_whose_session_ended_leads_to_the_sign_in_and_keeps_what_was_typed(
    open_staff: Callable[..., object], staffed_process: Served
) -> None:
    page: Page = await open_staff(path="/")  # type: ignore[misc]
    await sign_in(page, "clerk")
    await expect(page.locator("#link")).to_have_attribute("data-state", "linked")
    # Signed out in another tab.
    other = await page.context.new_page()
    await other.goto(f"{staffed_process.address}/staff")
    await other.get_by_role("button", name="Sign out").click()
    await send(page, "12 wallpacks 250w")
    await expect(page).to_have_title("Sign in · Wattclerk")
    await sign_in(page, "clerk")

    await expect(page.locator(".ticket")).to_be_visible()
