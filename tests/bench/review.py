# ruff: noqa: T201 - it prints what it measured
"""How long the review of models takes, over the time of reading its columns into NumPy.

Run by hand, from the checkout:  cd tests; python -m bench.review [ITEMS] [FAULTS] [FOLDER]

Both are measured in one process, by turns; run it with a tenth of both to see how it grows.
A folder that is there already is measured as it is.
"""

import resource
import sqlite3
import statistics
import sys
import tempfile
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path
from time import perf_counter

import numpy as np
from bench import large_base

from kb.records import opening, session, workspace
from kb.records.settings import Settings
from kb.review import report

NOW = datetime(2026, 1, 9, 12, tzinfo=UTC)
TURNS = 5
COLUMNS = (
    ("fault", "noticed_at, cause_item_id, cause_kind, merged_into_id"),
    ("item", "id, code, name, model_id, in_service, merged_into_id"),
    ("state_spell", "item_id, state, since"),
)


def read(base: Path) -> None:
    """Read the columns that the review goes by into arrays, as plainly as can be."""
    with closing(sqlite3.connect(base)) as connection:
        for table, columns in COLUMNS:
            rows = connection.execute(f"SELECT {columns} FROM {table}").fetchall()  # noqa: S608
            for column in zip(*rows, strict=True):
                np.array(column)


def timed(act: Callable[[], object]) -> float:
    """Return how many seconds something takes."""
    start = perf_counter()
    act()
    return perf_counter() - start


def measured(folder: Path) -> tuple[float, float]:
    """Return the median seconds of the review and of the reading, by turns."""
    place = workspace.opened(folder)
    settings = Settings(zone=place.settings.zone, log_began=date(2023, 1, 9))
    engine = opening.open_engine(place)

    def review() -> None:
        with session.read(engine) as unit:
            report.review_models(unit, settings, NOW)

    review()
    # What the plain reading takes in memory is not the review's.
    print(f"memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB at most")
    took = [(timed(review), timed(lambda: read(folder / "kitlore.db"))) for _ in range(TURNS)]
    engine.dispose()
    return statistics.median(one for one, _ in took), statistics.median(one for _, one in took)


def main() -> None:
    """Measure and print."""
    items, faults = (int(one) for one in (*sys.argv[1:3], "100000", "1000000")[:2])
    with tempfile.TemporaryDirectory() as made:
        folder = Path(sys.argv[3]) if len(sys.argv) > 3 else Path(made) / "large"
        if not folder.exists():
            large_base.build(folder, items, faults)
        ours, plain = measured(folder)
        print(f"review {ours:.2f} s, reading {plain:.2f} s, ratio {ours / plain:.2f}")


if __name__ == "__main__":
    main()
