"""How places read in the terminal: a tree."""

from collections.abc import Iterator, Sequence

from kb.cli import output
from kb.gear import codes
from kb.gear.views import PlaceLine

_STEP = "  "


def tree(lines: Sequence[PlaceLine]) -> None:
    """Print places, what lies in one set in below it."""
    output.table(
        ("Place", "Kind", "Code", ">Items", ">Version"),
        [
            (_STEP * depth + one.name, one.kind, codes.shown(one.code), one.items, one.version)
            for depth, one in depths(lines)
        ],
        "No place yet. Add one: kitlore place add --help",
    )


def depths(lines: Sequence[PlaceLine]) -> Iterator[tuple[int, PlaceLine]]:
    """Yield each place with how many others it lies in; those come before what they hold."""
    above: list[str] = []
    for one in lines:
        while above and not one.path.startswith(f"{above[-1]}/"):
            above.pop()
        yield len(above), one
        above.append(one.path)
