"""Three hundred garbled posts over all forms: each is answered in words, none breaks anything."""

import logging
import random
from urllib.parse import quote

import pytest
from flask.testing import FlaskClient
from sqlalchemy import text

from tests.page_checker import faults_of
from tests.web.stories.browsing import Form, visit
from tests.web.stories.conftest import Place

PAGES = (
    "feed", "look", "odd", "test", "change", "change?job=top_up", "job?job=filter_rinse",
    "job?job=other", "animals-entry", "measures", "animals", "kits", "scoop", "plan", "ranges",
    "bring-in",
)  # fmt: skip
SITE_PAGES = (
    "/settings", "/settings/breaks", "/settings/tap-water", "/settings/helpers", "/tank/new",
)  # fmt: skip
GARBAGE = (
    "NaN", "-nan", "inf", "-Infinity", "1e400", "1e5", "-0", "0x1F", "9" * 40,
    "0." + "0" * 40 + "1",
    "２４．９", "２４，９", "24,9", "٢٤", "²", "½", "1_000", "1 000", "--5", "+", ".", ",",
    "2027-02-30", "2027-02-30T08:00", "2027-03-14T02:30", "2027-11-07T01:30", "0000-00-00T00:00",
    "9999-12-31T23:59", "99999-01-01", "24:61", "25:00", "T", "-1", "-99999", "2147483648",
    "9223372036854775808", "1" * 400, "\x00", "a\x00b", "\ud800", "x\udfffy", "\u202e", "\ufeff",
    "\U0001f420" * 30, "x" * 100_000, "{{7*7}}", "%s%n", "'; DROP TABLE entry; --", "../../etc",
    "None", "null", "undefined", "true", "[]", "yes", "", " ", "\t\r\n", "~", "~~~", "a~b~c~d",
    "temperature~1e400~°F~", "|", "||", "°F|", "as N", "now", "pick", "darker", "lighter",
)  # fmt: skip
ANSWERS = {200, 303, 400, 403, 404, 409, 413, 422}
POSTS = 300
BATCHES = 6


def garbled(form: Form, chance: random.Random) -> list[tuple[str, str]]:
    """What the form would send, with some fields garbled, left out, doubled or made up."""
    pairs = [(name, value) for name, value in form.pairs().items(multi=True)]
    names = sorted({name for name, _ in pairs if name != "csrf_token"} | form.names)
    for _ in range(chance.randint(1, 5)):
        name, value = chance.choice(names), chance.choice(GARBAGE)
        if name == "csrf_token":
            continue
        what = chance.random()
        if what < 0.6:
            pairs = [(n, v) for n, v in pairs if n != name] + [(name, value)]
        elif what < 0.75:
            pairs = [(n, v) for n, v in pairs if n != name]
        elif what < 0.9:
            pairs.append((name, value))
        else:
            pairs.append((chance.choice(("take", "all", "again", "job", "x")), value))
    if chance.random() < 0.5:  # a new form, not one that was saved before
        fresh = f"garbled-{chance.randrange(10**12)}"
        pairs = [(n, fresh if n == "token" else v) for n, v in pairs]
    return pairs


def body_of(pairs: list[tuple[str, str]]) -> bytes:
    """The body of a post, with characters that no well-behaved browser would send."""
    return "&".join(
        f"{quote(name, errors='surrogatepass')}={quote(value, errors='surrogatepass')}"
        for name, value in pairs
    ).encode("ascii")


@pytest.mark.parametrize("batch", range(BATCHES))
def test_garbled_posts_are_answered_in_words(
    place: Place, batch: int, caplog: pytest.LogCaptureFixture
) -> None:
    chance = random.Random(20270208 + batch)
    adult = place.adult()
    plain = FlaskClient(place.app, place.app.response_class, use_cookies=True)
    urls = [place.url(page) for page in PAGES] + list(SITE_PAGES)
    forms = {url: visit(adult, url).forms[-1] for url in urls}
    cookie = adult.get_cookie("sillpond")
    assert cookie is not None
    plain.set_cookie("sillpond", cookie.value)
    with caplog.at_level(logging.ERROR):
        for _ in range(POSTS // BATCHES):
            url = chance.choice(urls)
            pairs = garbled(forms[url], chance)
            shown = f"{url} with {[(n, v[:60]) for n, v in pairs if n != 'csrf_token']}"
            answer = plain.post(
                url, data=body_of(pairs), content_type="application/x-www-form-urlencoded"
            )
            assert answer.status_code in ANSWERS, f"{shown} answered {answer.status_code}"
            assert "Traceback" not in answer.text, shown
            # what was typed comes back in its field: words such as "nan", and however long
            typed = (" shows ", " bytes, more than ")
            faults = [f for f in faults_of(answer) if not any(part in f for part in typed)]
            assert not faults, f"{shown}: {faults}"
    assert caplog.records == []
    everything_still_opens(place)


def everything_still_opens(place: Place) -> None:
    adult = place.adult()
    for page in ("", "to-do", "story", "set-up", "door", "charts/temperature", "charts/ph"):
        answer = FlaskClient.open(adult, place.url(page))
        assert answer.status_code == 200, f"{page} answered {answer.status_code}"
    with place.record.database.reading() as session:
        rows = session.execute(text("SELECT value, low, high FROM reading")).all()
        assert all(v is None or abs(v) < 1e6 for row in rows for v in row)
        assert session.scalar(text("PRAGMA integrity_check")) == "ok"
