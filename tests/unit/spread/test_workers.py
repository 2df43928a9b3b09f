"""Answers with workers: a real scheduler and two workers, each a process, on loopback."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pandas as pd
import pytest
from pandas.testing import assert_frame_equal

from corrosion.command_line.run import main
from corrosion.common import LogRefused, Refusal
from corrosion.forecast import Appraisal, appraise
from corrosion.records import append, entry_names, operator
from corrosion.records.logs import LOGS

HOUSE = Path(__file__).resolve().parents[3]
DEMO = HOUSE / "demo_fleet" / "logs"
PATIENCE_S = 120.0
ROUNDING = 1e-6
"""Sums are added in another order; a climb ends where its gradient is small, not at a point."""
AMPLIFIED = ["idle_log_odds"]
"""Differences of logarithms of small chances make a hundred times as much of it."""
pytestmark = pytest.mark.slow


@dataclass(frozen=True)
class Cluster:
    """A scheduler and its workers."""

    address: str
    workers: list[subprocess.Popen[bytes]]


def _started(module: str, *words: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", f"distributed.cli.dask_{module}", *words, "--no-dashboard"],
        cwd=HOUSE, env={**os.environ, "OMP_NUM_THREADS": "1"},
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip


def _until(is_so: Callable[[], object]) -> None:
    ends = time.monotonic() + PATIENCE_S
    while not is_so():
        assert time.monotonic() < ends
        time.sleep(0.05)


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cluster]:
    """Two workers of one thread on loopback."""
    folder = tmp_path_factory.mktemp("cluster")
    file = folder / "scheduler.json"
    processes = [
        _started("scheduler", "--host", "127.0.0.1", "--port", "0", "--scheduler-file", str(file))
    ]
    try:
        _until(file.exists)
        words = ("--scheduler-file", str(file), "--nthreads", "1", "--no-nanny")
        processes += [
            _started("worker", *words, "--local-directory", str(folder)) for _ in range(2)
        ]
        address = json.loads(file.read_text())["address"]
        from distributed import Client

        with Client(address, set_as_default=False) as client:
            client.wait_for_workers(2, timeout=PATIENCE_S)
        yield Cluster(address, processes[1:])
    finally:
        for process in reversed(processes):
            process.kill()
            process.wait()


@pytest.fixture(scope="module")
def fleet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo fleet, with an outing that a correction moved to a hull far off in the register."""
    folder = tmp_path_factory.mktemp("fleet") / "ours"
    shutil.copytree(DEMO, folder)
    before = appraise(folder)
    outings, ids = before.logbook.outings, sorted(before.checked.hulls["hull_id"])
    own = outings[outings["hull_id"] == ids[0]].reset_index(drop=True)
    moved = own.iloc[[len(own) // 2]]
    row = {
        "hull_id": ids[-1],
        "started": moved["started"].iloc[0],
        "ended": moved["ended"].iloc[0],
        "engine_hours": 1.25,
        "corrects": entry_names(LOGS["outings"], moved).iloc[0],
    }
    now = before.logbook.on + pd.Timedelta(hours=3)
    append(folder, "outings", pd.DataFrame([row]), by=operator("yard"), now=now)
    return folder


@pytest.fixture(scope="module")
def alone(fleet: Path) -> Appraisal:
    """The same fleet in one process, its moved outing with another hull."""
    alone = appraise(fleet)
    corrected = alone.checked.outings["corrects"].notna()
    assert max(alone.checked.hulls["hull_id"]) in set(alone.checked.outings["hull_id"][corrected])
    return alone


def _assert_same(spread: Appraisal, alone: Appraisal) -> None:
    assert spread.logbook.on == alone.logbook.on
    for name in ("hulls", "anodes", "not_judged", "rises"):
        tables = getattr(spread.forecast, name), getattr(alone.forecast, name)
        close, far = (table.drop(columns=AMPLIFIED, errors="ignore") for table in tables), tables
        assert_frame_equal(*close, rtol=ROUNDING, atol=ROUNDING)
        assert_frame_equal(*far, rtol=100 * ROUNDING, atol=100 * ROUNDING)
    assert _set_aside(spread) == _set_aside(alone)


def _set_aside(appraisal: Appraisal) -> dict[tuple[str, str], int]:
    findings = appraisal.checked.findings
    aside = findings[findings["severity"] == "set-aside"]
    return {(row.log, row.rule): row.rows for row in aside.itertuples()}


def test_the_command_looks_back_with_workers_as_in_one_process(
    cluster: Cluster, fleet: Path, tmp_path: Path, alone: Appraisal
) -> None:
    files = tmp_path / "spread.csv", tmp_path / "alone.csv"
    on = alone.logbook.on - pd.Timedelta(days=100)
    words = "rank", "--format", "csv", "--on", on.isoformat(), "--output"
    url = fleet.as_uri()
    assert main([*words, str(files[0]), url, "--workers", cluster.address]) == 0
    assert main([*words, str(files[1]), str(fleet)]) == 0
    tables = [pd.read_csv(file) for file in files]
    assert len(tables[1]) > 30
    assert_frame_equal(*tables, rtol=ROUNDING, atol=ROUNDING)


def test_a_damaged_file_is_refused_in_the_words_of_one_process(
    cluster: Cluster, fleet: Path, tmp_path: Path
) -> None:
    from corrosion.spread import appraise_with_workers

    broken = tmp_path / "broken"
    shutil.copytree(fleet, broken)
    (broken / "flushes" / "half.parquet").write_bytes(b"PAR1 and no more")
    with pytest.raises(LogRefused, match=r"half.parquet is not a whole Parquet file"):
        appraise_with_workers(cluster.address, broken)


def test_a_worker_killed_midway_changes_nothing(
    cluster: Cluster,
    fleet: Path,
    tmp_path: Path,
    alone: Appraisal,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Read out of a zip file, too: a backup is a fleet's folder like any other.

    The climbs are added up by the worker that is left, few as the looks are.
    """
    from distributed import Client

    from corrosion.spread import appraise_with_workers, appraising

    monkeypatch.setattr(appraising, "LEAST_LOOKS", 0)
    archive = shutil.make_archive(str(tmp_path / "backup"), "zip", fleet.parent)
    url = f"zip://{fleet.name}::{Path(archive).as_uri()}"
    answers: list[Appraisal] = []
    asking = threading.Thread(
        target=lambda: answers.append(appraise_with_workers(cluster.address, url))
    )
    with Client(cluster.address, set_as_default=False) as client:
        victim = cluster.workers[0]
        (name,) = client.run(os.getpid, workers=None).keys() & {
            worker for worker, pid in client.run(os.getpid).items() if pid == victim.pid
        }
        asking.start()
        _until(lambda: len(client.has_what().get(name, ())) >= 3)
        victim.send_signal(signal.SIGKILL)
        victim.wait()
        assert asking.is_alive()
        _until(lambda: name not in client.scheduler_info()["workers"])
    asking.join(PATIENCE_S)
    assert not asking.is_alive()
    _assert_same(answers[0], alone)


def test_where_no_scheduler_answers_it_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    from corrosion.spread import appraising

    monkeypatch.setattr(appraising, "CONNECT_WITHIN_S", "1s")
    with pytest.raises(Refusal, match="no Dask scheduler answers there"):
        appraising.appraise_with_workers("tcp://127.0.0.1:9", DEMO)


def test_an_address_without_workers_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rank", "zip://ours::file:///backup.zip"]) == 1
    assert "only workers read an address" in capsys.readouterr().err
