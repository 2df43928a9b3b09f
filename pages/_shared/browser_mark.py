"""The mark of the browser: random, in a cookie, it tells a page loaded again from another phone.

A form's row is named after the browser, the fleet and the form (`entry`): the same page loaded
again goes on with the form it had, and the same address on a second phone is another form. The mark
says nothing about anybody and stands in no log.
"""

from __future__ import annotations

from uuid import uuid4

import streamlit as st
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import cookie_parser
from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE = "browser"
A_YEAR_S = 365 * 24 * 3600


class NameBrowsers:
    """Gives every browser that asks for a page its mark, before it opens its session."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand the request on, and set the cookie on a page where there is none."""
        if scope["type"] != "http" or COOKIE in cookie_parser(
            Headers(scope=scope).get("cookie", "")
        ):
            await self.app(scope, receive, send)
            return

        async def send_named(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                if headers.get("content-type", "").startswith("text/html"):
                    headers.append(
                        "set-cookie",
                        f"{COOKIE}={uuid4()}; Max-Age={A_YEAR_S}; Path=/; HttpOnly; SameSite=Lax",
                    )
            await send(message)

        await self.app(scope, receive, send_named)


def browser() -> str:
    """Give the mark of the visitor's browser; one without cookies has one for this session."""
    marked = st.context.cookies.get(COOKIE)
    if isinstance(marked, str) and marked:
        return marked
    return str(st.session_state.setdefault("browser", str(uuid4())))
