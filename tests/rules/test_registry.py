"""The list of rules and the numbers they name."""

import re
from collections.abc import Iterator

from app.rules.registry import RULES
from tests.rules.checks import KNOWLEDGE

# read by the shelf lives and the size of a change, which every page shows
SHOWN_ELSEWHERE = {"keeps.count-days", "change.colder"}


def test_ids_are_words_and_unique() -> None:
    ids = [rule.id for rule in RULES]
    assert len(set(ids)) == len(ids)
    assert all(re.fullmatch(r"[a-z]+(\.[a-z-]+)+", rule_id) for rule_id in ids)


def test_every_rule_says_what_and_why() -> None:
    for rule in RULES:
        assert rule.title
        assert rule.why.endswith((".", "?"))


def test_every_check_documents_what_why_source_bad_and_good() -> None:
    for rule in RULES:
        if rule.id.startswith("sign."):
            continue  # one function for all, documented once
        doc = rule.check.__doc__ or ""
        for word in ("What:", "Why:", "Source:", "Bad:", "Good:"):
            assert word in doc, rule.id


def test_every_limit_named_exists_and_every_number_is_named() -> None:
    named = set(_named())
    assert named <= set(KNOWLEDGE.numbers)
    assert set(KNOWLEDGE.numbers) - named == SHOWN_ELSEWHERE


def _named() -> Iterator[str]:
    for rule in RULES:
        yield from rule.limits
