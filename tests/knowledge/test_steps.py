"""The steps of starting and closing: whole, in order, with the cautions that they need."""

import re
import shutil
from pathlib import Path

import pytest

import app.knowledge
from app.knowledge.load import load, load_from
from app.knowledge.model import Basis, KnowledgeError

HERE = Path(str(app.knowledge.__file__)).parent
LONGEST_KEY = 40
"""What the record keeps of a step's key."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for file in (*HERE.glob("*.toml"), *HERE.glob("*.csv")):
        shutil.copy(file, tmp_path)
    return tmp_path


def refuse(folder: Path, old: str, new: str, says: str) -> None:
    file = folder / "starting.toml"
    text = file.read_text("utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(KnowledgeError, match=re.escape(says)):
        load_from(folder)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('wait = "wait.leak"', 'wait = "wait.forever"', "no such number as 'wait.forever'"),
        ('cautions = ["weight", "glass"]', 'cautions = ["wet"]', "no such caution as 'wet'"),
        ('source = "duty-of-care"', 'source = "hearsay"', "no such source as 'hearsay'"),
        ('source = "duty-of-care"', 'source = ""', "a published step names its source"),
        ('basis = "published"', 'basis = "rumor"', "no such basis as 'rumor'"),
        ('tick = "both are named"', 'tick = ""', "starting.people: tick is empty"),
        ('tick = "both are named"\n', "", "starting.people: missing tick"),
        ("[never]", "[always]", "unknown key always"),
    ],
)
def test_what_is_not_whole_is_refused(folder: Path, old: str, new: str, says: str) -> None:
    refuse(folder, old, new, says)


def test_the_steps_can_be_kept_and_addressed() -> None:
    for key, step in load().steps.items():
        assert key == step.key
        assert len(key) <= LONGEST_KEY
        assert re.fullmatch(r"[a-z]+", step.name)


def test_a_published_step_names_its_source() -> None:
    for step in load().steps.values():
        assert step.basis is not Basis.PUBLISHED or step.source in load().sources


@pytest.mark.parametrize(
    ("step", "cautions"),
    [
        ("starting.place", {"weight", "electricity"}),
        ("starting.leak", {"weight", "glass"}),
        ("starting.plants", {"hands"}),
        ("starting.water", {"untreated_water"}),
        ("starting.filter", {"electricity"}),
        ("starting.heater", {"heater", "electricity"}),
        ("starting.maturing", {"ammonia_bottle"}),
        ("closing.homes", {"leaving"}),
        ("closing.plants", {"leaving"}),
        ("closing.power", {"heater", "electricity"}),
        ("closing.water", {"siphon", "leaving"}),
        ("closing.gear", {"chemicals"}),
        ("closing.glass", {"weight", "glass"}),
    ],
)
def test_what_can_hurt_carries_its_caution(step: str, cautions: set[str]) -> None:
    assert cautions <= set(load().steps[step].cautions)


@pytest.mark.parametrize(
    ("step", "number", "value", "unit"),
    [
        # common practice, no single source: a filled tank stands a day before it is trusted
        ("starting.leak", "wait.leak", 24.0, "h"),
        # an Australian pet industry fact sheet: everything runs seven days before any fish
        ("starting.settle", "wait.settle", 7.0, "days"),
        # University of Florida IFAS Circular 920: three weeks apart at least
        ("starting.apart", "arrivals.apart-days", 21.0, "days"),
        # common practice: two weeks between batches
        ("starting.first", "arrivals.many-days", 14.0, "days"),
    ],
)
def test_waits_are_those_of_the_sources(step: str, number: str, value: float, unit: str) -> None:
    wait = load().steps[step].wait
    assert wait is not None
    assert (wait.key, wait.value, wait.unit) == (number, value, unit)


def test_nothing_is_ever_let_go_outdoors() -> None:
    """Pennsylvania Sea Grant 2014: no fish, plants, snails, water or sand to pond or stream."""
    said = " ".join(load().steps["closing.homes"].lines + load().steps["closing.water"].lines)
    assert "Nothing is ever let go outdoors" in said
    assert "pond, a stream or a storm drain" in said


def test_a_class_reads_that_a_welfare_society_advises_against_it() -> None:
    """RSPCA, Education and animals: it strongly discourages keeping animals in schools."""
    advice = load().advice["class"]
    assert "strongly discourages animals in schools" in " ".join(advice.lines)
    assert advice.source == "rspca-education"
