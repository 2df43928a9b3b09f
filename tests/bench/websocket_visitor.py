"""A visitor without a browser: the framework's own messages over its own websocket.

What a browser does besides, drawing, is left out, so that twenty fit on two cores and the times
are the server's.
"""

from __future__ import annotations

import time
from contextlib import ExitStack
from typing import Any, Self
from urllib.parse import urlsplit

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.sync.client import connect
from websockets.typing import Origin, Subprotocol

PATIENT_S = 600.0


class Visitor:
    """One session on a server, as a tab of a browser holds it."""

    def __init__(self, address: str) -> None:
        url = urlsplit(address)
        self._held = ExitStack()
        self._line = self._held.enter_context(
            connect(
                f"ws://{url.netloc}/_stcore/stream",
                origin=Origin(address),
                subprotocols=[Subprotocol("streamlit")],
                max_size=None,
                open_timeout=60,
                ping_interval=None,
            )
        )
        self._known: dict[str, ForwardMsg] = {}
        self._pages: dict[str, str] = {}
        self._at, self._query = "", ""
        self.seen: list[ForwardMsg] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.leave()

    def leave(self) -> None:
        """Close the line; the server keeps the session for a while, as it does for a tab."""
        self._held.close()

    def open(self, page: str, query: str = "") -> float:
        """Open a page by its address; gives the seconds until it was whole."""
        self._at, self._query = page, query
        return self._run(BackMsg())

    def press(self, label: str) -> float:
        """Press a button of the page that is open; gives the seconds until the page was whole."""
        message = BackMsg()
        pressed = message.rerun_script.widget_states.widgets.add()
        pressed.id, pressed.trigger_value = self._button(label), True
        return self._run(message)

    @property
    def text(self) -> str:
        """Everything that the page holds, as its messages say it."""
        return "\n".join(str(each.delta) for each in self.seen if each.HasField("delta"))

    def _button(self, label: str) -> str:
        for each in reversed(self.seen):
            if each.HasField("delta") and each.delta.new_element.WhichOneof("type") == "button":
                button = each.delta.new_element.button
                if button.label == label:
                    return str(button.id)
        raise LookupError(f"no button {label!r} on {self._at}")

    def _run(self, message: BackMsg) -> float:
        state = message.rerun_script
        state.query_string, state.page_name = self._query, self._at
        state.page_script_hash = self._pages.get(self._at, "")
        state.context_info.timezone = "Europe/Lisbon"
        began = time.perf_counter()
        self._line.send(message.SerializeToString())
        self.seen = []
        while True:
            received = self._take()
            if received.HasField("navigation"):
                self._pages = {
                    page.url_pathname: page.page_script_hash
                    for page in received.navigation.app_pages
                }
            if received.WhichOneof("type") == "new_session":
                self.seen = []  # the page begins anew, as after a redirection
            self.seen.append(received)
            if received.WhichOneof("type") == "script_finished" and self._is_whole(received):
                return time.perf_counter() - began

    def _take(self) -> ForwardMsg:
        message = ForwardMsg()
        message.ParseFromString(self._line.recv(timeout=PATIENT_S))
        if message.WhichOneof("type") == "ref_hash":
            return self._known[message.ref_hash]
        if message.hash:
            self._known[message.hash] = message
        return message

    @staticmethod
    def _is_whole(message: Any) -> bool:
        return bool(message.script_finished == ForwardMsg.FINISHED_SUCCESSFULLY)
