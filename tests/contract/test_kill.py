"""A served database under kill -9: what was acknowledged is there, whole, once.

Writers send engines with idempotency keys to a real server; the server is killed in
the middle, started again, and every request is sent again. Kills do not show that
commits are synced to the disk (they would survive without it); that the database
is opened with `synchronous=FULL` is tested where it is opened.
"""

from __future__ import annotations

import http.client
import json
import os
import random
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from bomsvc.app import open_desk
from bomsvc.config import Settings
from bomsvc.db.check import check_database
from bomsvc.intake.document import read_document
from bomsvc.service.catalogues import create_draft, publish
from bomsvc.service.tokens import TokenWish, create_token
from tests.contract.faces import LOCAL
from tests.contract.sample import whimbrel

WRITERS = 4
ANSWERED_FIRST = 5


@dataclass
class Acknowledged:
    """What clients were told, by serial."""

    replies: dict[str, tuple[int, bytes]] = field(default_factory=dict)
    guard: threading.Lock = field(default_factory=threading.Lock)


def prepare(url: str) -> str:
    """Publish the sample family and return a token's secret."""
    ports = open_desk(Settings(home=Path(), database_url=url))
    catalogue = read_document(json.dumps(whimbrel()), "json")
    with ports.desk.store.write() as uow:
        create_draft(ports.desk, uow, LOCAL, family="whimbrel", catalogue=catalogue)
        publish(ports.desk, uow, LOCAL, family="whimbrel", number=1)
        wish = TokenWish(name="writer", roles=("admin",))
        _token, secret = create_token(ports.desk, uow, LOCAL, wish)
        uow.commit()
    ports.close()
    return secret


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def served(url: str) -> Iterator[tuple[int, subprocess.Popen[bytes]]]:
    """Serve the database and give the port and the process."""
    port = free_port()
    environment = {**os.environ, "BOMSVC_DATABASE_URL": url}
    words = [sys.executable, "-c", "from bomsvc.cli import main; main()", "serve"]
    process = subprocess.Popen(
        [*words, "--bind", f"127.0.0.1:{port}"],
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        wait_until_ready(port)
        yield port, process
    finally:
        process.kill()
        process.wait(10)


def wait_until_ready(port: int) -> None:
    for _ in range(600):
        try:
            connection = http.client.HTTPConnection("127.0.0.1", port, timeout=2)
            connection.request("GET", "/ready")
            if connection.getresponse().status == 200:
                return
        except OSError:
            pass
        finally:
            connection.close()
        time.sleep(0.1)
    pytest.fail("the server did not become ready")


def send(port: int, secret: str, serial: str) -> tuple[int, bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    try:
        connection.request(
            "POST",
            "/api/v1/engines",
            body=json.dumps({"family": "whimbrel", "serial": serial}),
            headers={
                "Authorization": f"Bearer {secret}",
                "Content-Type": "application/json",
                "Idempotency-Key": f"key-{serial}",
            },
        )
        reply = connection.getresponse()
        return reply.status, reply.read()
    finally:
        connection.close()


def write_until_killed(
    port: int, secret: str, serials: Iterator[str], told: Acknowledged, sent: list[str]
) -> None:
    while True:
        with told.guard:
            serial = next(serials)
            sent.append(serial)
        try:
            reply = send(port, secret, serial)
        except (OSError, http.client.HTTPException):
            return
        with told.guard:
            told.replies[serial] = reply


def wait_for_replies(told: Acknowledged, count: int) -> None:
    for _ in range(3_000):
        if len(told.replies) >= count:
            return
        time.sleep(0.01)
    pytest.fail("the server answers too slowly")


def one_round(
    url: str, secret: str, serials: Iterator[str], told: Acknowledged, seconds: float
) -> list[str]:
    """Write until the server is killed, and return every serial sent."""
    sent: list[str] = []
    before = len(told.replies)
    with served(url) as (port, process):
        threads = [
            threading.Thread(
                target=write_until_killed, args=(port, secret, serials, told, sent)
            )
            for _ in range(WRITERS)
        ]
        for thread in threads:
            thread.start()
        # A slow machine gets its time to answer at all before the kill.
        wait_for_replies(told, before + ANSWERED_FIRST)
        time.sleep(seconds)
        process.send_signal(signal.SIGKILL)
        for thread in threads:
            thread.join(30)
    return sent


def settle(url: str, secret: str, sent: list[str], told: Acknowledged) -> None:
    """Send everything again and hold the replies against those before."""
    with served(url) as (port, _process):
        for serial in sent:
            again = send(port, secret, serial)
            assert again[0] == 201, again
            assert told.replies.setdefault(serial, again) == again
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
        headers = {"Authorization": f"Bearer {secret}"}
        found: list[str] = []
        url_path: str | None = "/api/v1/engines?limit=200"
        while url_path:
            connection.request("GET", url_path, headers=headers)
            page = connection.getresponse()
            items = json.loads(page.read())["items"]
            found += [item["serial"] for item in items]
            link = page.headers.get("Link")
            url_path = link.partition(">")[0].strip("<") if link else None
        connection.close()
    assert sorted(found) == sorted(told.replies), "each engine is there, once"


def storm(url: str, *, kills: int, seed: int) -> int:
    """Kill `kills` times and return how many requests were acknowledged."""
    secret = prepare(url)
    chance = random.Random(seed)  # noqa: S311
    serials = (f"N{number}" for number in range(300_000, 999_999))
    told, sent = Acknowledged(), list[str]()
    for _ in range(kills):
        seconds = chance.uniform(0.0, 0.6)
        sent += one_round(url, secret, serials, told, seconds)
    acknowledged = len(told.replies)
    settle(url, secret, sent, told)
    checked = check_database(url)
    assert checked.broken == []
    return acknowledged


def test_kills_lose_nothing_that_was_acknowledged(database_url: str) -> None:
    assert storm(database_url, kills=2, seed=7) >= 2 * ANSWERED_FIRST


@pytest.mark.long
def test_a_hundred_kills_lose_nothing_that_was_acknowledged(database_url: str) -> None:
    assert storm(database_url, kills=100, seed=11) > 1_000
