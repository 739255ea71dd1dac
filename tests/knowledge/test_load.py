"""Data files are whole, or refused with a sentence that says where."""

import re
import shutil
from pathlib import Path

import pytest

import app.knowledge
from app.knowledge.load import NUMBER_FILES, UNITS, load, load_from
from app.knowledge.model import Basis, KnowledgeError
from app.resources import templates
from app.rules.routine import ROUTINES

HERE = Path(str(app.knowledge.__file__)).parent
NUMBER = '{ value = 1.0, unit = "mg/L", basis = "own choice", source = "", note = "n" }'
GOOD = f"[water]\nedge = {NUMBER}\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for file in (*HERE.glob("*.toml"), *HERE.glob("*.csv")):
        shutil.copy(file, tmp_path)
    return tmp_path


def test_it_is_read_once() -> None:
    assert load() is load()


@pytest.mark.parametrize(
    "name", ["words.toml", "needs.toml", "kits.toml", "checks.toml", "species.csv", "plants.csv"]
)
def test_the_version_changes_with_any_file(folder: Path, name: str) -> None:
    before = load_from(folder).version
    assert before == load().version
    text = (folder / name).read_text("utf-8")
    changed = text.replace("common practice", "usual practice") if "csv" in name else f"{text}\n#\n"
    assert changed != text
    (folder / name).write_text(changed, "utf-8")
    assert load_from(folder).version != before


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (GOOD.replace('note = "n"', 'note = "n", notes = "n"'), "water.edge: unknown key notes"),
        (GOOD.replace('unit = "mg/L", ', ""), "water.edge: missing unit"),
        (GOOD.replace("own choice", "rumor"), "no such basis as 'rumor'"),
        (GOOD.replace("own choice", "published"), "a published number names its source"),
        (GOOD.replace('source = ""', 'source = "nobody-1999"'), "no such source"),
        (GOOD.replace('unit = "mg/L"', 'unit = "furlongs"'), "no such unit as 'furlongs'"),
        (GOOD.replace("1.0", '"1.0"'), "value is no number"),
        (GOOD.replace("1.0", "true"), "value is no number"),
        (GOOD.replace('"n"', '""'), "the note is empty"),
        ("[water\n", "feeding.toml"),
        ("water = 1\n", "water must be a table"),
        (
            f"[nitrate]\nact = {NUMBER}\n",
            "nitrate.act is written twice",
        ),
    ],
)
def test_what_is_not_whole_is_refused(folder: Path, text: str, says: str) -> None:
    (folder / "feeding.toml").write_text(text, "utf-8")
    with pytest.raises(KnowledgeError, match=re.escape(says)):
        load_from(folder)


@pytest.mark.parametrize(
    ("file", "text", "says"),
    [
        ("sources.toml", "[a]\n", "a: missing title"),
        ("cautions.toml", '[a]\ntitle = "A"\nlines = []\nsource = ""\n', "no lines"),
        ("cautions.toml", '[a]\ntitle = "A"\nlines = ["B"]\nsource = "x"\n', "no such source"),
        ("words.toml", '[[words]]\nlabel = "A"\n', "missing child, meaning"),
        ("nicknames.toml", 'nicknames = ["Otter", "Otter"]\ntank_words = []\n', "twice"),
        ("nicknames.toml", 'nicknames = ["Otter"]\ntank_words = ["Moss"]\n', "no nickname"),
    ],
)
def test_texts_are_checked_too(folder: Path, file: str, text: str, says: str) -> None:
    if file == "sources.toml":
        text += (folder / file).read_text("utf-8")
    (folder / file).write_text(text, "utf-8")
    with pytest.raises(KnowledgeError, match=re.escape(says)):
        load_from(folder)


def test_published_numbers_name_a_source_and_memory_is_marked() -> None:
    for number in load().numbers.values():
        assert number.note
        assert number.basis is not Basis.PUBLISHED or number.source in load().sources
        if "from memory" in number.note.lower():
            assert number.basis is not Basis.PUBLISHED


def test_every_number_knows_its_file_and_unit() -> None:
    assert {f"{n.file}.toml" for n in load().numbers.values()} <= set(NUMBER_FILES)
    assert {n.unit for n in load().numbers.values()} <= UNITS


def test_every_number_is_used_by_some_rule_estimate_or_page() -> None:
    code = " ".join(
        path.read_text("utf-8") for path in HERE.parent.rglob("*.py") if path.parent != HERE
    )
    by_job = {f"care.{routine.key}-days" for routine in ROUTINES}
    by_wait = {step.wait.key for step in load().steps.values() if step.wait}
    unused = [k for k in load().numbers if f'"{k}"' not in code and k not in by_job | by_wait]
    assert unused == []


def test_the_cautions_of_wet_jobs_are_there_and_defer() -> None:
    cautions = load().cautions
    assert set(cautions) == {
        "water_change",
        "siphon",
        "filter",
        "heater",
        "hands",
        "electricity",
        "untreated_water",
        "dead_fish",
        "leaving",
        "treatment",
        "ammonia_bottle",
        "bottles",
        "test_kits",
        "weight",
        "glass",
        "chemicals",
        "allergies",
    }
    said = {key: " ".join(c.lines).lower() for key, c in cautions.items()}
    assert "mouth" in said["siphon"]
    assert "label" in said["treatment"]
    assert "veterinarian" in said["treatment"]
    assert "local rules" in said["water_change"]
    assert "never near bleach" in said["ammonia_bottle"]
    assert "never into a pond" in said["leaving"]
    assert "emergency number" in said["allergies"]
    assert all("safe" not in text for text in said.values())


def test_children_read_short_meanings() -> None:
    for word in load().words:
        for sentence in re.split(r"(?<=[.!?])\s+", word.child):
            assert len(sentence.split()) <= 12, word.label


def test_every_nickname_has_a_picture() -> None:
    drawn = (templates() / "drawings" / "tiles.html").read_text("utf-8")
    pictured = set(re.findall(r"^\s*'([A-Z][a-z]+)':", drawn, re.MULTILINE))
    assert set(load().nicknames) == pictured
