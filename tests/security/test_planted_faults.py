"""The fuzzer finds faults that were planted in an application: a silent one proves nothing."""

from collections.abc import Callable, Iterator

import pytest
from flask import render_template_string, request
from flask_wtf.csrf import generate_csrf
from sqlalchemy import text

from app.web.request import database
from app.web.rights import ADULTS, RIGHTS
from tests.security.fuzzing import fuzz, taken_without_token
from tests.security.house import House, house
from tests.security.walking import Found, forms_on

FORM = """<!doctype html><html lang="en"><body><form method="post" action="/planted">
<input type="hidden" name="csrf_token" value="{token}"><input name="amount" value="1">
<input name="note"><button type="submit">Save</button></form>{more}</body></html>"""
View = Callable[[], str]


def sound() -> str:
    return "Saved."


def raises_on_a_garbled_number() -> str:
    return str(float(request.form.get("amount", "0")) > 1)


def reflects_what_was_typed() -> str:
    return f"<p>You wrote {request.form.get('note', '')}</p>"


def reflects_in_an_attribute() -> str:
    typed = request.form.get("note", "").replace("<", "&lt;").replace(">", "&gt;")
    return f'<input value="{typed}">'


def works_out_what_was_typed() -> str:
    typed = request.form.get("note", "").replace("<", "")
    return render_template_string(typed) if "271*4001" in typed else "Saved."


def puts_an_address_into_a_link() -> str:
    typed = request.form.get("note", "")
    return f'<a href="{typed}">x</a>' if typed.startswith("javascript") else "Saved."


def keeps_text_that_no_file_can_hold() -> str:
    with database().writing() as session:
        typed = request.form.get("amount", "")
        session.execute(text("SELECT CAST(:x AS INTEGER)"), {"x": int(typed)})
    return "Saved."


@pytest.fixture(scope="module")
def broken(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A house whose application has one page more; `view` decides what it does with a post."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setitem(RIGHTS, "planted", ADULTS)
        with house(tmp_path_factory.mktemp("broken")) as made:
            made.app.config["PROPAGATE_EXCEPTIONS"] = False
            made.app._got_first_request = False
            made.app.add_url_rule("/planted", "planted", _planted, methods=["GET", "POST"])
            yield made


_view: list[View] = []


def _planted() -> str:
    more = _view[-1]() if request.method == "POST" else ""
    return FORM.format(token=generate_csrf(), more=more)


def form_with(broken: House, view: View) -> list[Found]:
    _view[:] = [view]
    keeper = broken.callers["keeper"]
    broken.come_back(keeper)
    return list(forms_on(keeper, "/planted", keeper.client.get("/planted")))


@pytest.mark.parametrize(
    ("view", "said"),
    [
        (raises_on_a_garbled_number, "answered 500"),
        (keeps_text_that_no_file_can_hold, "answered 500"),
        (reflects_what_was_typed, "the tag <planted>"),
        (reflects_in_an_attribute, "the attribute planted"),
        (works_out_what_was_typed, "a template in a text was worked out"),
        (puts_an_address_into_a_link, "the address 'javascript:planted()'"),
    ],
)
def test_a_planted_fault_is_found(broken: House, view: View, said: str) -> None:
    outcome = fuzz(broken, form_with(broken, view), 160)
    assert any(said in fault for fault in outcome.faults), outcome.report()


def test_a_crash_is_found_in_the_log_too(broken: House) -> None:
    outcome = fuzz(broken, form_with(broken, raises_on_a_garbled_number), 25)
    assert any(fault.startswith("logged: ") for fault in outcome.faults)


def test_nothing_is_found_in_a_sound_page(broken: House) -> None:
    forms = form_with(broken, sound)
    assert fuzz(broken, forms, 60).faults == []
    assert taken_without_token(broken, forms * 2) == []


def test_a_page_that_asks_for_no_token_is_found(
    broken: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    forms = form_with(broken, sound)
    monkeypatch.setattr(broken.app.extensions["csrf"], "_exempt_views", {f"{__name__}._planted"})
    assert len(taken_without_token(broken, forms * 2)) == 2
