"""The command: which module holds which word, and how a call ends.

Only the module of the word that was called is loaded, so that `find` starts quickly.
"""

import io
import sys
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path
from typing import Annotated

import typer
from typer.core import TyperGroup

from kb import __version__, clock
from kb.cli import desk, failures
from kb.errors import KitloreError

# In the order of help: word -> module of kb.cli that adds it.
WORDS = {
    "init": "workspace",
    "demo": "demo",
    "find": "find",
    "log": "log",
    "fault": "fault",
    "serve": "serve",
    "label": "label",
    "stock": "stock",
    "review": "review",
    "item": "item",
    "model": "model",
    "place": "place",
    "link": "link",
    "show": "show",
    "service": "service",
    "loan": "loan",
    "spare": "spare",
    "drive": "drive",
    "person": "person",
    "access": "access",
    "entries": "entries",
    "word": "word",
    "history": "history",
    "table": "table",
    "export": "export",
    "settings": "workspace",
    "backup": "workspace",
    "restore": "workspace",
    "check": "workspace",
}
_MOVED_FRONT = ("-w", "--workspace", "--by")


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command and leave with its exit code (see `kb.cli.failures`)."""
    given = moved_front(sys.argv[1:] if arguments is None else arguments)
    _forgive()
    try:
        code = build(given)(args=given, prog_name="kitlore", standalone_mode=False)
    except KitloreError as error:
        raise SystemExit(failures.told(error)) from None
    except failures.WrongCallError as error:
        raise SystemExit(failures.wrong_call(error)) from None
    except typer.Abort:
        raise SystemExit(failures.NO) from None
    except BrokenPipeError:
        failures.drop_output()
        raise SystemExit(failures.NO) from None
    except Exception as error:  # noqa: BLE001 - no trace reaches a person
        raise SystemExit(failures.defect(error, _log(), clock.now())) from None
    raise SystemExit(code or failures.DONE)


def build(arguments: Sequence[str] = ()) -> typer.Typer:
    """Return the command with the word that is called, or with all of them.

    Args:
        arguments: What was typed after 'kitlore'.
    """
    app = typer.Typer(
        name="kitlore",
        cls=_InOrder,
        callback=_call,
        invoke_without_command=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
    )
    word = _word(arguments)
    modules = [WORDS[word]] if word in WORDS else dict.fromkeys(WORDS.values())
    for name in modules:
        import_module(f"kb.cli.{name}").add_to(app)
    return app


def moved_front(arguments: Sequence[str]) -> list[str]:
    """Return the arguments with -w, --workspace and --by before the command.

    They are understood before and after it; what follows '--' stays where it is.
    """
    front: list[str] = []
    rest: list[str] = []
    left = iter(arguments)
    for one in left:
        if one == "--":
            rest += [one, *left]
        elif one in _MOVED_FRONT:
            front += [one, *[value for value in [next(left, None)] if value is not None]]
        elif one.startswith(("--workspace=", "--by=")):
            front.append(one)
        else:
            rest.append(one)
    return front + rest


def _call(
    context: typer.Context,
    workspace: Annotated[
        Path | None,
        typer.Option(
            "--workspace", "-w", help="The workspace; else KITLORE_WORKSPACE or the nearest above."
        ),
    ] = None,
    by: Annotated[
        str | None, typer.Option("--by", help="Who you are; else KITLORE_BY or your login name.")
    ] = None,
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
) -> None:
    """The gear book and the repair memory of a studio crew.

    Example: kitlore find "everything looks pink"
    """
    desk.CHOICE.set(desk.Choice(workspace, by))
    if version:
        typer.echo(f"kitlore {__version__}")
    elif context.invoked_subcommand is None:
        typer.echo(context.get_help())


def _forgive() -> None:
    """Let what the terminal's encoding can't hold be a question mark, read or printed."""
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _word(arguments: Sequence[str]) -> str | None:
    skip = False
    for one in arguments:
        if skip:
            skip = False
        elif one in _MOVED_FRONT:
            skip = True
        elif not one.startswith("-"):
            return one
    return None


def _log() -> Path:
    try:
        return desk.chosen().log
    except KitloreError:
        return Path.home() / "kitlore.log"


class _InOrder(TyperGroup):
    """The command whose words are listed in our order."""

    def list_commands(self, ctx: object) -> list[str]:  # noqa: ARG002 - as it's called
        """Return the words that are loaded."""
        return [word for word in WORDS if word in self.commands]
