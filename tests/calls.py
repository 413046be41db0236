"""The command, called in this process as a script calls it."""

import io
import json
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import pytest

from kb import clock
from kb.cli import app

# A Thursday afternoon in winter, when London's clock shows UTC.
NOW = datetime(2026, 11, 19, 15, 30, tzinfo=UTC)


@dataclass(frozen=True)
class Result:
    """How a call ended."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:  # noqa: ANN401 - whatever was printed
        return json.loads(self.out)


Run = Callable[..., Result]
Refused = Callable[..., str]


def called(*words: object, stdin: str = "") -> Result:
    """Run the command in this process; what it prints is no terminal's."""
    out, err = io.StringIO(), io.StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(out), redirect_stderr(err):
        patch.setattr("sys.stdin", io.StringIO(stdin))
        patch.setattr(clock, "now", lambda: NOW)
        with pytest.raises(SystemExit) as end:
            app.main([str(word) for word in words])
    assert isinstance(end.value.code, int)
    return Result(end.value.code, out.getvalue(), err.getvalue())
