"""What is taken for a passphrase."""

import pytest

from app.domain.errors import Refused
from app.domain.passphrase import LONGEST, SHORTEST, is_common
from app.knowledge.passphrases import common
from app.services.access import passphrases
from app.storage.models.access import Person


@pytest.mark.parametrize(
    "weak",
    [
        "short",
        "fourteen chars",
        "passwordpassword",
        "aaaaaaaaaaaaaaaa",
        "abababababababab",
        "12345 12345 12345",
        "Correct Horse Battery Staple",
        "correct-horse-battery-staple!",
        "QWERTYUIOPASDFGHJKL",
        "qwertyuiop qwertyuiop",
        "The quick brown fox",
        "thequickbrownfox2027",
        "Fish Tank Password 2026",
        "letmein letmein letmein",
        "Aab7xq aab7xq aab7xq a",
        "    four    five    ",
        "x" * (LONGEST + 1),
    ],
)
def test_a_weak_passphrase_is_refused(weak: str) -> None:
    with pytest.raises(Refused):
        passphrases.hash_of(weak)


@pytest.mark.parametrize(
    "good",
    [
        "four quiet herons wade",
        "nine snails on the pump",
        "vier stille Reiher waten",
        "девять улиток на стекле",
        "🐟🌿🪨🫧🐌🌊🌙⭐🔥🍀🎈🎲🎹🧩🪁",
        "a" * 10 + "bcdefg hijk",
        "zq7 zq7 zq7 m0w t1",
        " ".join(["otter"] + [f"reed{n}" for n in range(25)])[:LONGEST],
    ],
)
def test_a_good_one_may_be_of_any_letters_and_up_to_200_long(good: str) -> None:
    assert SHORTEST <= len(good) <= LONGEST
    assert passphrases.hash_of(good).startswith("$argon2id$")


def test_every_listed_phrase_is_refused_in_whatever_dress() -> None:
    phrases = [known for known in common() if len(known) >= SHORTEST]
    assert len(phrases) > 150
    for known in phrases:
        for dressed in (known.upper(), " ".join(known), f"{known}1", known * 2, f"{known}!!"):
            assert is_common(dressed, common()), dressed


def test_an_accent_counts_the_same_from_either_keyboard() -> None:
    one_sign, beside = "caf\u00e9 am alten See", "cafe\u0301 am alten See"
    person = Person(name="Mara", passphrase_hash=passphrases.hash_of(one_sign))
    assert passphrases.is_right(person, beside)
    assert not passphrases.is_right(person, "cafe am alten See")
