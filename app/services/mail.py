"""Sending a letter by SMTP. Nothing is sent unless whoever runs this names a mail server."""

import smtplib
import ssl
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from email.message import EmailMessage
from email.utils import format_datetime, make_msgid
from pathlib import Path
from typing import Final

from app.domain.errors import Refused

HOST: Final = "SILLPOND_MAIL_HOST"
PORT: Final = "SILLPOND_MAIL_PORT"
TLS: Final = "SILLPOND_MAIL_TLS"
USER: Final = "SILLPOND_MAIL_USER"
PASSPHRASE: Final = "SILLPOND_MAIL_PASSPHRASE"  # noqa: S105  # the name of a setting
PASSPHRASE_FILE: Final = "SILLPOND_MAIL_PASSPHRASE_FILE"  # noqa: S105  # the same
SENDER: Final = "SILLPOND_MAIL_FROM"
_SECONDS: Final = 30
_HERE: Final = frozenset({"localhost", "127.0.0.1", "::1"})
# RFC 8314: submission with STARTTLS, and with TLS from the start
_PORTS: Final = {"starttls": 587, "tls": 465, "none": 25}


class NotSent(Exception):
    """A letter that the mail server did not take; the text says why in one line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MailServer:
    """Where letters are handed in: `tls` is "starttls", "tls" from the start, or "none"."""

    host: str
    port: int
    tls: str
    sender: str
    user: str = ""
    passphrase: str = field(default="", repr=False)


def server_from(environment: Mapping[str, str]) -> MailServer | None:
    """The mail server that the environment names, or None: then nothing is sent.

    Raises:
        Refused: If a setting is missing or cannot be; a passphrase never goes out in the clear.
    """
    host = environment.get(HOST, "").strip()
    if not host:
        return None
    tls = environment.get(TLS, "starttls").strip().lower()
    if tls not in _PORTS:
        raise Refused(f"{TLS} is starttls, tls or none.")
    port = environment.get(PORT, "").strip() or str(_PORTS[tls])
    if not (port.isascii() and port.isdigit() and 0 < int(port) < 65536):
        raise Refused(f"{PORT} is a number from 1 to 65535.")
    sender = environment.get(SENDER, "").strip()
    if "@" not in sender or not sender.isprintable():
        raise Refused(f"{SENDER} is the address that letters come from, such as tank@example.org.")
    server = MailServer(
        host=host,
        port=int(port),
        tls=tls,
        sender=sender,
        user=environment.get(USER, ""),
        passphrase=_passphrase(environment),
    )
    if server.passphrase and tls == "none" and host not in _HERE:
        raise Refused(f"A passphrase goes out over TLS only. Set {TLS} to starttls or tls.")
    return server


def _passphrase(environment: Mapping[str, str]) -> str:
    file = environment.get(PASSPHRASE_FILE, "")
    if not file:
        return environment.get(PASSPHRASE, "")
    try:
        return Path(file).read_text(encoding="utf-8").strip()
    except OSError as error:
        raise Refused(f"{PASSPHRASE_FILE}: {error.strerror}.") from None


def send(server: MailServer, to: str, subject: str, text: str, *, now: datetime) -> None:
    """Hand one letter in.

    Raises:
        NotSent: If the address or subject cannot stand in a head, or the server did not take it.
    """
    try:
        message = _message(server, to, subject, text, now=now)
        with _connected(server) as line:
            if server.user:
                line.login(server.user, server.passphrase)
            line.send_message(message)
    except smtplib.SMTPException as error:
        raise NotSent(_in_one_line(error)) from None
    except (OSError, ValueError) as error:
        raise NotSent(f"{server.host}: {_in_one_line(error)}") from None


def _message(
    server: MailServer, to: str, subject: str, text: str, *, now: datetime
) -> EmailMessage:
    message = EmailMessage()
    # the library refuses line ends in any of these
    message["From"] = server.sender
    message["To"] = to
    message["Subject"] = subject
    message["Date"] = format_datetime(now)
    message["Message-ID"] = make_msgid(domain=server.sender.rsplit("@", 1)[1].strip("> "))
    # RFC 3834: no machine is to answer a machine
    message["Auto-Submitted"] = "auto-generated"
    message.set_content(text)
    return message


def _connected(server: MailServer) -> smtplib.SMTP:
    context = ssl.create_default_context()
    if server.tls == "tls":
        return smtplib.SMTP_SSL(server.host, server.port, timeout=_SECONDS, context=context)
    line = smtplib.SMTP(server.host, server.port, timeout=_SECONDS)
    if server.tls == "starttls":
        try:
            line.starttls(context=context)
        except BaseException:
            line.close()
            raise
    return line


def _in_one_line(error: Exception) -> str:
    """What went wrong, without line ends and without the address."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        code, refused = next(iter(error.recipients.values()))
        return f"{code} {_plain(refused)}".strip()
    if isinstance(error, smtplib.SMTPResponseException):
        return f"{error.smtp_code} {_plain(error.smtp_error)}".strip()
    return _plain(str(error)) or type(error).__name__


def _plain(said: bytes | str) -> str:
    words = said.decode("utf-8", "replace") if isinstance(said, bytes) else said
    return " ".join(words.split())[:200]
