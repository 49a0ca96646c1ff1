"""The service under test: an application on a database, with a token per role."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Generator, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from werkzeug.datastructures import Headers
from werkzeug.test import TestResponse

from bomsvc.app import app_on, open_desk
from bomsvc.config import Settings
from bomsvc.service.desk import Acting, Desk
from bomsvc.service.permissions import ROLES, local_principal
from bomsvc.service.tokens import TokenWish, create_token
from tests.contract.sample import whimbrel

V1 = "/api/v1"
LOCAL = Acting(local_principal("tester"))


@dataclass(frozen=True)
class Answer:
    """A reply; `json` is its body read, None where it is none."""

    response: TestResponse
    json: Any

    @property
    def status_code(self) -> int:
        return self.response.status_code

    @property
    def headers(self) -> Headers:
        return self.response.headers

    @property
    def text(self) -> str:
        return self.response.text

    @property
    def data(self) -> bytes:
        return bytes(self.response.data)

    @property
    def mimetype(self) -> str:
        return self.response.mimetype or ""


def answer_of(response: TestResponse) -> Answer:
    is_json = response.mimetype in ("application/json", "application/problem+json")
    body = json.loads(response.data) if is_json and response.data else None
    return Answer(response, body)


@dataclass
class SteppingClock:
    """A clock that moves only when told."""

    now: datetime = datetime(2026, 3, 2, 8, 15, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def forward(self, **span: float) -> None:
        self.now += timedelta(**span)


@dataclass
class Face:
    """The REST face, spoken to as one role or another."""

    app: Flask
    desk: Desk
    clock: SteppingClock
    settings: Settings
    seconds: list[float]
    secrets: dict[str, str] = field(default_factory=dict)

    def secret(self, role: str) -> str:
        """Return the secret of a token with this role."""
        if role not in self.secrets:
            with self.desk.store.write() as uow:
                wish = TokenWish(name=role, roles=(role,))
                _token, secret = create_token(self.desk, uow, LOCAL, wish)
                uow.commit()
            self.secrets[role] = secret
        return self.secrets[role]

    def ask(
        self,
        method: str,
        path: str,
        *,
        role: str | None = "admin",
        headers: dict[str, str] | None = None,
        **more: Any,
    ) -> Answer:
        """Send a request; paths without a leading /api are below /api/v1."""
        sent = dict(headers or {})
        if role is not None:
            sent["Authorization"] = f"Bearer {self.secret(role)}"
        url = path if path.startswith("/api") else V1 + path
        client = self.app.test_client()
        return answer_of(client.open(url, method=method, headers=sent, **more))

    def root(self, path: str) -> Answer:
        """Get a path at the root, without a token."""
        return answer_of(self.app.test_client().get(path))

    def get(self, path: str, **more: Any) -> Answer:
        return self.ask("GET", path, **more)

    def post(self, path: str, body: object = None, **more: Any) -> Answer:
        if body is not None:
            more["json"] = body
        return self.ask("POST", path, **more)

    def publish(self, document: dict[str, Any] | None = None) -> int:
        """Load and publish a document and return its number."""
        document = document or whimbrel()
        family = document["family"]["code"]
        made = self.post(f"/families/{family}/revisions", document)
        assert made.status_code == 201, made.text
        number = int(made.json["revision"]["number"])
        done = self.post(f"/families/{family}/revisions/{number}/publish")
        assert done.status_code == 200, done.text
        return number


def make_face(url: str, **settings: Any) -> Generator[Face, None, None]:
    clock, seconds = SteppingClock(), [0.0]
    chosen = dataclasses.replace(Settings(home=Path(), database_url=url), **settings)
    ports = open_desk(chosen, clock=clock)
    app = app_on(ports.desk, chosen, seconds=lambda: seconds[0])
    yield Face(app, ports.desk, clock, chosen, seconds)
    ports.close()


@pytest.fixture
def face(sqlite_url: str) -> Iterator[Face]:
    """The face on an empty SQLite database."""
    yield from make_face(sqlite_url)


@pytest.fixture
def any_face(database_url: str) -> Iterator[Face]:
    """The face on an empty database of each kind."""
    yield from make_face(database_url)


@pytest.fixture
def ready(face: Face) -> Face:
    """The face with the sample family published."""
    face.publish()
    return face


ROLE_NAMES = tuple(ROLES)
