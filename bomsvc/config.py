"""Settings: read once from the environment, frozen, with errors that say what to do.

Every setting has a default that is right for one shop on one computer. `SETTINGS`
lists them all; the documentation and the tests walk that tuple.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from bomsvc.core.terms.problems import BadInput, Problem

MEBIBYTE = 1024 * 1024
LOOPBACK_HOSTS = ("127.0.0.1", "localhost", "[::1]", "::1")
HIGHEST_PORT = 65535
YES = ("yes", "true", "1", "on")
NO = ("no", "false", "0", "off", "")


@dataclass(frozen=True, slots=True)
class Setting:
    """One environment variable: its name, its default as text, what it does."""

    name: str
    default: str
    meaning: str


SETTINGS = (
    Setting(
        "BOMSVC_HOME",
        "the user's data folder",
        "Folder for the embedded database and files of this installation.",
    ),
    Setting(
        "BOMSVC_DATABASE_URL",
        "SQLite under BOMSVC_HOME",
        "sqlite:///PATH or postgresql://USER@HOST/NAME.",
    ),
    Setting("BOMSVC_BIND", "127.0.0.1:8000", "Address and port to serve on."),
    Setting(
        "BOMSVC_ALLOW_REMOTE",
        "no",
        "yes: allow an address other than this machine's own (put TLS before it).",
    ),
    Setting(
        "BOMSVC_HOSTS",
        "the bound address and this machine's own names",
        "Comma-separated host names a request may ask for.",
    ),
    Setting(
        "BOMSVC_MAX_DOCUMENT_MIB", "64", "Largest catalogue document taken, in MiB."
    ),
    Setting("BOMSVC_MAX_BODY_KIB", "1024", "Largest other request body, in KiB."),
    Setting(
        "BOMSVC_RATE_PER_MINUTE",
        "60000",
        "Requests one token may make in a minute; 0 is no limit.",
    ),
    Setting(
        "BOMSVC_REFUSED_PER_MINUTE",
        "300",
        "Requests without a good token that one address may make in a minute.",
    ),
    Setting(
        "BOMSVC_SECOND_PERSON",
        "no",
        "yes: whoever changed a draft last may not publish it.",
    ),
)


@dataclass(frozen=True, slots=True)
class Settings:
    """What the service runs with. Sizes in bytes, rates in requests per minute."""

    home: Path
    database_url: str
    bind_host: str = "127.0.0.1"
    bind_port: int = 8000
    allow_remote: bool = False
    hosts: tuple[str, ...] = LOOPBACK_HOSTS
    max_document_bytes: int = 64 * MEBIBYTE
    max_body_bytes: int = MEBIBYTE
    rate_per_minute: int = 60_000
    refused_per_minute: int = 300
    second_person: bool = False


def settings_from(environment: Mapping[str, str]) -> Settings:
    """Read the settings, all problems at once.

    Args:
        environment: Names and texts, as `os.environ`.

    Raises:
        BadInput: A value cannot be used; the pointer is the variable's name.
    """
    reader = _Reader(environment)
    home = reader.folder("BOMSVC_HOME")
    host, port = reader.address("BOMSVC_BIND", "127.0.0.1:8000")
    settings = Settings(
        home=home,
        database_url=reader.database_url("BOMSVC_DATABASE_URL", home),
        bind_host=host,
        bind_port=port,
        allow_remote=reader.yes_or_no("BOMSVC_ALLOW_REMOTE"),
        hosts=reader.hosts("BOMSVC_HOSTS", host),
        max_document_bytes=reader.whole("BOMSVC_MAX_DOCUMENT_MIB", 64, 1) * MEBIBYTE,
        max_body_bytes=reader.whole("BOMSVC_MAX_BODY_KIB", 1024, 1) * 1024,
        rate_per_minute=reader.whole("BOMSVC_RATE_PER_MINUTE", 60_000, 0),
        refused_per_minute=reader.whole("BOMSVC_REFUSED_PER_MINUTE", 300, 1),
        second_person=reader.yes_or_no("BOMSVC_SECOND_PERSON"),
    )
    reader.refuse_remote(settings)
    reader.finish()
    return settings


def user_data_folder(environment: Mapping[str, str]) -> Path:
    """Return the data folder of the user: XDG, or the platform's own place."""
    if local := environment.get("LOCALAPPDATA"):
        return Path(local) / "bomsvc"
    if data := environment.get("XDG_DATA_HOME"):
        return Path(data) / "bomsvc"
    return Path(environment.get("HOME") or Path.home()) / ".local" / "share" / "bomsvc"


def current_settings() -> Settings:
    """Read the settings of this process's environment."""
    return settings_from(os.environ)


class _Reader:
    """Reads variables one by one and keeps every problem."""

    def __init__(self, environment: Mapping[str, str]) -> None:
        self._environment = environment
        self._problems: list[Problem] = []

    def _text(self, name: str) -> str:
        return self._environment.get(name, "").strip()

    def _refuse(self, name: str, detail: str, remedy: str) -> None:
        self._problems.append(
            Problem(pointer=name, detail=detail, code="setting", remedy=remedy)
        )

    def finish(self) -> None:
        if self._problems:
            raise BadInput(self._problems)

    def folder(self, name: str) -> Path:
        text = self._text(name)
        return Path(text).expanduser() if text else user_data_folder(self._environment)

    def database_url(self, name: str, home: Path) -> str:
        text = self._text(name)
        if not text:
            return f"sqlite:///{home / 'bomsvc.sqlite3'}"
        if text.startswith(("sqlite:///", "postgresql://", "postgresql+psycopg://")):
            return text
        # The URL may hold a password, so only its scheme is repeated.
        scheme = text.split(":", 1)[0]
        self._refuse(
            name,
            f"The database scheme '{scheme}' is not known.",
            "Use sqlite:///PATH or postgresql://USER@HOST/NAME.",
        )
        return text

    def address(self, name: str, default: str) -> tuple[str, int]:
        text = self._text(name) or default
        host, colon, port = text.rpartition(":")
        good = port.isascii() and port.isdigit() and int(port) <= HIGHEST_PORT
        if not (colon and host and good):
            self._refuse(
                name, f"'{text}' is not an address with a port.", f"Write {default}."
            )
            return "127.0.0.1", 0
        return host, int(port)

    def whole(self, name: str, default: int, least: int) -> int:
        text = self._text(name)
        if not text:
            return default
        # Nine digits are far above every sensible limit and below every overflow.
        if text.isascii() and text.isdigit() and len(text) <= 9:  # noqa: PLR2004
            number = int(text)
            if number >= least:
                return number
        self._refuse(
            name,
            f"'{text}' is not a whole number of at least {least}.",
            f"Leave it out for {default}.",
        )
        return default

    def yes_or_no(self, name: str) -> bool:
        text = self._text(name).lower()
        if text in YES:
            return True
        if text not in NO:
            self._refuse(name, f"'{text}' is neither yes nor no.", "Write yes or no.")
        return False

    def hosts(self, name: str, bound: str) -> tuple[str, ...]:
        listed = tuple(h.strip() for h in self._text(name).split(",") if h.strip())
        return tuple(dict.fromkeys((*listed, bound, *LOOPBACK_HOSTS)))

    def refuse_remote(self, settings: Settings) -> None:
        if settings.bind_host in LOOPBACK_HOSTS or settings.allow_remote:
            return
        self._refuse(
            "BOMSVC_BIND",
            f"{settings.bind_host} can be reached from other machines.",
            "Bind 127.0.0.1, or set BOMSVC_ALLOW_REMOTE=yes behind a TLS proxy.",
        )
