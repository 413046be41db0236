"""What an error becomes in the terminal: one sentence and an exit code."""

import os
import sys
import traceback
from datetime import datetime
from pathlib import Path

import typer

from kb import errors

NO = 1
WRONG_CALL = 2
NOT_NOW = 3
DEFECT = 4

CODES: dict[type[errors.KitloreError], int] = {
    errors.InvalidError: WRONG_CALL,
    errors.NotFoundError: WRONG_CALL,
    errors.UnlikelyError: WRONG_CALL,
    errors.ConflictError: WRONG_CALL,
    errors.BusyError: NOT_NOW,
    errors.StorageError: NOT_NOW,
}


def told(error: errors.KitloreError) -> int:
    """Print the error's sentences and return the exit code of its family."""
    for line in error.message.splitlines():
        typer.echo(line, err=True)
    if isinstance(error, errors.UnlikelyError):
        typer.echo("Add --sure if you mean it.", err=True)
    return next(code for family, code in CODES.items() if isinstance(error, family))


def defect(error: BaseException, log: Path, at: datetime) -> int:
    """Write the trace of a defect of ours to the log, say where, and return the exit code.

    Args:
        error: What was raised.
        log: The log of the workspace, or a file of the system's own where there is none.
        at: When.
    """
    trace = "".join(traceback.format_exception(error))
    try:
        with log.open("a", encoding="utf-8", errors="backslashreplace") as file:
            file.write(f"--- {at.isoformat()} {' '.join(sys.argv)}\n{trace}\n")
        where = f"Its trace is in {log}."
    except OSError:
        where = f"Its trace could not be kept in {log}: {trace.splitlines()[-1]}"
    typer.echo(f"That is a defect of kitlore, not of yours. {where}", err=True)
    return DEFECT


def drop_output() -> None:
    """Let nothing be written to a pipe whose reader has gone."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
