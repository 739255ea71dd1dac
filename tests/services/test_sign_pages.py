"""What the pages of signs say: every sign has one, in short and easy words, with no bad advice."""

import re

import pytest

from app.domain.records import Sign
from app.services import sign_help
from app.services.sign_pages import SIGN_PAGES, SignPage
from tests.rules.readability import grade
from tests.rules.test_texts import BANNED, MUST_NOT

TEXTS = sorted({t for p in SIGN_PAGES.values() for t in (*p.may_be, *p.looks, *p.first, p.fetch)})


def test_every_sign_has_its_page_and_its_cautions() -> None:
    assert set(SIGN_PAGES) == set(Sign)
    assert sign_help.is_urgent(Sign.FILTER_OFF)
    assert not sign_help.is_urgent(Sign.SNAILS)
    assert all(c.lines for s in Sign for c in sign_help.cautions(s))


@pytest.mark.parametrize("page", SIGN_PAGES.values())
def test_a_page_has_something_in_each_part(page: SignPage) -> None:
    assert page.may_be
    assert page.looks
    assert page.first


@pytest.mark.parametrize("text", TEXTS)
def test_pupils_can_read_it(text: str) -> None:
    assert grade(text) <= 6.0, f"{grade(text):.1f}: {text}"
    for sentence in re.split(r"(?<=[.!?])\s+", text):
        assert len(sentence.split()) <= 12, sentence


@pytest.mark.parametrize("text", TEXTS)
def test_nothing_is_advised_that_must_not_be(text: str) -> None:
    assert not MUST_NOT.search(text)
    assert not BANNED.search(text)
