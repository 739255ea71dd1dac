"""Text that would be markup, script, a template or a formula stays text, on every page."""

from collections import deque
from itertools import cycle
from urllib.parse import urlsplit

import pytest

from tests.page_checker import CheckedClient
from tests.web.conftest import new_client
from tests.web.stories.browsing import Control, Form, Page, send, visit
from tests.web.stories.conftest import Place

HOSTILE = (
    "<script>alert(1)</script>",
    '" onmouseover="alert(1)',
    "' autofocus onfocus='alert(1)",
    "</textarea><img src=x onerror=alert(1)>",
    "</title><svg/onload=alert(1)>",
    "{{7*191}} ${7*191} {% raw %}",
    "javascript:alert(1)",
    "<!-- %s %(x)s {0}",
    "&lt;b&gt;bold&lt;/b&gt;",
    "=1+1",
    "\u202eback\u202c \U0001f420",
)
# what would only stand in a page if text had become markup, or a template had been worked out
NEVER = ("<script>alert", "<img src=x", "<svg/onload", "1337", "<b>bold")
MOST_PAGES = 150
TEXTS = {"text", "textarea"}


def spoiled(form: Form, evil: str) -> Form:
    """The form with hostile text in each field that is not a number, a date or a choice."""
    numbers = _numbers(form)
    for control in form.controls:
        if control.kind in TEXTS and control.name not in numbers:
            control.value = evil
    return form


def _numbers(form: Form) -> set[str]:
    """Fields that take numbers: those with a unit beside them, and those named after one."""
    with_unit = {c.name.removesuffix("_unit") for c in form.controls if c.name.endswith("_unit")}
    return {c.name for c in form.controls if c.name in with_unit or c.name in _PLAIN_NUMBERS}


_PLAIN_NUMBERS = {
    "scoops", "seen", "count", "adult_cm", "grams", "liters_out", "liters_in", "level_out",
    "length_cm", "width_cm", "water_depth_cm", "rim_cm", "sand_front_cm", "sand_back_cm", "pores",
    "displacement_l", "heater_line_cm", "light_hours", "steps", "zone", "offset", "water_level",
    "oxygen", "chlorine", "chloride", "ph", "portion_scoops", "apart_days",
    "elevation_m", "bow_cm", "base_cm",
}  # fmt: skip


def entered(place: Place, adult: CheckedClient, page: str, evil: str, **values: str) -> Page:
    """A form with hostile text in its texts and sound values elsewhere."""
    url = page if page.startswith("/") else place.url(page)
    form = spoiled(visit(adult, url).form(), evil)
    for name, value in values.items():
        form.put(name, value)
    answer = send(adult, form)
    assert answer.status == 200, f"{url} answered {answer.status}: {answer.words}"
    return answer


def written_everywhere(place: Place, adult: CheckedClient) -> None:
    """Every text field there is, each with another hostile text."""
    evil = cycle(HOSTILE)
    for word in HOSTILE[:3]:
        entered(place, adult, "animals", word, count="3")
    entered(place, adult, "kits", next(evil), unit="nitrate|mg/L|as nitrate")
    entered(place, adult, "/settings/breaks", next(evil), first_day="2027-03-01",
            last_day="2027-03-05")  # fmt: skip
    for page, values in (
        ("feed", {"amount": "words", "temperature": "24.6"}),
        ("look", {"seen": "16"}),
        ("odd", {"signs": "smell"}),
        ("test", {"ph": "7.4"}),
        ("change", {"liters_out": "20", "treated": "yes"}),
        ("job?job=other", {}),
        ("job?job=treatment", {}),
        ("animals-entry", {"group": "1", "what": "born", "count": "2"}),
    ):
        for _ in range(3):
            place.pass_time(minutes=20)
            if page == "feed":
                place.pass_time(days=1 if place.clock.moment.weekday() < 4 else 3)
            entered(place, adult, page, next(evil), **values)
    entered(place, adult, "/settings", HOSTILE[0], zone="New York")
    entered(place, adult, "measures", HOSTILE[1])


def crawled(client: CheckedClient) -> list[Page]:
    """Every page that links lead to, each address once; filters and older pages are cut short."""
    found: list[Page] = []
    waiting, known = deque(["/", "/tanks"]), {"/", "/tanks"}
    while waiting and len(found) < MOST_PAGES:
        page = visit(client, waiting.popleft())
        found.append(page)
        for _, url in page.links:
            parts = urlsplit(url)
            assert parts.netloc in {"", "localhost"}, f"{page.path} leads to {url}"
            address = parts.path + (f"?{parts.query}" if parts.query else "")
            enough = "/entry/" in address and len(known) > MOST_PAGES / 2
            if address not in known and not enough:
                known.add(address)
                waiting.append(address)
    return found


def test_hostile_text_stays_text_on_every_page(place: Place) -> None:
    adult = place.adult()
    written_everywhere(place, adult)
    pages = crawled(adult) + crawled(place.class_device())
    assert len(pages) > 40
    for page in pages:
        stays_text(page, 200)


def test_what_was_typed_is_shown_as_it_was_typed(place: Place) -> None:
    adult = place.adult()
    for evil in HOSTILE:
        entered(place, adult, "test", evil, ph="7.4")
    words = place.open(adult, "story?kind=water").words
    for evil in HOSTILE:
        assert " ".join(evil.split()) in words


@pytest.mark.parametrize("page", ["feed", "look", "test", "change", "job?job=other", "kits"])
def test_a_form_that_comes_back_holds_hostile_text_as_text(place: Place, page: str) -> None:
    adult = place.adult()
    form = place.open(adult, page).form()
    evil = cycle(HOSTILE)
    for _ in range(3):
        for control in form.controls:
            if control.kind in TEXTS:
                control.value = next(evil)
        stays_text(send(adult, form), 200, 409, 422)


def test_hostile_hidden_values_come_back_as_text_or_not_at_all(place: Place) -> None:
    adult = place.adult()
    form = place.open(adult, "test").form()
    form.put("ph", "7.4")
    send(adult, form)
    form.put("ph", "7.0")
    for evil in HOSTILE:
        form.controls.append(Control("extra", "text", evil))
        form.controls.append(Control(evil, "text", evil))
    stays_text(send(adult, form), 409)  # the page that shows both, with all that was typed


@pytest.mark.parametrize(
    "page",
    ["story?kind={}", "story?before={}", "charts?what={}", "charts/ph?days={}", "job?job={}",
     "change?job={}", "?saved={}", "to-do/{}"],
)  # fmt: skip
def test_hostile_addresses(place: Place, page: str) -> None:
    adult = place.adult()
    for evil in HOSTILE:
        stays_text(visit(adult, place.url(page.replace("{}", evil))), 200, 404)


def test_hostile_sign_in_links(place: Place) -> None:
    stranger = new_client(place.app)
    for evil in HOSTILE:
        stays_text(visit(stranger, f"/sign-in/{evil}"), 404)


def stays_text(page: Page, *statuses: int) -> None:
    assert page.status in statuses, page.path
    for never in NEVER:
        assert never not in page.answer.text, page.path
