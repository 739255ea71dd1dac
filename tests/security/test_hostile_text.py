"""Hostile text where no form of a page puts it: in addresses, in hidden fields, shown once more."""

import html

import pytest

from tests.security import planted
from tests.security.house import House
from tests.web.stories.browsing import Control, Page, send, visit


def stays_text(page: Page, *statuses: int) -> None:
    assert page.status in statuses, page.path
    assert list(planted.faults_of(page.answer)) == [], page.path


def test_what_was_typed_is_shown_as_it_was_typed(home: House) -> None:
    client = home.callers["keeper"].client
    for text in planted.TEXTS:
        form = visit(client, "/tank/1/test").form()
        form.put("ph", "7.4")
        form.put("note", text)
        assert client.post(form.action, data=form.pairs()).status_code == 303
    told = " ".join(html.unescape(client.get("/tank/1/story?kind=water").text).split())
    for text in planted.TEXTS:
        assert " ".join(text.split()) in told


def test_hidden_values_come_back_as_text_or_not_at_all(home: House) -> None:
    client = home.callers["keeper"].client
    form = visit(client, "/tank/1/test").form()
    form.put("ph", "7.4")
    send(client, form)
    form.put("ph", "7.0")
    for text in planted.TEXTS:
        form.controls += [Control("extra", "text", text), Control(text, "text", text)]
    stays_text(send(client, form), 409)  # the page that shows both, with all that was typed


def test_a_form_of_an_ended_session_is_kept_as_text(home: House) -> None:
    form = visit(home.callers["keeper"].client, "/tank/1/test").form()
    for text in planted.TEXTS:
        form.controls += [Control("note", "text", text), Control(text, "text", text)]
    page = send(home.new_client(), form)
    stays_text(page, 400)
    kept = page.form("Save it now").pairs()
    assert {" ".join(text.split()) for text in planted.TEXTS} <= {
        " ".join(value.split()) for value in kept.getlist("note")
    }


@pytest.mark.parametrize(
    "address",
    ["story?kind={}", "story?before={}", "charts?what={}", "charts/ph?days={}", "charts/{}",
     "job?job={}", "change?job={}", "?saved={}", "to-do/{}", "odd/{}", "work-out/{}",
     "notebook/search?words={}", "ahead/break/{}", "lessons/month/{}/x"],
)  # fmt: skip
def test_hostile_addresses(home: House, address: str) -> None:
    client = home.callers["keeper"].client
    for text in planted.TEXTS[:4]:
        stays_text(visit(client, f"/tank/1/{address.replace('{}', text)}"), 200, 404)


@pytest.mark.parametrize("folder", ["/sign-in/", "/join/", "/v/", "/calendar/", "/t/"])
def test_hostile_keys(home: House, folder: str) -> None:
    for text in planted.TEXTS:
        stays_text(visit(home.new_client(), folder + text), 404)
