"""What an error becomes in the terminal: one sentence and an exit code."""

import errno
import os
import re
import sys
import traceback
from datetime import datetime
from pathlib import Path
from typing import Any

import typer

from kb import errors

DONE = 0
NO = 1
WRONG_CALL = 2
NOT_NOW = 3
DEFECT = 4
# What is raised for a call that is wrong.
WrongCallError: type[Exception] = typer.BadParameter.__mro__[1]
_MOST = 300  # of what was typed, given back
# What the library says of a call as a whole, and what we say.
_SAID = (
    (r"^Got unexpected extra argument.*? \((.*)\)$", r"Too much: \1. Leave it out, or quote it."),
    (r"^Option '(.*)' requires an argument\.$", r"\1: its value is missing. Give it."),
    (r"^Option '(.*)' does not take a value\.$", r"\1: it takes no value. Leave that out."),
    (r"^No such option: ([^ ]*)", r"There is no option \1."),
    (r" \(Possible options: (.*)\)$", r" Near to it: \1."),
    (r"^No such command '(.*?)'\.", r"There is no command '\1'."),
    (r" Did you mean (.*)\?$", r" Near to it: \1."),
)

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


def wrong_call(error: Any) -> int:  # noqa: ANN401 - Typer has no public name for it
    """Print how the command is called and what is wrong with the call, and return the exit code.

    Args:
        error: What the library of the command found.
    """
    context = getattr(error, "ctx", None)
    if type(error).__name__ == "NoArgsIsHelpError":
        typer.echo(error.message, err=True)
        return WRONG_CALL
    if context is not None:
        typer.echo(context.get_usage(), err=True)
    typer.echo(_sentence(error), err=True)
    if context is not None:
        typer.echo(f"All of it: {context.command_path} --help", err=True)
    return WRONG_CALL


def _sentence(error: Any) -> str:  # noqa: ANN401
    """Return what is wrong with a call, in our words wherever the library's are of no help."""
    param = getattr(error, "param", None)
    if param is None:
        said = str(error.format_message())
        for theirs, ours in _SAID:
            said = re.sub(theirs, ours, said, flags=re.DOTALL)
        return said if len(said) <= _MOST else f"{said[:_MOST]}…"
    name = "/".join(param.opts) if param.param_type_name == "option" else param.display_name_raw
    return f"{name}: {_mend(error)}"


def _mend(error: Any) -> str:  # noqa: ANN401
    if type(error).__name__ == "MissingParameter":
        return "it is missing. Give it."
    found = getattr(error.__cause__, "errors", None)
    if found is None:
        return str(error.message)
    from kb import checking

    item = found()[0]
    said, given = checking.in_our_words(item), errors.quoted(item["input"])
    choices = said.rpartition(" is not one of ")[2]
    if choices != said:
        return f"{given} is none of {choices}"
    if "does not match the formats" in said:
        return f"{given} is no day. Write year-month-day, like 2026-03-19."
    return f"{given} is no path." if "null byte" in said else said


def defect(error: BaseException, log: Path, at: datetime) -> int:
    """Write the trace of a defect of ours to the log, say where, and return the exit code.

    A name that is too long for the disk is no defect, whatever command it was given to.

    Args:
        error: What was raised.
        log: The log of the workspace, or a file of the system's own where there is none.
        at: When.
    """
    if isinstance(error, OSError) and error.errno == errno.ENAMETOOLONG:
        name = errors.quoted(error.filename)
        typer.echo(f"{name} is too long for a name on this disk. Give a shorter one.", err=True)
        return WRONG_CALL
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
