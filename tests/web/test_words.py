"""Words shows the very file that the app works with."""

from app.services import words
from tests.page_checker import CheckedClient
from tests.web.visits import seen


def test_every_word_is_explained_twice(helper: CheckedClient) -> None:
    text = seen(helper, "/words")
    for word in words.words():
        assert word.label in text
        assert word.child in text


def test_the_five_states_stand_there_with_words(stranger: CheckedClient) -> None:
    text = seen(stranger, "/words")
    for state in ("Don’t know", "Steady", "Watch", "Act", "Act now"):
        assert state in text
