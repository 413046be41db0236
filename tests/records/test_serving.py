import json
import os
import signal
import subprocess
import sys
from datetime import datetime

import pytest

from kb import __version__
from kb.errors import BusyError
from kb.records import serving
from kb.records.workspace import Workspace


@pytest.fixture(autouse=True)
def _impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(serving, "_PATIENCE_SECONDS", 0)


def test_the_run_file_says_who_serves(studio: Workspace, at: datetime) -> None:
    with serving.announced(studio, "0001", 8017, at):
        said = json.loads((studio.folder / serving.FILE).read_text())
        assert said == {
            "pid": os.getpid(),
            "version": __version__,
            "schema": "0001",
            "port": 8017,
            "since": "2026-03-19T12:00:00+00:00",
        }
        found = serving.running(studio)
        assert found is not None
        assert found.pid == os.getpid()


def test_nobody_serves_before_and_after(studio: Workspace, at: datetime) -> None:
    assert serving.running(studio) is None
    with serving.announced(studio, "0001", 8017, at):
        pass
    assert serving.running(studio) is None
    assert not (studio.folder / serving.FILE).exists()


def test_one_that_ends_by_an_error_serves_no_more(studio: Workspace, at: datetime) -> None:
    with pytest.raises(RuntimeError), serving.announced(studio, "0001", 8017, at):
        raise RuntimeError
    serving.require_none(studio, "")


def test_a_second_one_is_refused_and_the_first_goes_on(studio: Workspace, at: datetime) -> None:
    with serving.announced(studio, "0001", 8017, at) as first:
        with (
            pytest.raises(BusyError, match=f"process {os.getpid()}, port 8017, since 2026-03-19"),
            serving.announced(studio, "0001", 8018, at),
        ):
            pass
        assert serving.running(studio) == first


def test_a_process_that_has_the_number_of_a_dead_one_is_not_taken_for_it(
    studio: Workspace, at: datetime
) -> None:
    with serving.announced(studio, "0001", 8017, at):
        left = (studio.folder / serving.FILE).read_bytes()
    (studio.folder / serving.FILE).write_bytes(left)  # names this very process, which is alive
    assert serving.running(studio) is None


@pytest.mark.parametrize("content", [b"", b'{"pid": 1', b"[]", b'{"pid": 1}'])
def test_a_run_file_not_written_yet_means_try_again(
    studio: Workspace, at: datetime, content: bytes
) -> None:
    with serving.announced(studio, "0001", 8017, at):
        (studio.folder / serving.FILE).write_bytes(content)
        with pytest.raises(BusyError, match=r"starts or ends just now. Try again."):
            serving.running(studio)


@pytest.mark.slow
def test_a_killed_one_serves_no_more(studio: Workspace, at: datetime) -> None:
    serve = (
        "import sys; from datetime import *; from pathlib import Path\n"
        "from kb.records import serving, workspace\n"
        "place = workspace.opened(Path(sys.argv[1]))\n"
        "with serving.announced(place, '0001', 8017, datetime(2026, 3, 19, tzinfo=UTC)):\n"
        "    print('ready', flush=True)\n"
        "    sys.stdin.read()\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", serve, studio.folder],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"ready\n"
        found = serving.running(studio)
        assert found is not None
        assert found.pid == process.pid
        with pytest.raises(BusyError), serving.announced(studio, "0001", 8018, at):
            pass
        process.send_signal(signal.SIGKILL)
    assert (studio.folder / serving.FILE).exists()
    assert serving.running(studio) is None
    with serving.announced(studio, "0001", 8018, at) as mine:
        assert serving.running(studio) == mine
