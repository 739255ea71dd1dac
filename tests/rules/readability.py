"""How hard a text for pupils is to read, as a US school grade.

Formula of Kincaid, Fishburne, Rogers and Chissom 1975, Derivation of new readability formulas for
Navy enlisted personnel: 0.39 × words per sentence + 11.8 × syllables per word − 15.59. Science
words that the app explains in its own list of words are taken out first, as a class learns them
there. Syllables are counted by groups of vowels, with the silent endings of English.
"""

import re
from typing import Final

from app.knowledge.load import load

_WORD: Final = re.compile(r"[A-Za-z’']+")
# words of the forms, learned with the tank itself
_LEARNED: Final = frozenset({"thermometer", "temperature", "conditioner", "oxygen", "ammonia"})


def syllables(word: str) -> int:
    """Syllables of an English word, at least one."""
    plain = re.sub(r"[^a-z]", "", word.lower())
    if not plain:
        return 1
    groups = len(re.findall(r"[aeiouy]+", plain))
    silent_e = plain.endswith("e") and not re.search(r"([^aeiouy]le|[aeiouy]e)$", plain)
    silent_ed = plain.endswith("ed") and not re.search(r"[tdaeiouy]ed$", plain)
    silent_es = plain.endswith("es") and not re.search(r"(s|x|z|ch|sh|c|g)es$", plain)
    silent = silent_e or silent_ed or silent_es
    return max(1, groups - int(silent and groups > 1))


_EXPLAINED: Final = _LEARNED | frozenset(
    word.lower()
    for entry in load().words
    for word in _WORD.findall(entry.label)
    if syllables(word) > 2
)
"""Long words of the labels of the app's list of words; short ones are no science."""


def grade(text: str) -> float:
    """The reading grade of a text without its listed science words; 0 for none left."""
    sentences = [s for s in re.split(r"[.!?:]+(?:\s|$)", text) if _WORD.search(s)]
    words = [w for w in _WORD.findall(text) if w.lower() not in _EXPLAINED]
    if not words or not sentences:
        return 0.0
    per_sentence = len(words) / len(sentences)
    per_word = sum(syllables(w) for w in words) / len(words)
    return 0.39 * per_sentence + 11.8 * per_word - 15.59
