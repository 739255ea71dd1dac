"""Handing letters in by SMTP: over TLS with a passphrase, one recipient, no smuggled heads."""

import smtplib
import socket
import ssl
import threading
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from email import message_from_bytes, policy
from pathlib import Path
from typing import Self

import pytest

from app.domain.errors import Refused
from app.services import mail
from app.services.mail import MailServer, NotSent

NOW = datetime(2027, 2, 8, 13, 41, tzinfo=UTC)


class Post:
    """A mail server that takes one letter and keeps what was said to it (RFC 5321)."""

    def __init__(self, refuses: str = "") -> None:
        self._door = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._door.getsockname()[1])
        self.said: list[str] = []
        self.letter = b""
        self._refuses = refuses
        self._thread = threading.Thread(target=self._serve, daemon=True)
        self._thread.start()

    def _serve(self) -> None:
        try:
            line, _ = self._door.accept()
        except OSError:
            return
        with line, line.makefile("rb") as heard:
            line.sendall(b"220 here\r\n")
            for said in heard:
                command = said.decode().strip().upper()
                self.said.append(command)
                if self._refuses and command.startswith(self._refuses):
                    line.sendall(b"550-nobody\r\n550 of that name\r\n")
                elif command == "DATA":
                    line.sendall(b"354 go on\r\n")
                    for part in heard:
                        if part == b".\r\n":
                            break
                        self.letter += part
                    line.sendall(b"250 taken\r\n")
                elif command == "QUIT":
                    line.sendall(b"221 bye\r\n")
                    return
                else:
                    line.sendall(b"250 ok\r\n")

    def close(self) -> None:
        self._door.close()
        self._thread.join(5)


@pytest.fixture
def post() -> Iterator[Post]:
    with closing(Post()) as post:
        yield post


def here(port: int) -> MailServer:
    return MailServer(host="127.0.0.1", port=port, tls="none", sender="Tank <tank@example.org>")


def test_a_letter_arrives_as_it_was_written(post: Post) -> None:
    mail.send(here(post.port), "ann@example.org", "Sillpond: due", "25 °C\n.\nend\n", now=NOW)
    post.close()

    found = message_from_bytes(post.letter, policy=policy.default)
    assert (found["To"], found["Subject"]) == ("ann@example.org", "Sillpond: due")
    assert found["Date"] == "Mon, 08 Feb 2027 13:41:00 +0000"
    assert found["Auto-Submitted"] == "auto-generated"
    assert found["Message-ID"].endswith("@example.org>")
    # a dot alone would end it
    assert "end" in found.get_content()
    assert "25 °C" in found.get_content()
    assert post.said[1].startswith("MAIL FROM:<TANK@EXAMPLE.ORG>")
    assert post.said[2] == "RCPT TO:<ANN@EXAMPLE.ORG>"


@pytest.mark.parametrize(
    ("to", "subject"),
    [
        ("ann@example.org\r\nBcc: bo@example.org", "x"),
        ("ann@example.org\nBcc: bo@example.org", "x"),
        ("ann@example.org", "x\r\nBcc: bo@example.org"),
        ("ann@example.org", "x\n\nBuy this"),
    ],
)
def test_no_line_end_gets_into_a_head(to: str, subject: str) -> None:
    with pytest.raises(NotSent):
        mail.send(here(1), to, subject, "text", now=NOW)


def test_what_the_server_says_comes_back_in_one_line() -> None:
    with closing(Post(refuses="RCPT")) as post, pytest.raises(NotSent) as told:
        mail.send(here(post.port), "ann@example.org", "x", "text", now=NOW)

    assert str(told.value) == "550 nobody of that name"


def test_a_server_that_is_not_there_is_told() -> None:
    with socket.create_server(("127.0.0.1", 0)) as door:
        port = door.getsockname()[1]
    with pytest.raises(NotSent, match=r"127\.0\.0\.1: "):
        mail.send(here(port), "ann@example.org", "x", "text", now=NOW)


def test_without_tls_at_the_other_end_no_passphrase_is_told(post: Post) -> None:
    server = MailServer(
        host="127.0.0.1", port=post.port, tls="starttls", sender="tank@example.org",
        user="tank", passphrase="four tall willow trees",
    )  # fmt: skip
    with pytest.raises(NotSent):
        mail.send(server, "ann@example.org", "x", "text", now=NOW)
    post.close()

    assert not any("AUTH" in said for said in post.said)


@pytest.mark.parametrize("tls", ["starttls", "tls"])
def test_the_certificate_of_the_server_is_looked_at(
    monkeypatch: pytest.MonkeyPatch, tls: str
) -> None:
    said: list[object] = []

    class Line:
        def __init__(self, host: str, port: int, **more: object) -> None:
            said.append((host, port))
            self._see(more)

        def _see(self, more: dict[str, object]) -> None:
            context = more.get("context")
            if isinstance(context, ssl.SSLContext):
                said.append((context.check_hostname, context.verify_mode))

        def starttls(self, **more: object) -> None:
            self._see(more)

        def login(self, user: str, passphrase: str) -> None:
            said.append((user, passphrase))

        def send_message(self, message: object) -> None:
            said.append("sent")

        def __enter__(self) -> Self:
            return self

        def __exit__(self, *_: object) -> None:
            pass

    monkeypatch.setattr(smtplib, "SMTP", Line)
    monkeypatch.setattr(smtplib, "SMTP_SSL", Line)
    server = MailServer(
        host="mail.example.org", port=587, tls=tls, sender="tank@example.org", user="t",
        passphrase="p",
    )  # fmt: skip

    mail.send(server, "ann@example.org", "x", "text", now=NOW)

    assert said == [
        ("mail.example.org", 587), (True, ssl.CERT_REQUIRED), ("t", "p"), "sent",
    ]  # fmt: skip


# settings


GIVEN = {mail.HOST: "mail.example.org", mail.SENDER: "tank@example.org"}


def test_without_a_host_nothing_is_sent() -> None:
    assert mail.server_from({}) is None


@pytest.mark.parametrize(
    ("more", "tls", "port"),
    [
        ({}, "starttls", 587),
        ({mail.TLS: "TLS"}, "tls", 465),
        ({mail.TLS: "none"}, "none", 25),
        ({mail.PORT: "2525"}, "starttls", 2525),
    ],
)
def test_the_usual_ports_are_known(more: dict[str, str], tls: str, port: int) -> None:
    server = mail.server_from(GIVEN | more)

    assert server is not None
    assert (server.tls, server.port) == (tls, port)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({mail.TLS: "ssl"}, "starttls, tls or none"),
        ({mail.PORT: "70000"}, "1 to 65535"),
        ({mail.PORT: "５８７"}, "1 to 65535"),
        ({mail.SENDER: ""}, "letters come from"),
        ({mail.SENDER: "tank@example.org\nBcc: bo@example.org"}, "letters come from"),
        ({mail.TLS: "none", mail.PASSPHRASE: "secret"}, "over TLS only"),
        ({mail.PASSPHRASE_FILE: "/there/is/none"}, "No such file"),
    ],
)
def test_settings_that_cannot_be_are_told(more: dict[str, str], said: str) -> None:
    with pytest.raises(Refused, match=said):
        mail.server_from(GIVEN | more)


def test_the_passphrase_may_lie_in_a_file_and_is_never_shown(tmp_path: Path) -> None:
    file = tmp_path / "passphrase"
    file.write_text("four tall willow trees\n", encoding="utf-8")

    server = mail.server_from(GIVEN | {mail.PASSPHRASE_FILE: str(file)})

    assert server is not None
    assert server.passphrase == "four tall willow trees"
    assert "willow" not in repr(server)
