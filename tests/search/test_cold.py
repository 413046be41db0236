import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from kb.search import index
from kb.search.documents import Document

ROOT = Path(__file__).parents[2]
HEAVY = {"sqlmodel", "sqlalchemy", "numpy", "scipy", "rich", "pydantic", "typer", "rapidfuzz"}

SCRIPT = """
import json, sys
from pathlib import Path
from kb.search import query
hits = query.search(Path(sys.argv[1]), "no sound").hits
print(json.dumps([[hit.key for hit in hits], sorted(sys.modules)]))
"""


def test_a_cold_search_imports_nothing_heavy(folder: Path, make: Callable[..., Document]) -> None:
    index.rebuild(folder, "entries", [make("entry", "quiet", "No sound")], until="1")
    index.rebuild(folder, "records", [make("fault", "7", "No sound")], until="1")

    asked = [sys.executable, "-c", SCRIPT, str(folder)]
    done = subprocess.run(asked, cwd=ROOT, capture_output=True, text=True, check=True)
    found, modules = json.loads(done.stdout)

    assert found == ["quiet", "7"]
    assert "whoosh.index" in modules
    assert HEAVY.isdisjoint(modules)
