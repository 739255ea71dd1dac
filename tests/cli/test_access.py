"""How an adult gets in: the passphrase, and a link while something is served."""

import re
from datetime import timedelta

import pytest

from app.cli import frame
from app.domain.errors import Refused
from app.domain.people import Role
from app.services.access import invitations, sign_ins
from app.settings import Settings
from app.storage import hold
from tests.cli.conftest import Run
from tests.record import MONDAY, Record

WORDS = "four tall willow trees"


def test_a_passphrase_is_asked_twice_and_set(run: Run, record: Record) -> None:
    assert run("passphrase", input=f"{WORDS}\n{WORDS}\n").exit_code == 0
    with record.database.writing() as session:
        assert sign_ins.sign_in_with_passphrase(session, WORDS, now=record.now)


def test_a_short_passphrase_is_refused_and_the_old_one_stays(run: Run, record: Record) -> None:
    run("passphrase", input=f"{WORDS}\n{WORDS}\n")
    refused = run("passphrase", input="short\nshort\n")
    assert refused.exit_code == 1
    assert "15 characters" in refused.stderr
    with record.database.writing() as session:
        assert sign_ins.sign_in_with_passphrase(session, WORDS, now=record.now)


def test_a_passphrase_may_be_set_before_the_first_start(run: Run, settings: Settings) -> None:
    assert run("passphrase", input=f"{WORDS}\n{WORDS}\n").exit_code == 0
    assert settings.database_file.exists()


def test_a_link_is_for_what_is_served_now_and_works_once(
    run: Run, record: Record, settings: Settings
) -> None:
    with hold.held(frame.lock_file(settings)) as lock:
        lock.say("http://127.0.0.1:4711/")
        told = run("link")
    assert told.exit_code == 0
    found = re.fullmatch(r"http://127\.0\.0\.1:4711/sign-in/(\S+)\n", told.output)
    assert found
    with record.database.writing() as session:
        assert sign_ins.use_link(session, found[1], now=MONDAY + timedelta(hours=1))
        with pytest.raises(Refused):
            sign_ins.use_link(session, found[1], now=MONDAY + timedelta(hours=1))


def test_without_a_server_a_link_would_lead_nowhere(run: Run, record: Record) -> None:
    refused = run("link")
    assert refused.exit_code == 1
    assert "sillpond serve" in refused.stderr


def test_the_adults_are_listed(run: Run, record: Record) -> None:
    with record.database.writing() as session:
        invitations.invite(session, record.adult, "Mara", Role.TECHNICIAN, [1], now=record.now)
    assert run("people").output.splitlines() == [
        "Grown-up in charge, keeper, all tanks, 2027-02-08, 1 browser signed in",
        "Mara, technician, 1 of the tanks, not signed in",
    ]
