"""The installed program with the network off: the first page in a browser, and the commands.

    unshare --net python -m tests.browser.offline FLEET

Run inside a network that has nothing but its own loopback, which is switched on first. Prints how
long the first page took from the start of the server, and one line for each command.
"""

from __future__ import annotations

import fcntl
import socket
import struct
import subprocess
import sys
import time
from pathlib import Path

from playwright.sync_api import expect, sync_playwright

from tests.browser.conftest import CHROMIUM
from tests.browser.serving import HOUSE, SLOW_MS, serving, watched
from tests.browser.test_dashboard import ANSWER

COMMANDS = ("check", "rank", "plan")
SIOCGIFFLAGS, SIOCSIFFLAGS, IFF_UP = 0x8913, 0x8914, 0x1


def loopback_up() -> None:
    """Switch the loopback of a fresh network on; netdevice(7)."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as handle:
        request = struct.pack("16sh14x", b"lo", 0)
        name, flags = struct.unpack("16sh14x", fcntl.ioctl(handle, SIOCGIFFLAGS, request))
        fcntl.ioctl(handle, SIOCSIFFLAGS, struct.pack("16sh14x", name, flags | IFF_UP))


def is_cut_off() -> bool:
    """Tell whether no address outside this machine has a way; 192.0.2.1 is nobody's (RFC 5737)."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as handle:
        try:
            handle.connect(("192.0.2.1", 9))
        except OSError:
            return True
    return False


def first_page_s(fleet: Path | None) -> float:
    """Seconds from the start of the server to the answer on the first page."""
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=str(CHROMIUM))
        began = time.perf_counter()
        with serving(fleet) as server, watched(chromium, server) as tab:
            tab.page.goto(server.address)
            expect(tab.page.locator(f"{ANSWER} p").first).to_be_visible(timeout=SLOW_MS)
            took = time.perf_counter() - began
            if tab.wrong or tab.abroad:
                raise RuntimeError(f"{tab.wrong} {tab.abroad}")
        chromium.close()
    return took


def main(fleet: Path) -> int:
    """Run everything; 0 when all of it came through."""
    loopback_up()
    if not is_cut_off():
        print("the network is on")
        return 1
    print(f"first page {first_page_s(fleet):.1f} s after the start of the server")
    codes = {}
    for name in COMMANDS:
        run = [sys.executable, "-m", "corrosion", name, str(fleet), "--format", "json"]
        codes[name] = subprocess.run(run, cwd=HOUSE, capture_output=True, check=False).returncode
        print(f"{name} {codes[name]}")
    return max(codes.values())


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
