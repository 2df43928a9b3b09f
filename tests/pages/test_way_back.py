"""Who asked for a page before signing in is led to it after, and never off this server."""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from http.cookies import SimpleCookie

import pytest
from starlette.datastructures import Headers
from starlette.responses import HTMLResponse, RedirectResponse
from starlette.types import Message, Receive, Scope, Send

from pages._shared.way_back import COOKIE, KeepWayBack, is_own_page


async def _served(scope: Scope, receive: Receive, send: Send) -> None:
    """Answer as the framework does: pages, and to the start after the sign-in."""
    comes_back = scope["path"] == "/oauth2callback"
    answer = RedirectResponse("/", 302) if comes_back else HTMLResponse("<p>page</p>")
    await answer(scope, receive, send)


def _asked(address: str, **cookies: str) -> Headers:
    """Ask for an address as a browser with these cookies would; the answer's headers."""
    path, _, query = address.partition("?")
    cookie = "; ".join(f"{name}={value}" for name, value in cookies.items())
    scope = {
        "type": "http", "method": "GET", "path": path, "query_string": query.encode(),
        "headers": [(b"cookie", cookie.encode())],
    }  # fmt: skip
    sent: list[Message] = []

    async def receive() -> Message:
        return {"type": "http.request", "body": b""}

    async def send(message: Message) -> None:
        sent.append(message)

    with ThreadPoolExecutor(1) as apart:  # a browser's tests leave a loop running in this thread
        apart.submit(asyncio.run, KeepWayBack(_served)(scope, receive, send)).result()
    return Headers(raw=sent[0]["headers"])


def _kept(headers: Headers) -> str:
    return SimpleCookie(headers.get("set-cookie", ""))[COOKIE].value


def test_the_page_asked_for_is_asked_for_again_once() -> None:
    kept = _kept(_asked("/hull?hull=H%2F7&days=14"))
    after = _asked("/oauth2callback?code=1", **{COOKIE: kept})
    assert after["location"] == "/hull?hull=H%2F7&days=14"
    assert _kept(after) == ""
    assert _asked("/oauth2callback?code=1")["location"] == "/"


def test_who_is_signed_in_leaves_no_way_behind() -> None:
    assert "set-cookie" not in _asked("/hull?hull=H7", _streamlit_user="somebody")


@pytest.mark.parametrize(
    "address",
    ["", "hull", "//away.example", "https://away.example/", "/\\away.example", "/hull\r\nX: y"],
)
def test_a_way_that_leads_off_this_server_is_not_gone(address: str) -> None:
    assert not is_own_page(address)
