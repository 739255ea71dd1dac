"""The list of rules and the numbers they name."""

import re
from collections.abc import Iterator

from app.rules.registry import RULES
from tests.rules.checks import KNOWLEDGE


def test_ids_are_words_and_unique() -> None:
    ids = [rule.id for rule in RULES]
    assert len(set(ids)) == len(ids)
    assert all(re.fullmatch(r"[a-z]+(\.[a-z-]+)+", rule_id) for rule_id in ids)


def test_every_rule_says_what_and_why() -> None:
    for rule in RULES:
        assert rule.title
        assert rule.why.endswith((".", "?"))


def test_every_rule_has_a_lesson_for_pupils() -> None:
    for rule in RULES:
        assert rule.lesson.endswith((".", "?", "!")), rule.id


def test_every_check_documents_what_why_source_bad_and_good() -> None:
    for rule in RULES:
        if rule.id.startswith("sign."):
            continue  # one function for all, documented once
        doc = rule.check.__doc__ or ""
        for word in ("What:", "Why:", "Source:", "Bad:", "Good:"):
            assert word in doc, rule.id


def test_every_limit_that_a_rule_names_exists() -> None:
    assert set(_named()) <= set(KNOWLEDGE.numbers)


def _named() -> Iterator[str]:
    for rule in RULES:
        yield from rule.limits
