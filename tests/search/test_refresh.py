"""The indexes follow what is recorded: what a change touches is found at once, as made anew."""

import shutil
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from builders import a_model, a_place, an_item
from fault_builders import FAILED, NOW, a_fault, a_try, an_entry, an_entry_text
from indexed import CLOCK, contents, found, fresh
from sqlmodel import Session

from kb.entries import library
from kb.faults import attempts, closing, log
from kb.gear import items, models, places
from kb.records.kinds import EntryStatus
from kb.search import index, refresh, sources
from kb.search.documents import KINDS

DAY = timedelta(days=1)
SLUG = "display-no-signal"


def evidence(session: Session, folder: Path, fix: str = "replug", slug: str = SLUG) -> Any:  # noqa: ANN401 - as JSON keeps it
    """Return how often the index says that a fix was tried and worked."""
    assert refresh.catch_up(session, folder, CLOCK)
    stored: Any = contents(folder)["entry", slug].stored
    fixes = {one["key"]: one for one in (*stored["fixes"], stored["swap"])}
    return fixes[fix]["evidence"]


@pytest.fixture
def studio(session: Session, folder: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Session]:  # noqa: ARG001 - what a test patches holds for the comparison
    """Fill a base with things of each kind; at the end compare its indexes with new ones."""
    a_place(session)
    a_place(session, "R1", kind="rack", within="RR")
    an_item(session, "CC-01", place="RR/R1", serial="HA202300017")
    an_item(session, "CC-02", place="RR")
    an_entry(session)
    a_fault(session, "CC-01", entry=SLUG, noticed_at=NOW - 9 * DAY)
    assert refresh.catch_up(session, folder, CLOCK)
    yield session
    assert refresh.catch_up(session, folder, CLOCK)
    assert contents(folder) == fresh(session, folder)


def test_nothing_is_written_where_nothing_changed(studio: Session, folder: Path) -> None:
    before = {path.name: path.stat().st_mtime_ns for path in folder.iterdir()}
    assert refresh.catch_up(studio, folder, CLOCK)
    assert {path.name: path.stat().st_mtime_ns for path in folder.iterdir()} == before


def test_an_index_that_a_change_does_not_touch_only_moves_on(
    studio: Session, folder: Path
) -> None:
    def written(pattern: str) -> dict[str, int]:
        return {path.name: path.stat().st_mtime_ns for path in folder.glob(pattern)}

    before = written("*records_*"), written("*entries_*")
    library.save_entry(studio, an_entry_text(SLUG, title="Screen is dark"), NOW)
    assert refresh.catch_up(studio, folder, CLOCK)
    assert written("*records_*") == before[0]
    assert written("*entries_*") != before[1]
    assert index.position(folder, "records") == index.position(folder, "entries")


def test_an_entry_is_found_by_its_new_words_at_once_and_no_more_by_its_old(
    studio: Session, folder: Path
) -> None:
    assert found(studio, folder, "connected") == [SLUG]
    words = ("a zebra pattern crawls over it",)
    library.save_entry(studio, an_entry_text(SLUG, symptoms=words), NOW)
    assert found(studio, folder, "zebra") == [SLUG]
    assert found(studio, folder, "connected") == []


def test_a_withdrawn_entry_is_not_found_until_it_is_accepted(
    studio: Session, folder: Path
) -> None:
    library.set_status(studio, SLUG, EntryStatus.WITHDRAWN)
    assert found(studio, folder, "signal") == []
    library.set_status(studio, SLUG, EntryStatus.ACCEPTED)
    assert found(studio, folder, "signal") == [SLUG]
    library.save_entry(studio, an_entry_text("draft-one"), NOW, status=EntryStatus.DRAFT)
    assert found(studio, folder, "signal") == [SLUG]


def test_attempts_change_the_evidence_that_is_shown(studio: Session, folder: Path) -> None:
    def counted(tried: int, worked: int, last: str | None) -> dict[str, object]:
        return {"tried": tried, "worked": worked, "pending": [], "last_on": last}

    day = (NOW - 8 * DAY).isoformat()
    assert evidence(studio, folder) == counted(0, 0, None)
    number = a_try(studio, 1, at=NOW - 8 * DAY)
    assert evidence(studio, folder) == counted(1, 1, day)
    attempts.correct_attempt(studio, number, FAILED)
    assert evidence(studio, folder) == counted(1, 0, day)
    attempts.strike_attempt(studio, number, "wrong fault", NOW)
    assert evidence(studio, folder) == counted(0, 0, None)
    a_try(studio, 1, "swap", at=NOW - DAY)
    pending = [(NOW + 6 * DAY).isoformat()]
    assert evidence(studio, folder, "swap") == counted(0, 0, (NOW - DAY).isoformat()) | {
        "pending": pending
    }


def test_a_fault_that_comes_back_changes_the_evidence(studio: Session, folder: Path) -> None:
    a_try(studio, 1, at=NOW - 8 * DAY)
    again = a_fault(studio, "CC-01", entry=SLUG, noticed_at=NOW - 7 * DAY)
    assert evidence(studio, folder)["worked"] == 0
    # It was another computer after all.
    log.correct_fault(studio, again, {"item": "CC-02"}, NOW)
    assert evidence(studio, folder)["worked"] == 1


def test_a_fault_given_another_entry_changes_both(studio: Session, folder: Path) -> None:
    an_entry(studio, "other-one")
    a_try(studio, 1, at=NOW - 8 * DAY)
    moved = a_fault(studio, "CC-01", entry=SLUG, noticed_at=NOW - 7 * DAY)
    other = a_fault(studio, "CC-01", entry="other-one", noticed_at=NOW - 9 * DAY)
    a_try(studio, other, at=NOW - 8 * DAY)
    assert evidence(studio, folder)["worked"] == 0
    log.correct_fault(studio, moved, {"entry": "other-one"}, NOW)
    assert evidence(studio, folder)["worked"] == 1
    assert evidence(studio, folder, slug="other-one")["worked"] == 0


def test_a_fault_opened_again_changes_the_evidence(studio: Session, folder: Path) -> None:
    a_try(studio, 1, at=NOW - 8 * DAY)
    assert evidence(studio, folder)["worked"] == 1
    closing.reopen_fault(studio, 1, NOW)
    assert evidence(studio, folder)["worked"] == 0


def test_an_item_is_found_by_name_code_and_serial_until_it_is_retired(
    studio: Session, folder: Path
) -> None:
    code = an_item(studio, "CC-03", serial="HA202500042")
    for typed in ("CC-03", code, "ha202500042"):
        assert found(studio, folder, typed, "item")[0] == code
    items.set_state(studio, "CC-03", "retired", NOW, "worn out")
    for typed in ("CC-03", code, "ha202500042"):
        assert code not in found(studio, folder, typed, "item")


def test_both_codes_of_a_merged_item_lead_to_the_one_that_stays(
    studio: Session, folder: Path
) -> None:
    kept, gone = an_item(studio, "laptop"), an_item(studio, "notebook")
    assert found(studio, folder, gone, "item")[0] == gone
    items.merge_item(studio, "notebook", "laptop", NOW)
    for typed in (gone, kept):
        listed = found(studio, folder, typed, "item")
        assert listed[0] == kept
        assert gone not in listed


def test_a_new_name_is_told_by_all_that_told_the_old(studio: Session, folder: Path) -> None:
    items.change_item(studio, "CC-01", {"name": "zebra"}, NOW)
    places.change_place(studio, "RR", {"name": "cellar"})
    models.change_model(studio, "Parlour 2", {"name": "Antechamber"})
    assert found(studio, folder, "zebra", "fault") == ["1"]
    assert found(studio, folder, "cellar", "fault") == ["1"]
    assert len(found(studio, folder, "cellar", "item")) == 2
    assert len(found(studio, folder, "antechamber", "item")) == 2


def test_a_merged_model_is_told_by_its_items(studio: Session, folder: Path) -> None:
    a_model(studio, maker="Grundel", name="Zebra", equipment_class="call-computer")
    models.merge_model(studio, "Parlour 2", "Zebra", NOW)
    assert len(found(studio, folder, "zebra", "item")) == 2


def test_a_fault_is_found_by_its_words_and_its_cause(studio: Session, folder: Path) -> None:
    number = a_fault(studio, text="a zebra on the wall")
    assert found(studio, folder, "zebra", "fault") == [str(number)]
    closing.close_fault(studio, number, {"kind": "handling", "note": "an antelope, in truth"}, NOW)
    assert found(studio, folder, "antelope", "fault") == [str(number)]
    kept = a_fault(studio, text="striped horse")
    log.merge_fault(studio, number, kept)
    assert found(studio, folder, "zebra", "fault") == []


def test_of_many_faults_the_newest_are_held(
    studio: Session, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sources, "NEWEST_FAULTS", 4)

    def held() -> set[str]:
        assert refresh.catch_up(studio, folder, CLOCK)
        return {key for kind, key in contents(folder) if kind == "fault"}

    # Fault 1 is nine days old; each of these is older than the one before.
    for days in range(10, 16):
        a_fault(studio, noticed_at=NOW - days * DAY)
    assert held() == {"1", "2", "3", "4"}
    new = str(a_fault(studio))
    assert held() == {new, "1", "2", "3"}
    a_fault(studio, noticed_at=NOW - 99 * DAY)
    assert held() == {new, "1", "2", "3"}
    # One that leaves, or turns out older, makes room for the next.
    log.merge_fault(studio, 2, 1)
    assert held() == {new, "1", "3", "4"}
    log.correct_fault(studio, 3, {"noticed_at": NOW - 98 * DAY}, NOW)
    assert held() == {new, "1", "4", "5"}
    log.correct_fault(studio, 3, {"noticed_at": NOW - 8 * DAY}, NOW)
    assert held() == {new, "1", "3", "4"}


def test_faults_of_one_moment_are_held_by_their_number(
    studio: Session, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sources, "NEWEST_FAULTS", 3)
    for _ in range(5):
        a_fault(studio)
        assert refresh.catch_up(studio, folder, CLOCK)
    log.correct_fault(studio, 2, {"text": "a zebra"}, NOW)
    assert found(studio, folder, "zebra", "fault") == []
    assert {key for kind, key in contents(folder) if kind == "fault"} == {"4", "5", "6"}


@pytest.mark.parametrize("many", [0, 1])
def test_where_very_much_changed_all_is_read_anew(
    studio: Session, folder: Path, monkeypatch: pytest.MonkeyPatch, many: int
) -> None:
    monkeypatch.setattr(sources, "MANY", many)
    places.change_place(studio, "RR", {"name": "cellar"})
    assert len(found(studio, folder, "cellar", "item")) == 2


def test_changes_applied_twice_are_applied_once(
    studio: Session, folder: Path, tmp_path: Path
) -> None:
    before = tmp_path / "before"
    shutil.copytree(folder, before)
    a_fault(studio, text="a zebra on the wall")
    items.set_state(studio, "CC-02", "retired", NOW, "worn out")
    assert refresh.catch_up(studio, folder, CLOCK)
    # The power went after the commit, before the position was written down.
    for which in KINDS:
        shutil.copy(before / f"{which}.json", folder / f"{which}.json")
    assert found(studio, folder, "zebra", "fault") == ["2"]
