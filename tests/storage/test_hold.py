"""One server a record: the second one is told where the first one is."""

import re
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from app.domain.errors import Conflict
from app.storage import hold


def test_a_second_holder_is_refused_and_told_the_note_of_the_first(tmp_path: Path) -> None:
    lock = tmp_path / "lock"
    with hold.held(lock) as first:
        first.say("http://127.0.0.1:1/")
        with pytest.raises(Conflict, match=re.escape("http://127.0.0.1:1/")), hold.held(lock):
            pass
        assert hold.holder(lock) == "http://127.0.0.1:1/"


def test_a_lock_given_back_can_be_taken_again_and_its_note_is_gone(tmp_path: Path) -> None:
    lock = tmp_path / "lock"
    with hold.held(lock) as first:
        first.say("somewhere")
    assert hold.holder(lock) is None
    with hold.held(lock):
        assert hold.holder(lock) == ""


def test_nobody_holds_a_lock_that_was_never_taken(tmp_path: Path) -> None:
    assert hold.holder(tmp_path / "lock") is None


def test_the_lock_of_a_process_that_was_killed_is_free(tmp_path: Path) -> None:
    lock = tmp_path / "lock"
    code = textwrap.dedent(
        """
        import os, sys
        from pathlib import Path
        from app.storage import hold
        with hold.held(Path(sys.argv[1])) as mine:
            mine.say("gone")
            os._exit(9)
        """
    )
    ended = subprocess.run([sys.executable, "-c", code, str(lock)], check=False)
    assert ended.returncode == 9
    assert hold.holder(lock) is None
