"""A served fleet asks nobody outside the machine; copies to practise on do not pile up."""

import fcntl
import http.client
import os
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, expect

from pages._shared import practice
from tests.browser.serving import serving

WATCH = """
import sys
def note(event, arguments):
    if event in ("socket.connect", "socket.getaddrinfo", "socket.gethostbyname", "socket.sendto"):
        said = arguments[1:] if event == "socket.connect" else arguments
        with open({file!r}, "a") as notes:
            notes.write(f"{{event}} {{said}}\\n")
sys.addaudithook(note)
"""


def _from_abroad(address: str, origin: str) -> int:
    """Knock as a page of another site does; returns the status."""
    host = urlsplit(address).netloc
    knock = http.client.HTTPConnection(host, timeout=30)
    knock.putrequest("GET", "/_stcore/stream")
    for name, value in {
        "Connection": "Upgrade",
        "Upgrade": "websocket",
        "Origin": origin,
        "Sec-WebSocket-Version": "13",
        "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ==",
    }.items():
        knock.putheader(name, value)
    knock.endheaders()
    status = knock.getresponse().status
    knock.close()
    return status


def test_a_foreign_origin_is_refused_without_a_word_to_the_outside(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    notes = tmp_path / "notes.txt"
    notes.touch()
    (tmp_path / "sitecustomize.py").write_text(WATCH.format(file=str(notes)))
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    with serving() as server:
        assert _from_abroad(server.address, "http://evil.example") == 403
        assert _from_abroad(server.address, server.address) == 101
    outside = [
        line for line in notes.read_text().splitlines()
        if not any(near in line for near in ("127.0.0.1", "localhost", "::1"))
    ]  # fmt: skip
    assert not outside


def test_a_copy_to_practise_on_goes_with_its_session_and_a_left_one_at_the_next_start(
    browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    left = tmp_path / f"{practice.PREFIX}left"
    (left / "1-x" / "logs").mkdir(parents=True)
    os.utime(left, (time.time() - 3600,) * 2)
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setenv("STREAMLIT_SERVER_DISCONNECTED_SESSION_TTL", "1")
    with serving() as server:
        for _visitor in range(2):
            with browser.new_page() as tab:
                tab.goto(f"{server.address}/log_book")
                tab.get_by_role("button", name="Practise on a copy").click()
                expect(tab.get_by_text("a copy to practise on")).to_be_visible(timeout=60_000)
                (own,) = tmp_path.glob(f"{practice.PREFIX}*/")
                assert own != left, "what a killed server left is gone"
                newest = max(own.iterdir(), key=lambda copy: copy.stat().st_mtime_ns)
                assert (newest / "logs" / "hulls").exists()
        _wait_until(lambda: len(list(own.iterdir())) <= 1)


def _wait_until(fact: Callable[[], bool], longest_s: float = 60.0) -> None:
    end = time.monotonic() + longest_s
    while not fact():
        assert time.monotonic() < end
        time.sleep(0.2)


def test_copies_of_a_server_that_runs_are_not_taken_for_left_ones(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    held, left, young = (tmp_path / f"{practice.PREFIX}{name}" for name in ("a", "b", "c"))
    for copies in (held, left, young):
        (copies / "1-x").mkdir(parents=True)
    for copies in (held, left):
        os.utime(copies, (time.time() - 3600,) * 2)
    (tmp_path / f"{practice.PREFIX}link").symlink_to("/usr")
    handle = os.open(held, os.O_RDONLY)
    fcntl.flock(handle, fcntl.LOCK_EX)
    try:
        practice.remove_left_copies()
    finally:
        os.close(handle)
    assert (held.exists(), left.exists(), young.exists()) == (True, False, True)
