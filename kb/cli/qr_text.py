"""A QR symbol in the terminal, two rows of modules to a line."""

import typer

from kb.cli import output
from kb.labels import qr

_QUIET = 4
# Light modules are drawn, since most terminals are dark; upper and lower half of a line.
_HALVES = {(False, False): "█", (False, True): "▀", (True, False): "▄", (True, True): " "}


def show(address: str) -> None:
    """Print an address as a symbol, black on white where colours may be used."""
    matrix = qr.modules(address)
    side = len(matrix) + 2 * _QUIET
    dark = [[False] * side for _row in range(side + side % 2)]
    for y, row in enumerate(matrix):
        dark[y + _QUIET][_QUIET : _QUIET + len(row)] = list(row)
    for upper, lower in zip(dark[::2], dark[1::2], strict=True):
        line = "".join(_HALVES[pair] for pair in zip(upper, lower, strict=True))
        typer.echo(typer.style(line, fg="white", bg="black") if output.coloured() else line)
