"""Knowledge as the pages ask for it."""

import pytest

from app.services import words


def test_cautions_come_in_the_order_asked_for() -> None:
    found = words.cautions(("siphon", "hands"))

    assert [c.key for c in found] == ["siphon", "hands"]
    assert all(c.lines for c in found)
    with pytest.raises(KeyError):
        words.cautions(("no-such-caution",))


def test_a_number_leads_to_its_source_or_to_none() -> None:
    numbers = words.numbers()
    sourced = next(n for n in numbers if n.source)
    own = next(n for n in numbers if not n.source)

    source = words.source_of(sourced)
    assert source is not None
    assert source.key == sourced.source
    assert words.source_of(own) is None


def test_words_and_nicknames_are_there() -> None:
    assert "Scoop" in {word.label for word in words.words()}
    assert "Otter" in words.nicknames()
    assert len(words.nicknames()) >= 60, "two classes of thirty"
