"""What went wrong, in words, with a way on; and the headers of every answer."""

import logging
import re
from pathlib import Path

import pytest
from flask import Flask

from app import __version__
from app.clock import FixedClock
from app.domain.errors import Conflict
from app.factory import create_app
from app.services import entries
from app.services.access import sign_ins
from app.settings import Settings
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.visits import csrf_of, fields_of, words_of


def test_an_unknown_address_leads_back_to_today(adult: CheckedClient) -> None:
    answer = adult.get("/nowhere")
    assert answer.status_code == 404
    assert "There is no such page" in answer.text


def test_an_unknown_tank_is_not_there(adult: CheckedClient) -> None:
    answer = adult.get("/tank/77/")
    assert answer.status_code == 404
    assert "There is no such tank" in answer.text


def test_a_get_where_only_a_post_works(adult: CheckedClient) -> None:
    assert adult.get("/device/sign-out").status_code == 405


def test_a_page_without_its_token_keeps_what_was_typed(adult: CheckedClient) -> None:
    typed = {"note": 'Fish <b>hide</b> & "wait"', "temperature": "24,9"}
    answer = adult.post("/tank/1/feed?from=today", data=typed)
    assert answer.status_code == 400
    assert "Not saved yet" in answer.text
    assert 'action="/tank/1/feed?from=today"' in answer.text
    assert 'name="temperature" value="24,9"' in answer.text
    assert "<b>hide</b>" not in answer.text


def test_what_was_kept_is_saved_with_one_more_press(adult: CheckedClient, record: Record) -> None:
    typed = fields_of(adult.get("/tank/1/feed").text) | {"temperature": "24.9"}
    del typed["csrf_token"]
    kept = adult.post("/tank/1/feed", data=typed).text
    again = fields_of(kept)
    assert adult.post("/tank/1/feed", data=again).status_code == 303
    assert "24.9" in words_of(adult.get("/tank/1/").text)


def test_too_large_a_request_is_refused(adult: CheckedClient) -> None:
    answer = adult.post(
        "/device/sign-out", data={"csrf_token": "x" * (17 * 1024 * 1024)},
        content_type="application/x-www-form-urlencoded",
    )  # fmt: skip
    assert answer.status_code == 413


def test_a_crash_gives_a_number_that_is_in_the_log(
    app: Flask,
    adult: CheckedClient,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    def crash(*_args: object, **_more: object) -> None:
        raise RuntimeError("a planted fault")

    monkeypatch.setitem(app.config, "PROPAGATE_EXCEPTIONS", False)
    monkeypatch.setattr("app.services.tasks.look", crash)
    with caplog.at_level(logging.ERROR):
        answer = adult.get("/tank/1/")
    assert answer.status_code == 500
    assert "planted" not in answer.text
    number = re.search(r"Number <b>(\w+)</b>", answer.text)
    assert number
    assert number[1] in caplog.text


def test_a_foreign_host_gets_no_page(stranger: CheckedClient) -> None:
    answer = stranger.get("/", headers={"Host": "elsewhere.example"})
    assert answer.status_code == 400
    assert "Sillpond" not in answer.text


@pytest.mark.parametrize(
    "url", ["/", "/tank/1/", "/nowhere", "/static/css/base.css", "/static/nothing.css", "/words"]
)
def test_headers_of_every_answer(adult: CheckedClient, url: str) -> None:
    with adult.get(url) as answer:
        headers = answer.headers
    assert headers["Content-Security-Policy"].startswith("default-src 'none'; script-src 'self'")
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
    assert headers["Cache-Control"].startswith("private")
    assert "Strict-Transport-Security" not in headers


def test_a_new_version_asks_for_its_own_style_sheet(stranger: CheckedClient) -> None:
    assert f"css/base.css?v={__version__}" in stranger.get("/").text


def test_pages_are_not_kept_by_the_browser(adult: CheckedClient) -> None:
    assert "no-store" in adult.get("/tank/1/").headers["Cache-Control"]


def test_the_cookie_is_out_of_reach_for_scripts_and_other_sites(
    record: Record, stranger: CheckedClient
) -> None:
    with record.database.writing() as session:
        link = sign_ins.make_link(session, now=record.now)
    cookie = stranger.get(f"/sign-in/{link}").headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    assert "Path=/" in cookie
    assert "Secure" not in cookie  # no encryption in front unless a setting says so


def test_behind_encryption_the_cookie_asks_for_it(tmp_path: Path, record: Record) -> None:
    settings = Settings(data_folder=tmp_path, secret_key="only a test", behind_tls=True)
    client = create_app(settings, FixedClock(record.now), record.database).test_client()
    with record.database.writing() as session:
        link = sign_ins.make_link(session, now=record.now)
    answer = client.get(f"/sign-in/{link}", headers={"X-Forwarded-Proto": "https"})
    cookie = answer.headers["Set-Cookie"]
    assert cookie.startswith("__Host-sillpond=")
    assert "Secure" in cookie


def test_a_refusal_of_a_service_says_its_own_sentence(
    adult: CheckedClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def faster(*_args: object, **_more: object) -> None:
        raise Conflict("Somebody changed this entry meanwhile.")

    monkeypatch.setattr(entries, "withdraw", faster)
    token = csrf_of(adult, "/device")
    answer = adult.post("/tank/1/entry/1/undo", data={"csrf_token": token})
    assert answer.status_code == 409
    assert "Somebody changed this entry meanwhile." in answer.text


@pytest.mark.parametrize("broken", ["%00", "%1b", "%ed%a0%80", "%ef%bf%bf"])
def test_text_that_no_keyboard_makes_never_comes_back(adult: CheckedClient, broken: str) -> None:
    kind = "application/x-www-form-urlencoded"
    answer = adult.post("/tank/1/feed", data=f"amount_words=a{broken}b", content_type=kind)
    assert answer.status_code == 400
    assert 'name="amount_words" value="a' in answer.text


def test_lines_and_tabs_of_a_note_are_kept(adult: CheckedClient) -> None:
    answer = adult.post("/tank/1/feed", data={"note": "one\r\n\ttwo ’ – °C 魚"})
    assert "\ttwo ’ – °C 魚" in answer.text
