"""The set-up of matplotlib: once, and never dependent on a folder that cannot be written."""

import os
from pathlib import Path

import matplotlib as mpl
import platformdirs
import pytest

from app.charts import style


def test_the_font_folder_is_the_cache_of_the_person(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(platformdirs, "user_cache_path", lambda *_, **__: tmp_path / "sillpond")
    assert style._font_folder() == tmp_path / "sillpond" / "charts"


def test_without_a_cache_folder_a_temporary_one_serves(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("no folder can be made in here")
    monkeypatch.setattr(platformdirs, "user_cache_path", lambda *_, **__: blocked)
    folder = style._font_folder()
    assert folder != blocked / "charts"
    assert os.access(folder, os.W_OK)
    folder.rmdir()


def test_warming_up_sets_what_equal_bytes_need() -> None:
    style.warm_up()
    assert mpl.rcParams["svg.fonttype"] == "none"
    assert mpl.rcParams["svg.hashsalt"] == "sillpond"
    assert mpl.rcParams["text.parse_math"] is False
