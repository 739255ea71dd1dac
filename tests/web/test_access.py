"""Coming in with a link or the passphrase, handing the device over, leaving."""

from datetime import timedelta

import pytest
from flask import Flask

from app.clock import FixedClock
from app.domain.tank import TankFacts, TankShape
from app.services import tanks
from app.services.access import passphrases, sign_ins
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.conftest import new_client
from tests.web.visits import csrf_of, seen, words_of

PASSPHRASE = "four dry stones in a bucket"


@pytest.fixture
def with_passphrase(record: Record) -> None:
    with record.database.writing() as session:
        passphrases.set_passphrase(session, PASSPHRASE)


def link_of(record: Record, clock: FixedClock) -> str:
    with record.database.writing() as session:
        return sign_ins.make_link(session, now=clock.now())


def sign_in(client: CheckedClient, passphrase: str) -> int:
    data = {"csrf_token": csrf_of(client, "/"), "passphrase": passphrase}
    return client.post("/sign-in", data=data).status_code


def test_who_is_not_signed_in_reads_how_to_get_a_link(stranger: CheckedClient) -> None:
    text = seen(stranger, "/")
    assert "sillpond link" in text
    assert "Brook" not in text
    assert "Passphrase" not in text


def test_a_link_signs_a_browser_in_once(app: Flask, record: Record, clock: FixedClock) -> None:
    link = link_of(record, clock)
    first, second = new_client(app), new_client(app)
    assert first.get(f"/sign-in/{link}").location == "/"
    assert first.get("/").location == "/tank/1/"
    again = second.get(f"/sign-in/{link}")
    assert again.status_code == 404
    assert "This link is closed" in again.text
    # opened again in the browser that it signed in, it leads to Today
    assert first.get(f"/sign-in/{link}").status_code == 303
    assert first.get("/").location == "/tank/1/"


def test_a_used_link_looks_like_one_that_never_was(
    app: Flask, record: Record, clock: FixedClock
) -> None:
    link = link_of(record, clock)
    new_client(app).get(f"/sign-in/{link}")
    used, made_up = (words_of(new_client(app).get(f"/sign-in/{t}").text) for t in (link, "x" * 32))
    assert used == made_up


def test_a_look_at_the_address_does_not_use_the_link_up(
    app: Flask, record: Record, clock: FixedClock
) -> None:
    link = link_of(record, clock)
    client = new_client(app)
    assert client.head(f"/sign-in/{link}").status_code == 204
    assert client.get(f"/sign-in/{link}").status_code == 303


def test_a_link_keeps_twelve_hours(app: Flask, record: Record, clock: FixedClock) -> None:
    link = link_of(record, clock)
    clock.moment += timedelta(hours=12, seconds=1)
    assert new_client(app).get(f"/sign-in/{link}").status_code == 404


@pytest.mark.usefixtures("with_passphrase")
def test_the_passphrase_signs_in(stranger: CheckedClient) -> None:
    assert sign_in(stranger, PASSPHRASE) == 303
    assert stranger.get("/").location == "/tank/1/"


@pytest.mark.usefixtures("with_passphrase")
def test_wrong_passphrases_make_the_next_try_wait(
    stranger: CheckedClient, clock: FixedClock
) -> None:
    for _ in range(5):
        assert sign_in(stranger, "not this one at all") == 422
    data = {"csrf_token": csrf_of(stranger, "/"), "passphrase": PASSPHRASE}
    assert "Wait" in stranger.post("/sign-in", data=data).text
    clock.moment += timedelta(minutes=16)
    assert sign_in(stranger, PASSPHRASE) == 303


@pytest.mark.usefixtures("with_passphrase")
def test_an_empty_passphrase_says_what_to_do(stranger: CheckedClient) -> None:
    data = {"csrf_token": csrf_of(stranger, "/"), "passphrase": ""}
    answer = stranger.post("/sign-in", data=data)
    assert answer.status_code == 422
    assert "Enter the passphrase" in answer.text


@pytest.mark.usefixtures("with_passphrase")
def test_a_typed_passphrase_never_comes_back(stranger: CheckedClient) -> None:
    data = {"csrf_token": csrf_of(stranger, "/"), "passphrase": "secret words of mine"}
    assert "secret words of mine" not in stranger.post("/sign-in", data=data).text
    no_token = stranger.post("/sign-in", data={"passphrase": "secret words of mine"})
    assert "secret words of mine" not in no_token.text


def test_the_class_sees_four_pages(helper: CheckedClient) -> None:
    html = helper.get("/tank/1/").text
    nav = html[html.index('aria-label="Pages"') : html.index("</nav>")]
    assert [w for w in ("Today", "Write down", "Charts", "Words") if w in nav] == [
        "Today", "Write down", "Charts", "Words",
    ]  # fmt: skip
    assert "All pages" not in html


@pytest.mark.usefixtures("with_passphrase")
def test_the_grown_up_takes_the_device_back(helper: CheckedClient) -> None:
    assert helper.get("/settings").status_code == 403
    assert "/device" in helper.get("/words").text
    data = {"csrf_token": csrf_of(helper, "/device"), "passphrase": PASSPHRASE}
    assert helper.post("/sign-in", data=data).status_code == 303
    assert helper.get("/device").status_code == 200
    assert helper.get("/tank/1/story").status_code == 200


def test_signing_out_ends_the_session_on_the_server(app: Flask, adult: CheckedClient) -> None:
    cookie = adult.get_cookie("sillpond")
    assert cookie is not None
    adult.post("/device/sign-out", data={"csrf_token": csrf_of(adult, "/device")})
    assert "Come in" in seen(adult, "/")
    thief = new_client(app)
    thief.set_cookie("sillpond", cookie.value)
    assert thief.get("/tank/1/").location == "/"


def test_the_old_session_ends_when_the_device_is_handed_over(
    app: Flask, adult: CheckedClient
) -> None:
    cookie = adult.get_cookie("sillpond")
    assert cookie is not None
    adult.post("/device/hand-over", data={"csrf_token": csrf_of(adult, "/device")})
    pupil = new_client(app)
    pupil.set_cookie("sillpond", cookie.value)
    assert pupil.get("/tank/1/story").location == "/"


def test_with_nothing_set_up_the_way_leads_to_the_first_tank(fresh: CheckedClient) -> None:
    assert fresh.get("/").location == "/tanks"
    answer = fresh.get("/tanks")
    assert "No tank yet" in answer.text
    assert 'href="/tank/new"' in answer.text
    assert "whether you read °C or °F" in words_of(answer.text)
    assert 'href="/settings">Time zone and units</a>' in answer.text


def test_several_tanks_are_listed_with_what_is_first(adult: CheckedClient, record: Record) -> None:
    add_tank(record, "Pool")
    assert adult.get("/").location == "/tanks"
    text = seen(adult, "/tanks")
    assert "Brook" in text
    assert "Pool" in text
    assert "First: Look and count" in text


def add_tank(record: Record, name: str) -> int:
    shape = TankShape(length_cm=40, width_cm=25, water_depth_cm=25)
    with record.database.writing() as session:
        return tanks.add_tank(session, TankFacts(name=name, shape=shape))
