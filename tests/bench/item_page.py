# ruff: noqa: T201 - it prints what it measured
"""How long a page takes on a real server over a large base, and how large it is.

Run by hand, from the checkout:  cd tests; python -m bench.item_page [ITEMS] [FAULTS] [FOLDER]

Half of the item pages asked for are drawn at random; the other half are hard ones: the switchers
that twenty things feed, items with most faults, items of the model that thousands share. A
folder that is there already is measured as it is.
"""

import http.client
import random
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from sqlite3 import connect
from time import perf_counter

from bench import large_base

ASKED = 400
WARM = 20
LISTS = (
    "/faults", "/faults?state=open", "/faults?state=closed&item={code}", "/faults?offset=50000",
    "/faults?text=loose+pin", "/faults?text=nothingofthekind", "/faults?place=Site+3/Room+2",
    "/{code}/log", "/faults/77", "/",
)  # fmt: skip


@contextmanager
def serving(folder: Path) -> Iterator[http.client.HTTPConnection]:
    """Serve the workspace by the real command, and yield a connection that is kept open."""
    with closing(socket.socket()) as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "kb", "-w", str(folder), "serve", "--port", str(port)]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    try:
        while True:
            try:
                socket.create_connection(("127.0.0.1", port), 1).close()
                break
            except OSError:
                time.sleep(0.2)
        yield http.client.HTTPConnection("127.0.0.1", port)
    finally:
        process.terminate()
        process.wait()


def timed(client: http.client.HTTPConnection, path: str) -> tuple[float, int]:
    """Return the milliseconds that an answer took, and its bytes."""
    start = perf_counter()
    client.request("GET", path)
    answer = client.getresponse()
    body = answer.read()
    taken = (perf_counter() - start) * 1e3
    if answer.status != 200:
        raise RuntimeError(f"{path}: {answer.status} {body[:500]!r}")
    return taken, len(body)


def told(name: str, found: Sequence[tuple[float, int]]) -> None:
    """Print the median, the 95th percentile and the worst, and the largest page."""
    taken = sorted(one for one, _size in found)
    late = statistics.quantiles(taken, n=20)[-1] if len(taken) > 1 else taken[0]
    print(
        f"{name:40} p50 {statistics.median(taken):6.1f} ms  p95 {late:6.1f} ms  worst "
        f"{taken[-1]:6.1f} ms  largest {max(size for _taken, size in found) / 1e3:5.1f} kB"
    )


def hard(folder: Path) -> list[str]:
    """Return the codes of hubs, of items with most faults, and of the most frequent model."""
    queries = (
        "select to_item_id from link group by 1 order by count(*) desc limit 300",
        "select seen_item_id from fault group by 1 order by count(*) desc limit 300",
        "select id from item where model_id = 1 limit 2000",
    )
    found = "select code from item where id in ({})"
    with closing(connect(folder / "kitlore.db")) as base:
        return [code for query in queries for (code,) in base.execute(found.format(query))]


def main(arguments: list[str]) -> None:
    """Build the base where it isn't there, serve it, ask, print."""
    items, faults = (int(one) for one in [*arguments, "100000", "100000"][:2])
    rng = random.Random(1)  # noqa: S311 - which pages are asked for
    with tempfile.TemporaryDirectory() as home:
        folder = Path(arguments[2]) if arguments[2:] else Path(home) / "large"
        start = perf_counter()
        if not folder.exists():
            large_base.build(folder, items, faults)
        print(f"built in {perf_counter() - start:.0f} s")
        with closing(connect(folder / "kitlore.db")) as base:
            codes = [code for (code,) in base.execute("select code from item")]
        with serving(folder) as client:
            for code in rng.choices(codes, k=WARM):
                timed(client, f"/{code}")
            drawn = [timed(client, f"/{code}") for code in rng.choices(codes, k=ASKED // 2)]
            worse = [timed(client, f"/{code}") for code in rng.choices(hard(folder), k=ASKED // 2)]
            told("item page, at random", drawn)
            told("item page, hard ones", worse)
            told("item page, all", drawn + worse)
            for path in LISTS:
                asked = [path.format(code=code) for code in rng.choices(codes, k=20)]
                told(path, [timed(client, one) for one in asked])


if __name__ == "__main__":
    main(sys.argv[1:])
