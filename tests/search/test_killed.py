"""An indexing process killed at any moment leaves an index that answers and goes on."""

import subprocess
import sys
from pathlib import Path

import pytest

from kb.search import index, query

ROOT = Path(__file__).parents[2]
KEYS = 7

# Turn n writes entry n % KEYS with a word of its own; the position tells the turns done.
SCRIPT = f"""
import sys
from itertools import count
from pathlib import Path
from kb.search import index
from kb.search.documents import Document

folder = Path(sys.argv[1])
for turn in count(int(sys.argv[2])):
    title = f"hum turn{{turn}}x"
    page = Document("entry", f"e{{turn % {KEYS}}}", title, {{"title": title}}, (), {{}})
    since, until = str(turn), str(turn + 1)
    assert index.apply(folder, "entries", [page], [], since=since, until=until) == "done"
    print(turn, flush=True)
"""


def turns(folder: Path) -> dict[str, int]:
    """Return each entry's key and the turn that wrote it."""
    hits = query.search(folder, "hum").hits
    return {hit.key: int(hit.title.removeprefix("hum turn").removesuffix("x")) for hit in hits}


@pytest.mark.slow
def test_a_killed_process_never_leaves_less_than_the_position_claims(folder: Path) -> None:
    index.rebuild(folder, "entries", [], until="0")
    for rounds in range(1, 9):
        done = int(index.position(folder, "entries") or -1)
        asked = [sys.executable, "-c", SCRIPT, str(folder), str(done)]
        with subprocess.Popen(asked, cwd=ROOT, stdout=subprocess.PIPE, text=True) as process:
            assert process.stdout is not None
            for _ in range(3 * rounds):
                assert process.stdout.readline()
            process.kill()

        reached = int(index.position(folder, "entries") or -1)
        assert reached >= done + 3 * rounds
        # Each key was last written in the turns before the position, or in the one under way.
        for key, turn in turns(folder).items():
            assert turn % KEYS == int(key[1:])
            assert reached - KEYS <= turn <= reached
        assert len(turns(folder)) == min(KEYS, reached)
