"""`remind`: letters go out once, one failure holds up no other, and nothing goes by itself."""

import pytest

from app.domain.people import Role
from app.services import mail, reminders
from app.services.access import invitations, people
from app.services.mail import MailServer, NotSent
from app.services.reminders import Wish
from tests.cli.conftest import Run
from tests.record import Record

Sent = list[tuple[str, str, str]]


@pytest.fixture
def named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(mail.HOST, "mail.example.org")
    monkeypatch.setenv(mail.SENDER, "tank@example.org")


@pytest.fixture
def sent(monkeypatch: pytest.MonkeyPatch) -> Sent:
    """What was handed in; the address of Bo does not work."""
    found: Sent = []

    def send(_server: MailServer, to: str, subject: str, text: str, **_: object) -> None:
        if to.startswith("bo"):
            raise NotSent("550 nobody there")
        found.append((to, subject, text))

    monkeypatch.setattr(mail, "send", send)
    return found


@pytest.fixture
def wishes(record: Record) -> Record:
    """Letters for Bo, whose address does not work, and for the grown-up."""
    with record.database.writing() as session:
        code = invitations.invite(
            session, record.adult, "Bo", Role.TECHNICIAN, [record.tank_id], now=record.now
        )
        invitations.accept(session, code, "four tall willow trees", now=record.now)
        bo = people.named(session, "Bo")
        assert bo is not None
        for person_id, email in ((bo.id, "bo@x.org"), (record.adult.person_id, "ann@x.org")):
            wish = Wish(email=email, weekdays=frozenset(range(7)))
            reminders.set_wish(session, person_id, wish)
    return record


def test_without_a_mail_server_nothing_is_sent(run: Run, wishes: Record, sent: Sent) -> None:
    refused = run("remind")

    assert refused.exit_code == 1
    assert "nothing is sent: set SILLPOND_MAIL_HOST" in refused.stderr
    assert sent == []


def test_a_dry_run_prints_the_letters_and_marks_nothing(
    run: Run, wishes: Record, sent: Sent
) -> None:
    for _ in range(2):
        told = run("remind", "--dry-run")
        assert told.exit_code == 0
        assert "To: ann@x.org\nSubject: Sillpond: " in told.output
        assert "2 to send. Nothing was sent." in told.output
    assert sent == []


def test_one_failure_is_told_and_holds_up_no_other(
    run: Run, wishes: Record, sent: Sent, named: None
) -> None:
    told = run("remind")

    assert [to for to, _, _ in sent] == ["ann@x.org"]
    assert "1 sent, 1 not sent." in told.output
    assert "Not sent to Bo: 550 nobody there" in told.stderr
    assert told.exit_code == 1


def test_each_goes_out_once_a_day_and_what_failed_is_tried_again(
    run: Run, wishes: Record, sent: Sent, named: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("remind")
    monkeypatch.setattr(mail, "send", lambda _s, to, subject, text, **_: sent.append((to, "", "")))

    assert "1 sent, 0 not sent." in run("remind").output
    assert "0 sent, 0 not sent." in run("remind").output
    assert [to for to, _, _ in sent] == ["ann@x.org", "bo@x.org"]


def test_a_scheduler_finds_its_line_in_the_help(run: Run) -> None:
    told = run("remind", "--help").output

    assert "0 7 * * *  sillpond remind" in told
    assert "SILLPOND_MAIL_PASSPHRASE_FILE" in told
