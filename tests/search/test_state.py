import hashlib
import json
from pathlib import Path

import pytest

from kb.search import analysis, documents, reading, state

# What is indexed depends on these; an index made otherwise must not be read.
# The second holds what a question is made of too: symptom lines, and their traits.
TOLD = {1: "92a92161cfb0", 2: "f7a6fc5431b9"}

SAMPLE = """
It doesn't start: the caf\u00e9's Wi-Fi, HDMI-2 and USB-C at 48 kHz, 1080p50, 59,94 fps;
169.254.10.7; no, not, on, off, only one; recognized labelled colors; plug-and-play;
drive D: 10,000 files
"""


def test_the_format_is_raised_when_documents_are_indexed_otherwise() -> None:
    """When this fails: raise FORMAT, and add the digest of the new one."""
    told = [
        analysis.terms(SAMPLE),
        dict(documents.WEIGHTS),
        documents.KINDS,
        [*reading.LOOKED_UP, *reading.STORED],
    ]
    digest = hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()[:12]

    assert TOLD[state.FORMAT] == digest


def test_a_state_comes_back_with_the_files_and_their_sizes(tmp_path: Path) -> None:
    (tmp_path / "_entries_3.toc").write_bytes(b"123")
    (tmp_path / "entries_abc.seg").write_bytes(b"12345")
    for other in ("records_abc.seg", "entries.lock", "entries_abc.trm"):
        (tmp_path / other).write_bytes(b"1")
    state.write(tmp_path, "entries", "7")

    kept = state.read(tmp_path, "entries")
    assert kept == state.State("7", {"_entries_3.toc": 3, "entries_abc.seg": 5})
    assert state.unchanged(tmp_path, kept)

    (tmp_path / "entries_abc.seg").write_bytes(b"1234")
    assert not state.unchanged(tmp_path, kept)
    (tmp_path / "entries_abc.seg").unlink()
    assert not state.unchanged(tmp_path, kept)


@pytest.mark.parametrize(
    "text",
    ["", "{", "null", "[]", "3", '{"format": 1}', '{"format": 1, "position": "7", "files": 3}'],
)
def test_a_state_that_makes_no_sense_is_none(tmp_path: Path, text: str) -> None:
    (tmp_path / "entries.json").write_text(text)

    assert state.read(tmp_path, "entries") is None


def test_a_state_forgotten_is_none(tmp_path: Path) -> None:
    state.write(tmp_path, "entries", "7")
    state.forget(tmp_path, "entries")
    state.forget(tmp_path, "entries")

    assert state.read(tmp_path, "entries") is None
