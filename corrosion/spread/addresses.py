"""A fleet's folder wherever fsspec finds one: listed, fetched in part, read file by file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path, PurePosixPath

import fsspec  # type: ignore[import-untyped]  # it has no types

from corrosion.common import LogMissing, LogRefused
from corrosion.records import LOGS

SPREAD_LOGS = ("outings", "flushes")
"""Logs that grow with use: never fetched whole."""


@dataclass(frozen=True)
class Address:
    """A fleet's folder, as fsspec names it: `file:///fleets/ours`, `zip://ours::file:///b.zip`."""

    url: str

    @classmethod
    def of(cls, fleet: str | Path) -> Address:
        """Take an address as it is; a path counts where every worker sees the same disk."""
        return cls(str(fleet) if "://" in str(fleet) else Path(fleet).resolve().as_uri())

    def files(self, log: str) -> list[str]:
        """Return the paths of a log's files, in name order, hidden ones left out."""
        system, root = self._opened()
        listed = list(system.find(f"{root}/{log}", maxdepth=1))
        alone = f"{root}/{log}.parquet"
        return sorted([*filter(_is_log_file, listed), *([alone] if system.isfile(alone) else [])])

    def read(self, path: str) -> bytes:
        """Return a file's bytes."""
        system, _ = self._opened()
        try:
            return bytes(system.cat_file(path))
        except OSError as error:
            raise LogRefused(f"{self.url}: {path} cannot be read ({error}).") from error

    def fetch_the_rest(self, folder: Path) -> None:
        """Bring settings and all logs but `SPREAD_LOGS` into a folder.

        Raises
        ------
        LogMissing
            There is nothing at the address.
        """
        system, root = self._opened()
        if not system.isdir(root):
            raise LogMissing(f"{self.url}: there is no such folder. Give the one with the logs.")
        paths = [path for log in LOGS if log not in SPREAD_LOGS for path in self.files(log)]
        if system.isfile(f"{root}/fleet.toml"):
            paths.append(f"{root}/fleet.toml")
        for path in paths:
            target = folder / path.removeprefix(f"{root}/")
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(self.read(path))

    def _opened(self) -> tuple[fsspec.AbstractFileSystem, str]:
        try:
            system, root = fsspec.core.url_to_fs(self.url)
        except (ImportError, ValueError, OSError) as error:
            raise LogRefused(f"{self.url}: this address cannot be opened ({error}).") from error
        return system, str(root).rstrip("/")


def _is_log_file(path: str) -> bool:
    name = PurePosixPath(path).name
    return name.endswith(".parquet") and not name.startswith((".", "_"))
