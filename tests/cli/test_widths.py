"""Every listing keeps to eighty columns, also with names as long as people give them."""

import shutil
from pathlib import Path

import pytest
from calls import called

WIDTH = 80
PLACE = "workshop and store behind the second control room"
MODEL = "Crossway Panel for thirty-two sources with both extensions"
NAMES = (
    "laptop of the remote panel, left",
    "laptop of the remote panel, right",
    "lead of the wall",
)
LONG: tuple[tuple[str, ...], ...] = (
    ("place", "add", PLACE, "--kind", "cabinet", "--within", "rack R1"),
    ("place", "add", f"upper {PLACE}", "--within", PLACE),
    ("model", "add", "Brelvane of the north", MODEL, "--data", "length=3 m, plug=type A, rate=18"),
    ("item", "add", NAMES[0], "--model", MODEL, "--place", f"upper {PLACE}"),
    ("item", "add", NAMES[1], "--model", MODEL, "--place", f"upper {PLACE}"),
    ("item", "add", NAMES[2], "--model", "Ribbonet 3", "--note", "keep it dry " * 30),
    ("log", NAMES[0], "the picture breaks up in squares whenever somebody walks past"),
    ("fault", "try", "2", "--what", "moved the lead away from the lamps " * 4, "--worked"),
    ("link", "connect", NAMES[0], "display port 2", NAMES[1], "input 14", "--cable", NAMES[2]),
    ("show", "add", "The long panel on everything there is", "--air", "20:00", "--place", PLACE),
    (
        "service",
        "add",
        "modification",
        "new plugs on both ends " * 5,
        NAMES[2],
        "--next-due=2026-11-01",
    ),
    ("loan", "lend", NAMES[1], "the school at the other end of the town", "--due", "2026-12-01"),
    (
        "spare",
        "set",
        "leads for the whole wall and its spare",
        "3",
        "--model",
        MODEL,
        f"--place=upper {PLACE}",
    ),
    ("drive", "test", "DR-01", "182 MB/s", "--note", "after a night in the cold " * 5),
    ("person", "add", "somebody who has a name that goes on and on until the end of the line x y"),
    ("find", "qqqq " * 40),
)
LISTINGS = (
    "item list",
    f"item see|{NAMES[0]}",
    f"item see|{NAMES[2]}",
    "model list",
    "place list",
    f"link list|{NAMES[0]}",
    "show list",
    "show next",
    f"service list|{NAMES[2]}",
    "service see|1",
    "service due",
    "loan list",
    "spare list",
    "drive list|DR-01",
    "person list",
    "fault list",
    "fault see|2",
    "entries list",
    "entries wanted",
    "entries see|audio-hum",
    "entries revisions|audio-hum",
    "history item|" + NAMES[2],
    "find picture squares",
    "review models",
    "settings",
    "stock list",
)


@pytest.fixture(scope="module")
def long_names(made: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a workspace with names as long as people give them."""
    folder = Path(shutil.copytree(made, tmp_path_factory.mktemp("long") / "studio"))
    for words in LONG:
        result = called(*words, "-w", folder)
        assert result.code < 2, result.err
    return folder


@pytest.mark.parametrize("listing", LISTINGS)
def test_a_listing_keeps_to_eighty_columns(listing: str, long_names: Path) -> None:
    words = [*listing.partition("|")[0].split(), *filter(None, [listing.partition("|")[2]])]

    result = called(*words, "-w", long_names)

    assert result.code == 0
    assert result.out
    assert [line for line in result.out.splitlines() if len(line) > WIDTH] == []
