"""People read the project's own words: no computer talk, no blame, no false comfort."""

import ast
import re
import tomllib
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any

import pytest
from jinja2 import Environment

from app import resources
from tests.contract.places import ROOT, short, sources

AVOIDED = re.compile(
    r"\b(log ?in|log ?out|users?|submit(?:ted)?|cancel(?:led|ed)?|deleted?|overdue|failed|missed"
    r"|critical|danger(?:ous)?|safe(?:ly)?|normal|dose[sd]?|cycled?|uncycled|parameters?"
    r"|mortality|cull|bioload|toxic!)\b|\bOK\b",
    re.IGNORECASE,
)
READ_ATTRIBUTES = {"alt", "title", "aria-label", "placeholder"}
# knowledge about sources quotes titles as they were printed
QUOTED_FILES = {"sources.toml"}
QUOTED_KEYS = {"source", "sources", "key", "id", "title", "unit", "basis", "note"}


def avoided(text: str) -> list[str]:
    """Words in the text that nobody is to read in the app."""
    without = re.sub(r"\bnitrogen cycle\b", "", text, flags=re.IGNORECASE)
    return [m[0] for m in AVOIDED.finditer(without) if m[0] != "ok" and m[0] != "Ok"]


class _Visible(HTMLParser):
    """Collects what a reader sees or hears of a piece of HTML."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.texts += [value or "" for name, value in attrs if name in READ_ATTRIBUTES]

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def template_texts(template: str) -> list[str]:
    """The visible text of a template: what stands outside of its tags and statements."""
    reader = _Visible()
    tokens = Environment().lex(template)
    reader.feed("".join(value for _, kind, value in tokens if kind == "data"))
    reader.close()
    return reader.texts


def code_sentences(code: str) -> list[str]:
    """Texts in Python code that are sentences for people: capital, space, full stop."""
    tree = ast.parse(code)
    docs = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    texts = [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs
    ]
    return [t for t in texts if re.fullmatch(r"[A-Z].* .*[.?!]", t.strip(), re.DOTALL)]


def knowledge_texts(value: Any, key: str = "") -> Iterator[str]:
    """Texts of a knowledge file that are shown, whatever they are nested in."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from knowledge_texts(inner, name)
    elif isinstance(value, list):
        for inner in value:
            yield from knowledge_texts(inner, key)
    elif isinstance(value, str) and key not in QUOTED_KEYS:
        yield value


@pytest.mark.parametrize(
    "text", ["The water is safe.", "Log in", "2 missed feedings", "OK", "one dose", "a new Cycle"]
)
def test_a_planted_word_is_found(text: str) -> None:
    assert avoided(text)


@pytest.mark.parametrize("text", ["The nitrogen cycle", "a look", "dosage", "safety", "username"])
def test_words_that_only_resemble_them_pass(text: str) -> None:
    assert avoided(text) == []


def test_only_what_is_visible_of_a_template_counts() -> None:
    template = '{% if user %}<p class="safe" title="normal">{{ x | safe }} danger</p>{% endif %}'
    assert avoided(" ".join(template_texts(template))) == ["normal", "danger"]


def test_only_sentences_of_the_code_count() -> None:
    code = '"""A user is meant."""\nkey = "user"\nsay("Ask the user again.")'
    assert code_sentences(code) == ["Ask the user again."]


def test_templates_use_the_projects_words() -> None:
    found = {
        path.name: words
        for path in sorted(resources.templates().rglob("*.html"))
        if (words := avoided(" ".join(template_texts(path.read_text("utf-8")))))
    }
    assert found == {}


def test_sentences_in_the_code_use_the_projects_words() -> None:
    found = {
        short(path): words
        for path in sources("app")
        if (words := avoided(" ".join(code_sentences(path.read_text("utf-8")))))
    }
    assert found == {}


def test_knowledge_uses_the_projects_words() -> None:
    files = [
        p for p in sorted((ROOT / "app/knowledge").glob("*.toml")) if p.name not in QUOTED_FILES
    ]
    found = {
        path.name: words
        for path in files
        if path.name not in QUOTED_FILES
        and (words := avoided(" ".join(knowledge_texts(tomllib.loads(path.read_text("utf-8"))))))
    }
    assert found == {}
