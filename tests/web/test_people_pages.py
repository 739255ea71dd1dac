"""Adults invite each other, change what they may do, and let somebody go; devices are listed."""

import re

import pytest
from flask import Flask

from app.clock import FixedClock
from app.domain.people import Role
from app.services.access import passphrases, people
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.conftest import new_client, signed_in
from tests.web.filling import opened
from tests.web.roles import WORDS, invited
from tests.web.test_access import add_tank, sign_in
from tests.web.visits import csrf_of, seen, words_of

CODE = re.compile(r"\b[A-Z]{6}(?:-[A-Z]{6}){3}\b")


def invite(client: CheckedClient, **fields: object) -> str:
    """Fill the form of an invitation; returns the visible text of the answer."""
    data = opened(client, "/people") | {"role": "technician", "which": "all"} | fields
    return words_of(client.post("/people", data=data).text)


def person_of(record: Record, name: str) -> int:
    with record.database.reading() as session:
        found = people.named(session, name)
    assert found is not None
    return found.id


@pytest.fixture
def mara(app: Flask, record: Record, clock: FixedClock) -> CheckedClient:
    """The browser of Mara, a technician of the first tank."""
    return invited(Role.TECHNICIAN, app, record, clock, name="Mara", tanks=[1])


def test_an_invitation_is_told_once_and_lets_its_person_in(
    app: Flask, adult: CheckedClient, record: Record
) -> None:
    pool = add_tank(record, "Pool")
    told = invite(adult, name="Mara", which="some", tanks=[str(pool)])
    code = CODE.search(told)
    assert code
    assert f"http://localhost/join/{code[0]}" in told
    assert "Technician" in seen(adult, "/people")
    assert code[0] not in seen(adult, "/people")

    her = new_client(app)
    assert her.head(f"/join/{code[0]}").status_code == 204
    assert "Welcome, Mara" in seen(her, f"/join/{code[0]}")
    data = {"csrf_token": csrf_of(her, "/join"), "code": code[0], "passphrase": WORDS}
    assert her.post("/join", data=data).location == "/"
    assert her.get("/").location == f"/tank/{pool}/"
    assert her.get("/tank/1/").status_code == 404
    # used once, and then it looks like one that never was
    closed, made_up = (
        new_client(app).get(f"/join/{c}") for c in (code[0], "ABCDEF-ABCDEF-ABCDEF-ABCDEF")
    )
    assert closed.status_code == made_up.status_code == 404
    assert words_of(closed.text) == words_of(made_up.text)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"name": ""}, "Enter the name of the person."),
        ({"name": "grown-up  in charge"}, "There is somebody called grown-up in charge already."),
        ({"name": "Mara", "role": "helper"}, "Choose what this person is here for."),
        ({"name": "Mara", "which": "some"}, "Choose at least one tank, or all of them."),
        ({"name": "M" * 81}, "Use 80 letters at most."),
    ],
)
def test_an_invitation_that_cannot_be_says_why_and_keeps_what_was_typed(
    adult: CheckedClient, fields: dict[str, str], sentence: str
) -> None:
    data = opened(adult, "/people") | {"role": "technician", "which": "all", "name": "Mara"}
    answer = adult.post("/people", data=data | fields)
    assert answer.status_code == 422
    assert sentence in words_of(answer.text)
    if fields.get("name") != "":
        assert f'value="{fields.get("name", "Mara")}"' in answer.text


def test_a_short_passphrase_is_asked_for_again_with_the_code_still_there(
    app: Flask, adult: CheckedClient
) -> None:
    code = CODE.search(invite(adult, name="Mara"))
    assert code
    her = new_client(app)
    data = {"csrf_token": csrf_of(her, "/join"), "code": code[0], "passphrase": "short"}
    answer = her.post("/join", data=data)
    assert answer.status_code == 422
    assert "15 characters or more" in words_of(answer.text)
    assert code[0] in answer.text
    assert 'value="short"' not in answer.text
    assert her.post("/join", data=data | {"passphrase": WORDS}).status_code == 303


def test_role_and_tanks_change_at_the_next_click(
    adult: CheckedClient, mara: CheckedClient, record: Record
) -> None:
    page = f"/people/{person_of(record, 'Mara')}"
    assert mara.get("/tank/1/feed").status_code == 200
    adult.post(page, data=opened(adult, page, at=0) | {"role": "coordinator", "which": "all"})
    assert mara.get("/tank/1/feed").status_code == 403
    assert mara.get("/trace").status_code == 200
    assert "You are here as coordinator" in words_of(mara.get("/tank/1/feed").text)


def test_somebody_is_signed_out_and_let_go(
    adult: CheckedClient, mara: CheckedClient, record: Record
) -> None:
    page = f"/people/{person_of(record, 'Mara')}"
    data = {"csrf_token": csrf_of(adult, page)}
    assert mara.get("/tank/1/").status_code == 200
    adult.post(f"{page}/sign-out", data=data)
    assert mara.get("/tank/1/").location == "/"
    with record.database.writing() as session:
        passphrases.set_passphrase(session, "seven lamps over moss")
    come_in = {"name": "mara", "passphrase": WORDS.format("Mara")}
    assert (
        mara.post("/sign-in", data=come_in | {"csrf_token": csrf_of(mara, "/")}).status_code == 303
    )
    adult.post(f"{page}/end", data=data)
    assert mara.get("/tank/1/").location == "/"
    assert "Mara" not in seen(adult, "/people")
    assert adult.get(page).status_code == 404


def test_the_last_keeper_reads_why_they_stay(adult: CheckedClient, record: Record) -> None:
    page = f"/people/{record.adult.person_id}"
    answer = adult.post(f"{page}/end", data={"csrf_token": csrf_of(adult, page)})
    assert answer.status_code == 403
    assert "One keeper of all tanks has to stay" in words_of(answer.text)
    data = opened(adult, page, at=0) | {"role": "technician"}
    answer = adult.post(page, data=data)
    assert answer.status_code == 422
    assert "One keeper of all tanks has to stay" in words_of(answer.text)
    assert adult.get("/people").status_code == 200


def test_a_keeper_of_one_tank_reads_the_list_and_changes_nothing(
    app: Flask, record: Record, clock: FixedClock
) -> None:
    limited = invited(Role.KEEPER, app, record, clock, name="Jo", tanks=[1])
    assert "A keeper of all tanks decides who comes" in seen(limited, "/people")
    me = person_of(record, "Jo")
    data = {"csrf_token": csrf_of(limited, "/me"), "role": "keeper", "which": "all", "name": "Kim"}
    for url in (f"/people/{me}/end", f"/people/{me}/code", f"/people/{me}/sign-out"):
        assert limited.post(url, data=data).status_code == 403, url
    for url in ("/people", f"/people/{me}"):
        assert "Only a keeper of all tanks" in words_of(limited.post(url, data=data).text), url
    assert limited.get("/tank/1/").status_code == 200


def test_with_two_passphrases_the_name_is_asked_and_a_wrong_one_is_not_told_apart(
    app: Flask, record: Record, mara: CheckedClient, stranger: CheckedClient
) -> None:
    assert "Your name" not in seen(stranger, "/")
    with record.database.writing() as session:
        passphrases.set_passphrase(session, "seven lamps over moss")
    assert "Your name" in seen(stranger, "/")
    data = {"csrf_token": csrf_of(stranger, "/"), "passphrase": WORDS.format("Mara")}
    texts = set()
    for name in ("Nobody", "Grown-up in charge"):
        answer = stranger.post("/sign-in", data=data | {"name": name})
        assert answer.status_code == 422
        texts.add(words_of(answer.text))
    assert len(texts) == 1
    assert "Enter your name too." in words_of(stranger.post("/sign-in", data=data).text)
    assert stranger.post("/sign-in", data=data | {"name": "mara"}).status_code == 303


def test_ones_own_name_and_passphrase(adult: CheckedClient, record: Record) -> None:
    data = {"csrf_token": csrf_of(adult, "/me")}
    assert adult.post("/me/name", data=data | {"name": "Jo Reed"}).status_code == 303
    assert "Jo Reed" in seen(adult, "/people")
    answer = adult.post("/me/name", data=data | {"name": " "})
    assert (answer.status_code, "Enter a name." in answer.text) == (422, True)

    first, second = "seven lamps over moss", "eight lamps over moss"
    assert adult.post("/me/passphrase", data=data | {"passphrase": first}).status_code == 303
    wrong = adult.post(
        "/me/passphrase", data=data | {"passphrase": second, "present_passphrase": "no"}
    )
    assert "That is not your present passphrase." in words_of(wrong.text)
    assert second not in wrong.text
    changed = data | {"passphrase": second, "present_passphrase": first}
    assert adult.post("/me/passphrase", data=changed).status_code == 303
    assert adult.get("/me").status_code == 200
    adult.post("/me/sign-out-everywhere", data=data)
    assert adult.get("/me").location == "/"
    assert sign_in(adult, second) == 303


def test_a_device_is_named_listed_and_locked_again(
    app: Flask, adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    tablet = signed_in(app, record, clock)
    tablet.post(
        "/device/hand-over", data=opened(tablet, "/device", at=0) | {"device": "by the sink"}
    )
    assert tablet.get("/tank/1/feed").status_code == 200
    listed = seen(adult, "/devices")
    assert "by the sink for Helpers" in listed
    assert "last used on Monday 8 February 2027" in listed
    lock = re.search(r'action="(/devices/\d+/lock)"', adult.get("/devices").text)
    assert lock
    adult.post(lock[1], data={"csrf_token": csrf_of(adult, "/devices")})
    assert tablet.get("/tank/1/feed").location == "/"
    assert "by the sink" not in seen(adult, "/devices")


def test_signing_in_ends_the_session_that_the_browser_held(
    app: Flask, helper: CheckedClient, record: Record
) -> None:
    with record.database.writing() as session:
        passphrases.set_passphrase(session, "seven lamps over moss")
    cookie = helper.get_cookie("sillpond")
    assert cookie is not None
    data = {"csrf_token": csrf_of(helper, "/device"), "passphrase": "seven lamps over moss"}
    assert helper.post("/sign-in", data=data).status_code == 303
    copy = new_client(app)
    copy.set_cookie("sillpond", cookie.value)
    assert copy.get("/tank/1/").location == "/"
