"""Every template compiles, keeps to the policy header and stands on the one layout."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from jinja2 import Environment, nodes

from app import resources
from app.clock import FixedClock
from app.factory import create_app
from app.settings import Settings
from app.storage.engine import Database, sqlite_engine
from tests.contract.moments import MOMENT

LAYOUT = "layout.html"
# folders of pieces that pages take in; files that begin with a line below are pieces too
PIECES = ("macros/", "drawings/", "parts/")
INLINE = {
    "style attribute": re.compile(r"<[^<>]*\sstyle\s*=", re.IGNORECASE),
    "style element": re.compile(r"<style\b", re.IGNORECASE),
    "inline script": re.compile(r"<script\b(?![^>]*\bsrc=)", re.IGNORECASE),
    "event attribute": re.compile(r"<[^<>]*\son[a-z]+\s*=", re.IGNORECASE),
    "escape switched off": re.compile(r"autoescape\s+false", re.IGNORECASE),
}
STATIC_FILE = re.compile(r"url_for\('static',\s*filename='([^']+)'\s*\)")
NAMES = sorted(
    path.relative_to(resources.templates()).as_posix()
    for path in resources.templates().rglob("*")
    if path.is_file()
)
PAGES = [n for n in NAMES if n != LAYOUT and not n.startswith(PIECES) and "/_" not in f"/{n}"]


@pytest.fixture(scope="module")
def environment(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Environment]:
    """The very environment that the app renders with."""
    settings = Settings(data_folder=tmp_path_factory.mktemp("data"), secret_key="only a test")
    database = Database(sqlite_engine(settings.database_file))
    yield create_app(settings, FixedClock(MOMENT), database).jinja_env
    database.close()


def source(name: str) -> str:
    return (resources.templates() / name).read_text("utf-8")


def bases(environment: Environment, name: str) -> list[str]:
    """The templates that one extends, nearest first."""
    tree = environment.parse(source(name))
    extended = [e.template for e in tree.find_all(nodes.Extends)]
    nearest = [str(e.value) for e in extended if isinstance(e, nodes.Const)]
    return nearest + [further for base in nearest for further in bases(environment, base)]


def blocks(environment: Environment, name: str) -> set[str]:
    return {block.name for block in environment.parse(source(name)).find_all(nodes.Block)}


def test_there_are_pages() -> None:
    assert PAGES


@pytest.mark.parametrize("name", NAMES)
def test_it_compiles(environment: Environment, name: str) -> None:
    environment.get_template(name)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_inline_that_the_policy_refuses(name: str) -> None:
    text = source(name)
    assert [what for what, pattern in INLINE.items() if pattern.search(text)] == []


def test_a_planted_inline_style_script_or_event_is_found() -> None:
    planted = [
        '<p class="a" style="x">', "<style>", "<script>x</script>", "<p\nonclick='x'>",
        "{% autoescape false %}",
    ]  # fmt: skip
    assert [[k for k, p in INLINE.items() if p.search(text)] for text in planted] == [
        ["style attribute"], ["style element"], ["inline script"], ["event attribute"],
        ["escape switched off"],
    ]  # fmt: skip
    assert not any(p.search('<script src="/a.js" defer></script>') for p in INLINE.values())


@pytest.mark.parametrize("name", [n for n in PAGES if n.endswith(".html")])
def test_a_page_stands_on_the_layout_and_names_itself(environment: Environment, name: str) -> None:
    chain = bases(environment, name)
    assert chain[-1:] == [LAYOUT]
    named = set().union(*(blocks(environment, n) for n in [name, *chain[:-1]]))
    assert named & {"title", "page_title"}, "it has no title block"


@pytest.mark.parametrize("name", NAMES)
def test_files_that_it_asks_for_are_there(name: str) -> None:
    asked = STATIC_FILE.findall(source(name))
    assert [file for file in asked if not any(Path(resources.static()).glob(file))] == []


def test_every_style_sheet_of_the_layout_is_there() -> None:
    named = re.search(r"for sheet in \(([^)]+)\)", source(LAYOUT))
    assert named is not None
    sheets = {f"{name}.css" for name in re.findall(r"'(\w+)'", named[1])}
    assert len(sheets) > 10
    assert sheets <= {file.name for file in (Path(resources.static()) / "css").iterdir()}
