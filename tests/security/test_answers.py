"""Headers of answers that a walk through the pages does not meet: errors, files, other methods."""

from pathlib import Path

import pytest

from app.clock import FixedClock
from app.factory import create_app
from app.services.access import sign_ins
from app.services.sharing import links
from app.services.sharing.links import LinkKind
from app.settings import Settings
from tests.record import MONDAY, Record, new_record
from tests.security import headers
from tests.security.house import House

# address, method, status: what each kind of answer has to carry
ASKED = (
    ("/tank/1/", "GET", 200),
    ("/tank/1/", "HEAD", 200),
    ("/tank/1/", "OPTIONS", 200),
    ("/tank/1/", "DELETE", 405),
    ("/tank/1/feed", "PUT", 405),
    ("/tank/1/feed", "POST", 400),
    ("/", "GET", 303),
    ("/nowhere", "GET", 404),
    ("/tank/77/", "GET", 404),
    ("/device/sign-out", "GET", 405),
    ("/static/css/base.css", "GET", 200),
    ("/static/icon.svg", "GET", 200),
    ("/static/nothing.css", "GET", 404),
    ("/static/../app/settings.py", "GET", 404),
    ("/tank/1/charts/ph", "GET", 200),
    ("/tank/1/measurements.csv", "GET", 200),
    ("/tank/1/photo/1.jpg", "GET", 404),
    ("/healthz", "GET", 200),
    ("/sign-in/nothing", "GET", 303),
    ("/join/nothing", "GET", 404),
    ("/v/nothing", "GET", 404),
    ("/v/nothing", "POST", 400),
    ("/calendar/nothing.ics", "GET", 404),
    ("/words", "GET", 200),
)


@pytest.mark.parametrize(("address", "method", "status"), ASKED)
def test_every_kind_of_answer_has_its_headers(
    home: House, address: str, method: str, status: int
) -> None:
    answer = home.callers["keeper"].client.open(address, method=method, buffered=True)
    assert answer.status_code == status
    assert list(headers.faults_of(answer)) == []


def test_an_answer_that_is_refused_for_its_host_has_them_too(home: House) -> None:
    answer = home.callers["keeper"].client.get("/", headers={"Host": "elsewhere.example"})
    assert answer.status_code == 400
    assert list(headers.faults_of(answer)) == []


def test_a_crash_has_them_and_says_nothing_of_the_program(
    home: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    def crash(*_args: object, **_more: object) -> None:
        raise RuntimeError("planted secret")

    monkeypatch.setitem(home.app.config, "PROPAGATE_EXCEPTIONS", False)
    monkeypatch.setattr("app.services.tasks.look", crash)
    answer = home.callers["keeper"].client.get("/tank/1/")
    assert answer.status_code == 500
    assert list(headers.faults_of(answer)) == []
    for word in ("planted secret", "RuntimeError", "Traceback", ".py", "werkzeug", "Flask"):
        assert word not in answer.text


def test_a_faulty_answer_would_be_seen(home: House) -> None:
    answer = home.callers["keeper"].client.get("/words")
    policy = answer.headers["Content-Security-Policy"]
    for name, value in (
        ("Content-Security-Policy", policy.replace("style-src 'self'", "style-src 'unsafe-eval'")),
        ("Content-Security-Policy", policy.replace("base-uri 'none'; ", "")),
        ("Content-Security-Policy", policy.replace("img-src 'self'", "img-src *")),
        ("Cache-Control", "public, max-age=60"),
        ("Set-Cookie", "sillpond=1; Path=/"),
        ("Server", "planted"),
    ):
        before = answer.headers.get(name)
        answer.headers[name] = value
        assert list(headers.faults_of(answer)), name
        answer.headers.pop(name)
        if before is not None:
            answer.headers[name] = before


@pytest.fixture
def record(tmp_path: Path) -> Record:
    return new_record(tmp_path)


def test_behind_encryption_the_browser_is_told_to_stay_there(
    record: Record, tmp_path: Path
) -> None:
    settings = Settings(data_folder=tmp_path, secret_key="only a test", behind_tls=True)
    client = create_app(settings, FixedClock(MONDAY), record.database).test_client()
    with record.database.writing() as session:
        link = sign_ins.make_link(session, now=MONDAY)
        _, token = links.make(
            session, 1, LinkKind.FAMILY, label="x", first_day=None, last_day=MONDAY.date(),
            made_by_id=record.adult.author_id, now=MONDAY,
        )  # fmt: skip
    for address in (f"/sign-in/{link}", f"/v/{token}", "/nowhere", "/static/icon.svg"):
        answer = client.get(address, headers={"X-Forwarded-Proto": "https"}, buffered=True)
        assert list(headers.faults_of(answer, tls=True)) == [], address
    record.database.close()


def test_headers_of_a_proxy_are_not_believed_unless_told_so(home: House) -> None:
    answer = home.new_client().get(
        "/join", headers={"X-Forwarded-Proto": "https", "X-Forwarded-Host": "elsewhere.example"}
    )
    assert "Strict-Transport-Security" not in answer.headers
    assert "elsewhere.example" not in answer.text
