"""Kinds of kits and the checks against the outside: whole, or refused."""

import re
import shutil
from pathlib import Path

import pytest

import app.knowledge
from app.domain.quantities import Quantity
from app.knowledge.load import load, load_from
from app.knowledge.model import KnowledgeError

HERE = Path(str(app.knowledge.__file__)).parent
KIT = """
[a]
reads = ["ph"]
way = "card"
title = "T"
basis_note = "B"
keeps = "K"
steps = [{ text = "Fill.", wait_s = 0 }]
"""
CHECK = """
[[checks]]
what = "W"
against = "A"
range = "R"
difference = "0.1 %"
allowed = "0.5 %"
source = "S"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for file in (*HERE.glob("*.toml"), *HERE.glob("*.csv")):
        shutil.copy(file, tmp_path)
    return tmp_path


def test_there_is_a_kit_for_all_that_is_usually_tested() -> None:
    measured = {quantity for kit in load().kits.values() for quantity in kit.reads}
    assert measured >= {
        Quantity.AMMONIA,
        Quantity.NITRITE,
        Quantity.NITRATE,
        Quantity.PH,
        Quantity.KH,
        Quantity.GH,
        Quantity.CHLORINE,
        Quantity.TEMPERATURE,
    }


def test_drops_defer_to_label_and_sheet_and_hands_are_washed() -> None:
    for kit in load().kits.values():
        said = " ".join(step.text for step in kit.steps)
        if kit.key.endswith("_drops"):
            assert "sheet" in said or "line" in said, kit.key
            assert "Wash hands." in said, kit.key
        if "burn" in said:
            assert "label" in said, kit.key


def test_the_basis_that_counts_most_is_said() -> None:
    kits = load().kits
    assert "as N" in kits["ammonia_drops"].basis_note
    # 62.0 / 14.0 = 4.43 and 46.0 / 14.0 = 3.29, molar masses of ion and nitrogen
    assert "4.4 as nitrate" in kits["nitrate_drops"].basis_note
    assert "3.3 as nitrite" in kits["nitrite_drops"].basis_note
    # 17.848 mg/L as CaCO3 is one German degree (10 mg/L CaO)
    assert "17.8 mg/L as CaCO3" in kits["kh_drops"].basis_note


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (KIT.replace('"ph"', '"salt"'), "a: no such quantity as 'salt'"),
        (KIT.replace('"card"', '"nose"'), "a: no such way as 'nose'"),
        (KIT.replace('["ph"]', "[]"), "a: reads is empty"),
        (KIT.replace('"B"', '""'), "a: basis_note is empty"),
        (KIT.replace('[{ text = "Fill.", wait_s = 0 }]', "[]"), "a: steps is empty"),
        (KIT.replace("wait_s = 0", "wait_s = -1"), "wait_s must be 0 to 3600 seconds"),
        (KIT.replace("wait_s = 0", "wait_s = 3601"), "wait_s must be 0 to 3600 seconds"),
        (KIT.replace("wait_s = 0", 'wait_s = "5"'), "wait_s must be 0 to 3600 seconds"),
        (KIT.replace('"Fill."', '""'), "a step without words"),
        (KIT.replace("keeps", "shelf"), "unknown key shelf"),
    ],
)
def test_a_kit_that_is_not_whole_is_refused(folder: Path, text: str, says: str) -> None:
    (folder / "kits.toml").write_text(text, "utf-8")
    with pytest.raises(KnowledgeError, match=f"kits.toml: .*{re.escape(says)}"):
        load_from(folder)


def test_the_longest_wait_is_an_hour(folder: Path) -> None:
    (folder / "kits.toml").write_text(KIT.replace("wait_s = 0", "wait_s = 3600"), "utf-8")
    assert load_from(folder).kits["a"].steps[0].wait_s == 3600


def test_a_check_is_read_as_written(folder: Path) -> None:
    (folder / "checks.toml").write_text(CHECK, "utf-8")
    (found,) = load_from(folder).checks
    assert (found.what, found.against, found.difference) == ("W", "A", "0.1 %")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (CHECK.replace('"S"', '""'), "W: source is empty"),
        (CHECK.replace("range", "reach"), "unknown key reach"),
        (CHECK.replace('source = "S"', ""), "missing source"),
        ("checks = []", "no checks"),
    ],
)
def test_a_check_that_is_not_whole_is_refused(folder: Path, text: str, says: str) -> None:
    (folder / "checks.toml").write_text(text, "utf-8")
    with pytest.raises(KnowledgeError, match=f"checks.toml: .*{re.escape(says)}"):
        load_from(folder)
