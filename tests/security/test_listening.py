"""What reaches out is heard: a silent ear proves nothing."""

import socket
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress

import pytest

from tests.security.listening import listening

# 192.0.2.0/24 is kept for documentation (RFC 5737): nobody is there
NOBODY = ("192.0.2.1", 9)


def call() -> None:
    with socket.socket() as line:
        line.settimeout(0.01)
        line.connect(NOBODY)


def send() -> None:
    with socket.socket(type=socket.SOCK_DGRAM) as line:
        line.sendto(b"", NOBODY)


def start_a_program() -> None:
    subprocess.run([sys.executable, "--version"], check=True, capture_output=True)


@pytest.mark.parametrize("reach", [call, send, start_a_program])
def test_reaching_out_is_heard(reach: Callable[[], None]) -> None:
    with listening() as heard, suppress(OSError):
        reach()
    assert heard
    with listening() as again:
        pass
    assert again == []
