"""The README's table of commands is made from the code: set KITLORE_RENEW=1 to write it anew."""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import typer.main

from kb.cli import app

README = Path(__file__).parents[2] / "README.md"
BEGIN = "<!-- commands: made from the code; tests/whole/test_readme.py says how to renew it -->\n"
END = "<!-- end of commands -->\n"


def commands(
    group: Any,  # noqa: ANN401 - typer keeps its own types to itself
    words: tuple[str, ...] = (),
) -> Iterator[tuple[str, str]]:
    """Yield each command's words and the first sentence of its help."""
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            yield from commands(command, (*words, name))
        else:
            sentence = (command.help or "").split("\n\n")[0].replace("\n", " ").strip()
            yield " ".join((*words, name)), sentence


def table() -> str:
    rows = [
        f"| `kitlore {words}` | {help_} |"
        for words, help_ in commands(typer.main.get_command(app.build()))
    ]
    return "\n".join(["| command | does |", "| --- | --- |", *rows, ""])


def test_the_table_of_commands_says_what_the_code_says() -> None:
    text = README.read_text(encoding="utf-8")
    before, rest = text.split(BEGIN)
    listed, after = rest.split(END)
    if os.environ.get("KITLORE_RENEW"):
        README.write_text(before + BEGIN + table() + END + after, encoding="utf-8")
        return

    assert listed == table()


def test_every_command_has_a_sentence_and_an_example() -> None:
    for words, help_ in commands(typer.main.get_command(app.build())):
        assert help_.endswith("."), words
