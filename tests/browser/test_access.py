"""Signing in, in a real browser: a password, a passkey of a virtual device, and what is seen."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from causeline.store.library_access import load_passkeys, save_password
from causeline.store.library_people import load_audit, load_coaches, load_golfers
from causeline.web.desk import Desk
from tests.browser.browser import AXE, chromium
from tests.shelf import a_coach, a_golfer
from tests.workbench import serving

pytestmark = pytest.mark.usefixtures("quick_passwords")
WORDS = "slow water over old stones"
SIZES = ((390, 844), (820, 1180), (1440, 900))


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One for all."""
    with chromium() as one:
        yield one


@pytest.fixture
def address(empty_desk: Desk) -> Iterator[str]:
    """A real server with one coach and a golfer; at a name, as passkeys need one."""
    coach = a_coach(empty_desk.library, "Maren Oakes")
    a_golfer(empty_desk.library, coach, "Ivo Lindgard")
    with serving(empty_desk) as at:
        yield at.replace("127.0.0.1", "localhost")


def a_device(page: Page) -> Any:
    """A virtual authenticator that holds passkeys and knows its owner (CDP WebAuthn)."""
    session = page.context.new_cdp_session(page)
    session.send("WebAuthn.enable")
    options = {
        "protocol": "ctap2", "transport": "internal", "hasResidentKey": True,
        "hasUserVerification": True, "isUserVerified": True, "automaticPresenceSimulation": True,
    }  # fmt: skip
    told = session.send("WebAuthn.addVirtualAuthenticator", {"options": options})
    return session, told["authenticatorId"]


def clean(page: Page) -> list[str]:
    """What axe finds wrong."""
    page.evaluate(AXE.read_text())
    found = page.evaluate("() => axe.run()")
    return [f"{one['id']}: {one['nodes'][0]['html']}" for one in found["violations"]]


def test_a_passkey_is_made_and_opens(browser: Browser, empty_desk: Desk, address: str) -> None:
    page = browser.new_page(viewport={"width": 820, "height": 1180})
    session, device = a_device(page)
    page.goto(f"{address}/access")
    expect(page.get_by_text("Nobody is asked to sign in")).to_be_visible()
    page.get_by_label("What this device is called").fill("range phone")
    page.get_by_role("button", name="Make a passkey").click()
    expect(page.get_by_text("The passkey is kept.")).to_be_visible()
    expect(page.get_by_text("range phone")).to_be_visible()
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", name="Who is at work?")).to_be_visible()
    page.goto(f"{address}/golfers")
    expect(page).to_have_url(re.compile("sign-in"))
    page.get_by_role("button", name="Use a passkey").click()
    expect(page.get_by_text("Ivo Lindgard")).to_be_visible()
    (key,) = load_passkeys(empty_desk.library, load_coaches(empty_desk.library)[0].id)
    assert key.used_at is not None
    assert key.sign_count >= 1
    page.get_by_role("link", name="Maren Oakes").click()
    page.get_by_role("button", name="Forget range phone").click()
    expect(page.get_by_text("Set a password first")).to_be_visible()
    page.get_by_role("button", name="Sign out").click()
    session.send("WebAuthn.setUserVerified", {"authenticatorId": device, "isUserVerified": False})
    page.get_by_role("button", name="Use a passkey").click()
    expect(page.get_by_text("The device did not sign.")).to_be_visible()
    assert "signed in" in [line.what for line in load_audit(empty_desk.library)]
    page.close()


def test_a_passkey_of_another_place_is_told(
    browser: Browser, empty_desk: Desk, address: str
) -> None:
    save_password(empty_desk.library, load_coaches(empty_desk.library)[0].id, WORDS)
    page = browser.new_page()
    page.goto(f"{address}/sign-in")
    answer = page.evaluate(
        """async () => {
          const token = document.querySelector('meta[name="causeline-token"]').content;
          const ask = (at, body) => fetch(at, {method: 'POST', body: JSON.stringify(body),
            headers: {'X-Causeline-Token': token, 'Content-Type': 'application/json'}});
          await ask('/sign-in/passkey/options', {});
          const made = {id: 'Zm9v', rawId: 'Zm9v', type: 'public-key', response: {}};
          const first = await ask('/sign-in/passkey', {credential: made});
          const again = await ask('/sign-in/passkey', {credential: made});
          return [first.status, (await first.json()).came, again.status, (await again.json()).came];
        }"""
    )
    assert answer == [
        403, "that passkey is not known here", 403, "nothing was asked of this device",
    ]  # fmt: skip
    page.close()


def test_an_invited_coach_comes_in_by_keyboard_alone(
    browser: Browser, empty_desk: Desk, address: str
) -> None:
    save_password(empty_desk.library, load_coaches(empty_desk.library)[0].id, WORDS)
    page = browser.new_page()
    page.goto(address)
    page.keyboard.press("Tab")  # to the page
    page.get_by_label("Name or mail").focus()
    for key in ("Maren Oakes", "Tab", WORDS, "Enter"):
        _key(page, key)
    expect(page.get_by_role("link", name="Maren Oakes")).to_be_visible()
    page.goto(f"{address}/access/coaches")
    page.get_by_label("Name").focus()
    for key in ("Tam Birk", "Tab", "tam@fernhill.example", "Enter"):
        _key(page, key)
    link = page.get_by_label("Invitation").input_value()
    guest = browser.new_context().new_page()
    guest.goto(link)
    guest.get_by_label("Password").focus()
    for key in ("another four plain words", "Enter"):
        _key(guest, key)
    expect(guest.get_by_role("link", name="Tam Birk")).to_be_visible()
    guest.close()
    page.close()


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_pages_are_clean_at_every_size(
    browser: Browser, empty_desk: Desk, address: str, theme: Any
) -> None:
    save_password(empty_desk.library, load_coaches(empty_desk.library)[0].id, WORDS)
    a_coach(empty_desk.library, "Tam Birk with a rather long name")
    page = browser.new_page(color_scheme=theme, reduced_motion="reduce")
    page.goto(f"{address}/sign-in")
    assert clean(page) == []
    page.get_by_label("Name or mail").fill("Maren Oakes")
    page.get_by_label("Password").fill("not that one")
    page.get_by_role("button", name="Sign in", exact=True).click()
    assert clean(page) == []
    page.get_by_label("Password").fill(WORDS)
    page.get_by_role("button", name="Sign in", exact=True).click()
    golfer = load_golfers(empty_desk.library)[0].id
    for name in ("access", "access/coaches", "access/done", f"golfers/{golfer}/privacy"):
        page.goto(f"{address}/{name}")
        assert clean(page) == [], name
        for width, height in SIZES:
            page.set_viewport_size({"width": width, "height": height})
            wide = page.evaluate("() => document.documentElement.scrollWidth")
            assert wide <= width, (name, width)
    page.close()


def _key(page: Page, key: str) -> None:
    """Press a key of that name, or type the words."""
    if key in ("Tab", "Enter"):
        page.keyboard.press(key)
    else:
        page.keyboard.type(key)
