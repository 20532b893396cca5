"""Who comes in, and to what; checked against the OWASP cheat sheets on sessions and access."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from causeline.model.access import Role
from causeline.model.library import Coach, GolferEntry, new_id
from causeline.store.library_access import save_account, save_password
from causeline.store.library_clips import load_clips
from causeline.store.library_people import load_audit, load_coaches, save_coach
from causeline.web.access import BY_ADDRESS, BY_NAME
from causeline.web.app import serve_app
from causeline.web.desk import Desk
from causeline.web.gate import SESSION, STRANGERS_PER_MINUTE, Policy
from causeline.web.rates import Rate
from tests.shelf import a_clip, a_golfer
from tests.workbench import asking

pytestmark = pytest.mark.usefixtures("quick_passwords")
WORDS = "slow water over old stones"


@pytest.fixture(autouse=True)
def _calm() -> None:
    """Tries of one test are not those of another."""
    for rate in (BY_NAME, BY_ADDRESS):
        rate._tries.clear()


@pytest.fixture
def academy(empty_desk: Desk) -> dict[Role, tuple[Coach, GolferEntry]]:
    """A coach of each role, each with a golfer who has a clip."""
    made = {}
    library = empty_desk.library
    for name, role in (
        ("Maren Oakes", Role.ADMINISTRATION),
        ("Runa Veld", Role.ALL),
        ("Tam Birk", Role.OWN),
    ):
        coach = save_coach(library, Coach(new_id(), name))
        save_password(library, coach.id, WORDS)
        save_account(library, coach.id, role)
        golfer = a_golfer(library, coach, f"Golfer of {name}")
        a_clip(library, golfer, name.encode())
        made[role] = (coach, golfer)
    return made


def client(desk: Desk, policy: Policy | None = None) -> TestClient:
    """A browser that is not signed in."""
    return asking(serve_app(desk, policy=policy))


def signed_in(desk: Desk, name: str, password: str = WORDS) -> TestClient:
    """A browser in which that coach is signed in."""
    browser = client(desk)
    answer = browser.post("/sign-in", data={"name": name, "password": password, "to": "/golfers"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/golfers")
    return browser


def test_one_coach_on_this_machine_alone_needs_no_signing_in(empty_web: TestClient) -> None:
    assert empty_web.get("/golfers").status_code == 200
    assert "Nobody is asked to sign in" in empty_web.get("/access").text


def test_with_the_first_password_it_asks_at_once(empty_desk: Desk) -> None:
    with client(empty_desk) as browser, client(empty_desk) as other:
        assert other.get("/golfers").status_code == 200
        answer = browser.post("/access/password", data={"password": WORDS})
        assert answer.status_code == 303
        assert browser.get("/golfers").status_code == 200
        other.cookies.delete(SESSION)
        assert other.get("/golfers").status_code == 303


def test_beyond_this_machine_nobody_comes_in_unasked(empty_desk: Desk) -> None:
    with client(empty_desk, Policy(always=True)) as browser:
        assert browser.get("/golfers").status_code == 303


def test_who_is_not_signed_in_sees_nothing(
    empty_desk: Desk, academy: dict[Role, tuple[Coach, GolferEntry]]
) -> None:
    """Every route but those that say so: also those that will be added."""
    _, golfer = academy[Role.OWN]
    with client(empty_desk) as browser:
        for route in serve_app(empty_desk).routes:
            path, methods = getattr(route, "path", ""), getattr(route, "methods", None) or {"GET"}
            if path.startswith(("/assets", "/built", "/fonts", "/theme", "/sign-in", "/welcome",
                                "/g/", "/healthz", "/metrics")):  # fmt: skip
                continue
            at = re.sub(r"\{[^}]*\}", golfer.id, path)
            for method in methods - {"HEAD"}:
                answer = browser.request(method, at)
                assert answer.status_code in (303, 401), (method, path)
                if answer.status_code == 303:
                    assert answer.headers["location"].startswith("/sign-in?to=")
                assert golfer.golfer.name not in answer.text
        told = browser.get("/jobs/x", headers={"accept": "application/json"})
        assert told.json()["came"] == "nobody is signed in"


def test_a_wrong_password_is_told_and_noted_and_not_tried_for_ever(
    empty_desk: Desk, academy: dict[Role, tuple[Coach, GolferEntry]]
) -> None:
    with client(empty_desk) as browser:
        for _ in range(BY_NAME.most):
            answer = browser.post("/sign-in", data={"name": "Maren Oakes", "password": "no"})
            assert answer.status_code == 401
            assert "do not belong together" in answer.text
            assert "set-cookie" not in answer.headers
        answer = browser.post("/sign-in", data={"name": "maren oakes", "password": WORDS})
        assert answer.status_code == 429
        assert "10 minutes" in answer.text
    noted = [line.what for line in load_audit(empty_desk.library)]
    assert noted.count("sign-in refused") == BY_NAME.most


def test_who_tries_many_names_is_counted_by_address(
    empty_desk: Desk, academy: dict[Role, tuple[Coach, GolferEntry]]
) -> None:
    with client(empty_desk) as browser:
        for number in range(BY_ADDRESS.most):
            answer = browser.post("/sign-in", data={"name": f"Nobody {number}", "password": "no"})
            assert answer.status_code == 401
        answer = browser.post("/sign-in", data={"name": "Maren Oakes", "password": WORDS})
        assert answer.status_code == 429


def test_a_session_is_for_the_browser_alone(
    empty_desk: Desk, academy: dict[Role, tuple[Coach, GolferEntry]]
) -> None:
    with client(empty_desk, Policy(always=True, secure=True)) as browser:
        answer = browser.post("/sign-in", data={"name": "Tam Birk", "password": WORDS})
        given = answer.headers["set-cookie"]
    assert given.startswith(f"__Host-{SESSION}=")
    for part in ("HttpOnly", "Secure", "SameSite=Lax", "Path=/"):
        assert part in given
    assert "Domain" not in given
    assert answer.headers["strict-transport-security"] == "max-age=31536000"  # RFC 6797


def test_strangers_are_counted_by_address_and_golfers_by_link(
    empty_desk: Desk, academy: dict[Role, tuple[Coach, GolferEntry]]
) -> None:
    with client(empty_desk) as browser:
        told = [browser.get("/golfers").status_code for _ in range(STRANGERS_PER_MINUTE + 1)]
        assert (told[0], told[-1]) == (303, 429)
        assert browser.get("/g/" + "x" * 32).status_code != 429


def test_signing_out_ends_it_also_for_who_copied_the_cookie(
    empty_desk: Desk, academy: dict[Role, tuple[Coach, GolferEntry]]
) -> None:
    browser = signed_in(empty_desk, "Tam Birk")
    secret = browser.cookies[SESSION]
    assert browser.post("/sign-out").status_code == 303
    browser.cookies.set(SESSION, secret)
    assert browser.get("/golfers").status_code == 303


@pytest.mark.parametrize(
    "to", ["https://swings.example/", "//swings.example", "/\\swings.example", "sign-in", ""]
)
def test_signing_in_leads_nowhere_else(
    empty_desk: Desk, academy: dict[Role, tuple[Coach, GolferEntry]], to: str
) -> None:
    with client(empty_desk) as browser:
        data = {"name": "Tam Birk", "password": WORDS, "to": to}
        assert browser.post("/sign-in", data=data).headers["location"] == "/"


def test_a_coach_of_own_golfers_gets_at_no_others(
    empty_desk: Desk, academy: dict[Role, tuple[Coach, GolferEntry]]
) -> None:
    """By address, by query, by form and by JSON: the gate looks before any route does."""
    _, mine = academy[Role.OWN]
    _, theirs = academy[Role.ALL]
    browser = signed_in(empty_desk, "Tam Birk")
    clip = load_clips(empty_desk.library, theirs.id)[0]
    for at in (f"/golfers/{theirs.id}", f"/x?y={clip.id}", f"/sheet/{clip.id}.1", f"/{clip.sha256}",
               f"/golfers/{theirs.id.upper()}"):  # fmt: skip
        answer = browser.get(at)
        assert answer.status_code == 404
        assert "nothing at this address for you" in answer.text
    for given in ({"data": {"golfer": theirs.id}}, {"json": {"deep": [{"clip": clip.id}]}},
                  {"files": {"token": (None, "t" * 43), "golfer": (None, theirs.id)}}):  # fmt: skip
        assert "for you" in browser.post("/theme", **given).text
    own = load_clips(empty_desk.library, mine.id)[0]
    for at in (f"/nothing/{mine.id}", f"/nothing/{own.id}", f"/nothing/{own.sha256}"):
        assert "for you" not in browser.get(at).text
    listed = browser.get("/golfers").text
    assert mine.golfer.name in listed
    assert theirs.golfer.name not in listed


def test_a_clip_that_both_have_is_both_s(
    empty_desk: Desk, academy: dict[Role, tuple[Coach, GolferEntry]]
) -> None:
    (_, mine), (_, theirs) = academy[Role.OWN], academy[Role.ALL]
    a_clip(empty_desk.library, mine, b"Runa Veld")
    sha256 = load_clips(empty_desk.library, theirs.id)[0].sha256
    assert "for you" not in signed_in(empty_desk, "Tam Birk").get(f"/nothing/{sha256}").text


def test_who_sees_all_golfers_is_at_work_for_another_coach(
    empty_desk: Desk, academy: dict[Role, tuple[Coach, GolferEntry]]
) -> None:
    other, golfer = academy[Role.OWN]
    browser = signed_in(empty_desk, "Runa Veld")
    assert golfer.golfer.name not in browser.get("/golfers").text
    assert browser.post("/access/for", data={"coach": other.id}).status_code == 303
    page = browser.get("/golfers").text
    assert golfer.golfer.name in page
    assert "Runa Veld for Tam Birk" in page
    assert load_audit(empty_desk.library)[0].what == "at work for another coach"
    own = signed_in(empty_desk, "Tam Birk")
    own.cookies.set("causeline-for", academy[Role.ALL][0].id)
    assert "Golfer of Runa" not in own.get("/golfers").text


def test_only_administration_looks_after_coaches(
    empty_desk: Desk, academy: dict[Role, tuple[Coach, GolferEntry]]
) -> None:
    for name in ("Runa Veld", "Tam Birk"):
        browser = signed_in(empty_desk, name)
        for at in ("/access/coaches", "/access/done"):
            assert browser.get(at).status_code == 403
        assert browser.post("/access/coaches", data={"name": "New"}).status_code == 403
    assert len(load_coaches(empty_desk.library)) == 3


def test_a_coach_is_invited_gets_a_role_and_leaves(
    empty_desk: Desk, academy: dict[Role, tuple[Coach, GolferEntry]]
) -> None:
    chief = signed_in(empty_desk, "Maren Oakes")
    page = chief.post("/access/coaches", data={"name": "Isa Lund", "mail": "isa@fernhill.example"})
    link = re.search(r"http://127\.0\.0\.1(/welcome/[\w-]{43})", page.text)
    assert link is not None
    with client(empty_desk) as guest:
        assert "Welcome, Isa Lund" in guest.get(link[1]).text
        assert guest.post(link[1], data={"password": "short"}).status_code == 422
        assert guest.post(link[1], data={"password": WORDS}).status_code == 303
        assert guest.get("/golfers").status_code == 200
        assert guest.post(link[1], data={"password": WORDS + "!"}).status_code == 404
        isa = next(each for each in load_coaches(empty_desk.library) if each.name == "Isa Lund")
        chief.post(f"/access/coaches/{isa.id}/role", data={"role": "all golfers"})
        assert "all golfers" in guest.get("/access").text
        chief.post(f"/access/coaches/{isa.id}/active", data={"active": "false"})
        assert guest.get("/golfers").status_code == 303
    done = chief.get("/access/done").text
    for what in (
        "coach added",
        "invited",
        "invitation used",
        "role: all golfers",
        "no longer let in",
    ):
        assert what in done
    me = academy[Role.ADMINISTRATION][0]
    answer = chief.post(f"/access/coaches/{me.id}/active", data={"active": "false"})
    assert answer.status_code == 422


def test_a_password_is_changed_by_who_knows_it(
    empty_desk: Desk, academy: dict[Role, tuple[Coach, GolferEntry]]
) -> None:
    here, there = signed_in(empty_desk, "Tam Birk"), signed_in(empty_desk, "Tam Birk")
    data = {"before": "wrong", "password": "another four plain words"}
    assert here.post("/access/password", data=data).status_code == 422
    assert here.post("/access/password", data={**data, "before": WORDS}).status_code == 303
    assert here.get("/golfers").status_code == 200
    assert there.get("/golfers").status_code == 303
    signed_in(empty_desk, "Tam Birk", "another four plain words")


def test_a_name_is_changed_and_two_tabs_do_not_overwrite(
    empty_desk: Desk, academy: dict[Role, tuple[Coach, GolferEntry]]
) -> None:
    browser = signed_in(empty_desk, "Tam Birk")
    assert browser.post("/access/name", data={"name": "Tam B", "version": 1}).status_code == 303
    assert browser.post("/access/name", data={"name": "Tam C", "version": 1}).status_code == 409
    assert "Tam B" in browser.get("/access").text


def test_a_rate_counts_each_one_alone_and_forgets() -> None:
    now = [0.0]
    rate = Rate(2, 60.0, lambda: now[0])
    for key in ("a", "b", "a"):
        rate.take(key)
    with pytest.raises(Exception, match="tried too often"):
        rate.take("a")
    rate.take("b")
    now[0] = 61.0
    rate.take("a")
    for number in range(20_000):
        rate.take(str(number))
    assert len(rate._tries) <= 10_000
