"""Who is signed in stands on the server: no cookie that is kept, made up or foreign lets in."""

import pytest
from flask.sessions import SecureCookieSessionInterface

from app.services.access import sign_ins
from tests.security import headers
from tests.security.house import COOKIE, KEEPERS_PASSPHRASE, House
from tests.web.stories.browsing import Page

INSIDE = "/tank/1/story"


def cookie_of(client: object) -> str:
    found = client.get_cookie(COOKIE)  # type: ignore[attr-defined]
    assert found is not None
    return str(found.value)


def opens(home: House, cookie: str) -> bool:
    """Whether a browser with this cookie sees a page of the adult."""
    client = home.new_client()
    client.set_cookie(COOKIE, cookie)
    answer = client.get(INSIDE)
    assert answer.status_code in {200, 303}
    return answer.status_code == 200


def test_the_cookie_of_before_signing_in_opens_nothing_after_it(home: House) -> None:
    """Fixation: somebody hands a browser a cookie, and waits until its owner signs in."""
    handed = home.new_client()
    handed.get("/join")
    before = cookie_of(handed)
    with home.record.database.writing() as session:
        link = sign_ins.make_link(session, now=home.clock.now())
    assert handed.get(f"/sign-in/{link}").status_code == 303
    assert cookie_of(handed) != before
    assert opens(home, cookie_of(handed))
    assert not opens(home, before)


def test_each_sign_in_is_a_session_of_its_own(home: House) -> None:
    made = []
    for _ in range(2):
        with home.record.database.writing() as session:
            link = sign_ins.make_link(session, now=home.clock.now())
        client = home.new_client()
        client.get(f"/sign-in/{link}")
        made.append(cookie_of(client))
    assert made[0] != made[1]
    assert all(opens(home, cookie) for cookie in made)


def test_a_cookie_of_another_installation_opens_nothing(home: House) -> None:
    kept = home.app.secret_key
    value = dict(_read(home, home.callers["keeper"].cookie))
    home.app.secret_key = "the key of somebody else"
    try:
        forged = _signed(home, value)
    finally:
        home.app.secret_key = kept
    assert opens(home, _signed(home, value))
    assert not opens(home, forged)


@pytest.mark.parametrize("visit", ["", "x" * 43, "1", 1, None, True, ["x"], {"x": 1}, "\x00", "é"])
def test_a_session_that_the_server_does_not_know_opens_nothing(home: House, visit: object) -> None:
    assert not opens(home, _signed(home, {"visit": visit}))


@pytest.mark.parametrize(
    "cookie", ["", "x", ".", "..", "x" * 4_000, "eyJ9.x.y", "%00", '"', "a=b; c=d", ".eJw.x.y"]
)
def test_a_broken_cookie_opens_nothing_and_breaks_nothing(home: House, cookie: str) -> None:
    assert not opens(home, cookie)


def test_no_letter_of_a_cookie_may_be_changed(home: House) -> None:
    good = home.callers["keeper"].cookie
    assert opens(home, good)
    for place in range(0, len(good) - 1, 9):
        other = "A" if good[place] != "A" else "B"
        assert not opens(home, good[:place] + other + good[place + 1 :]), place


def test_the_cookie_holds_no_role_and_no_name(home: House) -> None:
    """What may be done is looked up on the server: a signed cookie could be read by anybody."""
    held = _read(home, home.callers["technician"].cookie)
    assert set(held) <= {"visit", "csrf_token", "_permanent", "scanned"}


# trying passphrases


def try_in(home: House, name: str, passphrase: str, **more: str) -> tuple[int, str]:
    client = home.new_client()
    form = Page(client, client.get("/")).forms[-1]
    form.put("name", name)
    form.put("passphrase", passphrase)
    answer = client.post(form.action, data=form.pairs(), headers=more)
    assert list(headers.faults_of(answer)) == []
    return answer.status_code, answer.text


def test_one_name_can_be_tried_five_times_then_the_right_one_waits_too(home: House) -> None:
    name = home.record.adult.name
    for number in range(5):
        assert try_in(home, name, f"wrong words number {number}")[0] == 422
    status, said = try_in(home, name, KEEPERS_PASSPHRASE)
    assert status != 303
    assert "Wait" in said


def test_a_made_up_address_of_a_proxy_is_no_way_around_the_wait(home: House) -> None:
    """Thirty tries from one address are all there are, whatever it says of where it comes from."""
    for number in range(30):
        named = {"X-Forwarded-For": f"192.0.2.{number}", "Forwarded": f"for=192.0.2.{number}"}
        assert "Wait" not in try_in(home, f"Name {number}", "wrong words here", **named)[1]
    status, said = try_in(home, home.record.adult.name, KEEPERS_PASSPHRASE, Via="192.0.2.99")
    assert status != 303
    assert "Wait" in said


def test_a_name_that_is_not_there_is_told_like_a_wrong_passphrase(home: House) -> None:
    there = try_in(home, home.record.adult.name, "wrong words of mine")
    nobody = try_in(home, "Nobody of that name", "wrong words of mine")
    assert there[0] == nobody[0]
    said = nobody[1].replace("Nobody of that name", home.record.adult.name)
    assert _without_typed(there[1]) == _without_typed(said)


def _without_typed(html: str) -> str:
    before, _, rest = html.partition('name="csrf_token"')
    return before + rest.partition(">")[2]


def _signed(home: House, value: dict[str, object]) -> str:
    serializer = SecureCookieSessionInterface().get_signing_serializer(home.app)
    assert serializer is not None
    return str(serializer.dumps(value))


def _read(home: House, cookie: str) -> dict[str, object]:
    serializer = SecureCookieSessionInterface().get_signing_serializer(home.app)
    assert serializer is not None
    found = serializer.loads(cookie)
    assert isinstance(found, dict)
    return found
