# ruff: noqa: T201 - it prints what it measured
"""The review of models at size: against reading the same columns into NumPy in the same run.

Run by hand in tests/:  python -m bench.review [FAULTS]

Printed are medians of interleaved runs in seconds of the processor, their ratio, what the review
adds to memory at its peak, and growth from a tenth of the size. The bars: at most 3 times, at
most 500 MB, linear.
"""

import gc
import random
import resource
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from statistics import median
from time import process_time

import numpy as np

from kb.records import opening, session, workspace
from kb.records.kinds import CauseKind
from kb.review import report

FAULTS = 1_000_000
A_ITEM = 10
MODELS = 400
ROUNDS = 3
BEGAN = datetime(2022, 1, 3, 8, tzinfo=UTC)
DAYS = 1_200
NOW = BEGAN + timedelta(days=DAYS)
COLUMNS = {
    "item": ("id", "code", "name", "model_id", "in_service"),
    "state_spell": ("item_id", "state", "since"),
    "fault": ("id", "noticed_at", "cause_item_id", "cause_kind"),
}


def build(folder: Path, faults: int) -> None:
    """Make a workspace with so many closed faults, on a tenth as many items of 400 models."""
    began = ("--zone", "Europe/Berlin", "--log-began", f"{BEGAN:%Y-%m-%d}")
    command = [sys.executable, "-m", "kb", "init", str(folder), *began]
    subprocess.run(command, check=True, capture_output=True)
    rng, items = random.Random(faults), faults // A_ITEM  # noqa: S311 - made-up gear
    kinds = [kind.value for kind in CauseKind]
    with closing(sqlite3.connect(folder / "kitlore.db")) as base, base:
        base.executemany(
            "INSERT INTO model (id, version, maker, name, equipment_class, technical) "
            "VALUES (?, 1, 'Maker', ?, 'recorder', '{}')",
            ((n, f"Type {n}") for n in range(1, MODELS + 1)),
        )
        base.executemany(
            "INSERT INTO item (id, version, code, name, name_folded, model_id, state, in_service) "
            "VALUES (?, 1, ?, ?, ?, ?, 'fit', ?)",
            (
                (n, f"{n:06}", f"IT-{n}", f"it-{n}", rng.randint(1, MODELS), f"{BEGAN:%Y-%m-%d}")
                for n in range(1, items + 1)
            ),
        )
        base.executemany(
            "INSERT INTO state_spell (version, item_id, state, since) VALUES (1, ?, 'fit', ?)",
            ((n, f"{BEGAN:%Y-%m-%d %H:%M:%S}.000000") for n in range(1, items + 1)),
        )
        base.executemany(
            "INSERT INTO fault (version, text, noticed_at, reporter, seen_item_id, effect, "
            "restored_at, closed_at, cause_kind, cause_item_id) "
            "VALUES (1, 'it stopped', ?, 'J.P.', ?, 'none', ?, ?, ?, ?)",
            (_fault(rng, items, kinds) for _ in range(faults)),
        )


def _fault(rng: random.Random, items: int, kinds: list[str]) -> tuple[object, ...]:
    at = BEGAN + timedelta(minutes=rng.randrange(DAYS * 24 * 60))
    item, told = rng.randint(1, items), f"{at:%Y-%m-%d %H:%M:%S}.000000"
    return told, item, told, told, rng.choice(kinds), item


def read(folder: Path) -> int:
    """Read the columns that the review rests on into NumPy; return how many rows there were."""
    rows = 0
    with closing(sqlite3.connect(folder / "kitlore.db")) as base:
        for table, columns in COLUMNS.items():
            found = base.execute(f"SELECT {', '.join(columns)} FROM {table}").fetchall()  # noqa: S608 - of ours
            rows += len(found)
            for name, values in zip(columns, zip(*found, strict=True), strict=True):
                moment = name in {"noticed_at", "since", "in_service"}
                np.array(values, dtype="datetime64[s]" if moment else None)
    return rows


def reviewed(folder: Path) -> int:
    """Review all models; return how many failures were counted."""
    place = workspace.opened(folder)
    engine = opening.open_engine(place)
    with session.read(engine) as unit:
        found = report.review_models(unit, place.settings, NOW, until=date(2025, 4, 1))
    engine.dispose()
    return sum(row.failures for row in found.models)


def timed(folder: Path) -> tuple[float, float, float]:
    """Return seconds to read, seconds to review, and megabytes that the review added."""
    reviewed_in, read_in = [], []
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    for number in range(ROUNDS):
        gc.collect()
        begun = process_time()
        failures = reviewed(folder)
        reviewed_in.append(process_time() - begun)
        if number == 0:
            peak = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
            print(f"{failures:,} failures counted")
        begun = process_time()
        read(folder)
        read_in.append(process_time() - begun)
    return median(read_in), median(reviewed_in), peak


def main() -> None:
    """Build, measure, print."""
    most = int(sys.argv[1]) if len(sys.argv) > 1 else FAULTS
    found = {}
    for faults in (most // 10, most):
        with tempfile.TemporaryDirectory() as name:
            build(Path(name) / "large", faults)
            plain, ours, peak = timed(Path(name) / "large")
        found[faults] = ours
        print(
            f"{faults:,} faults: read {plain:.2f} s, review {ours:.2f} s, x {ours / plain:.2f}, "
            f"{peak:.0f} MB"
        )
    print(f"ten times the faults take {found[most] / found[most // 10]:.1f} times as long")


if __name__ == "__main__":
    main()
