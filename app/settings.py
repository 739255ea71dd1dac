"""Settings of one installation: read once at start, from the environment or the command."""

import os
from dataclasses import dataclass, field
from pathlib import Path

import platformdirs

# ASVS 2.4.1 / 5.2.1: a bound on what one request may carry
MAX_REQUEST_BYTES = 16 * 1024 * 1024


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Where the record lives and how it is served."""

    data_folder: Path
    secret_key: str = field(repr=False)
    behind_tls: bool = False
    trusted_hosts: tuple[str, ...] = ()
    demo: bool = False
    database_url: str = field(default="", repr=False)
    """A PostgreSQL server that holds the record instead of a file; "" for the file."""

    @property
    def database_file(self) -> Path:
        """The file that holds the record."""
        return self.data_folder / "sillpond.sqlite"

    @property
    def copies_folder(self) -> Path:
        """Where the automatic copies made before an upgrade are kept."""
        return self.data_folder / "copies"


def named_database() -> str:
    """The address of the PostgreSQL database that SILLPOND_DATABASE_URL names, or ""."""
    return full_address(os.environ.get("SILLPOND_DATABASE_URL", "").strip())


def full_address(url: str) -> str:
    """The address of a PostgreSQL database with the driver named, which people leave out."""
    for short in ("postgres://", "postgresql://"):
        if url.startswith(short):
            return f"postgresql+psycopg://{url.removeprefix(short)}"
    return url


def user_data_folder() -> Path:
    """The platform's folder for a person's data, or what SILLPOND_DATA names."""
    named = os.environ.get("SILLPOND_DATA")
    return Path(named) if named else Path(platformdirs.user_data_path("sillpond", appauthor=False))
