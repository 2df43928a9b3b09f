"""The way back through the sign-in: who asked for a hull's page arrives there, not at the start.

The framework leads everybody who signed in to the start page. The address that was asked for goes
along in a cookie of the browser for as long as a sign-in takes, and is asked for again after it.
"""

from __future__ import annotations

from urllib.parse import quote, unquote, urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import cookie_parser
from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE = "asked_for"
SIGNED_IN = "_streamlit_user"
"""The framework's cookie of a visitor who signed in; long ones stand in several, numbered."""
CALLED_BACK = "/oauth2callback"
A_SIGN_IN_S = 15 * 60
LONGEST = 1_000
"""Characters of an address that is worth the way back; a cookie holds some 4,000."""


class KeepWayBack:
    """Leads a visitor who was asked to sign in on to the page that they had asked for."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Note the address of a page asked for before the sign-in; after it, lead there."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        cookies = cookie_parser(Headers(scope=scope).get("cookie", ""))
        is_known = any(name.startswith(SIGNED_IN) for name in cookies)
        asked_for = unquote(cookies.get(COOKIE, ""))
        comes_back = scope["path"].endswith(CALLED_BACK)

        async def send_with_way(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                if comes_back and "location" in headers and is_own_page(asked_for):
                    headers["location"] = asked_for
                    headers.append("set-cookie", _cookie("", 0))
                elif not is_known and headers.get("content-type", "").startswith("text/html"):
                    headers.append("set-cookie", _cookie(_address_of(scope), A_SIGN_IN_S))
            await send(message)

        await self.app(scope, receive, send_with_way)


def is_own_page(address: str) -> bool:
    """Tell an address on this server from one that leads away from it."""
    parts = urlsplit(address)
    leads_away = parts.scheme or parts.netloc or address.startswith("//") or "\\" in address
    return address.startswith("/") and address.isprintable() and not leads_away


def _address_of(scope: Scope) -> str:
    query = scope.get("query_string", b"").decode("ascii", "replace")
    address = quote(scope["path"]) + (f"?{query}" if query else "")
    return address if len(address) <= LONGEST else quote(scope["path"])[:LONGEST]


def _cookie(address: str, seconds: int) -> str:
    value = quote(address, safe="")
    return f"{COOKIE}={value}; Max-Age={seconds}; Path=/; HttpOnly; SameSite=Lax"
