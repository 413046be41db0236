"""The base of entries: every revision is kept, a withdrawn entry stays out until it's accepted."""

from datetime import timedelta

import pytest
from fault_builders import NOW, an_entry, an_entry_text
from sqlmodel import Session

from kb.entries import library, parse
from kb.entries.library import EntryLine
from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.records import journal
from kb.records.kinds import EntryStatus
from kb.records.unit import Writer, write_as

SLUG = "display-no-signal"
LATER = NOW + timedelta(days=1)


def save(session: Session, seen: int | None = None, **over: object) -> EntryLine:
    return library.save_entry(session, an_entry_text(SLUG, **over), LATER, "as seen", seen)


def test_a_new_entry_is_kept_as_its_first_revision(session: Session) -> None:
    text = an_entry_text(SLUG)
    line = library.save_entry(session, text, NOW)
    assert (line.slug, line.title, line.area) == (
        SLUG,
        "Screen says no signal",
        "Displays and video",
    )
    assert (line.status, line.revision) == (EntryStatus.ACCEPTED, 1)
    page = library.entry_page(session, SLUG)
    assert (page.line, page.text, page.entry) == (line, text, parse.entry_from(text))
    assert (page.by, page.at) == ("M.O.", NOW)


def test_a_changed_text_is_a_new_revision_and_the_old_one_stays(session: Session) -> None:
    an_entry(session)
    session.flush()
    write_as(session, Writer("J.P.", "terminal", LATER))
    line = save(session, title="Screen is dark", area="Cables and connectors")
    assert (line.title, line.area, line.revision) == ("Screen is dark", "Cables and connectors", 2)
    first, second = library.revisions(session, SLUG)
    assert (first.number, first.text, first.by, first.at) == (1, an_entry_text(SLUG), "M.O.", NOW)
    assert (second.number, second.by, second.at, second.note) == (2, "J.P.", LATER, "as seen")
    assert library.entry_page(session, SLUG).text == second.text
    told = journal.steps(session, "entry", library.entry_by(session, SLUG).key)[-1]
    assert told.changes["title"] == ("Screen says no signal", "Screen is dark")


def test_the_same_text_again_is_no_revision(session: Session) -> None:
    an_entry(session)
    line = save(session)
    # A form sends a text with other line ends.
    again = library.save_entry(session, an_entry_text(SLUG).replace("\n", "\r\n"), LATER)
    assert line == again
    assert len(library.revisions(session, SLUG)) == 1


def test_going_back_to_an_earlier_text_is_a_revision_of_its_own(session: Session) -> None:
    an_entry(session)
    save(session, title="Screen is dark")
    assert save(session).revision == 3
    texts = [one.text for one in library.revisions(session, SLUG)]
    assert texts[0] == texts[2] != texts[1]


def test_the_second_of_two_writers_is_told_of_the_first(session: Session) -> None:
    an_entry(session)
    seen = library.entry_page(session, SLUG).line.version
    save(session, seen, title="Screen is dark")
    with pytest.raises(ConflictError, match="'Screen says no signal' -> 'Screen is dark'"):
        save(session, seen, title="Screen is black")
    with pytest.raises(ConflictError, match="was changed after you looked"):
        library.set_status(session, SLUG, EntryStatus.WITHDRAWN, seen)
    assert library.entry_page(session, SLUG).line.title == "Screen is dark"


def test_a_text_that_is_no_entry_is_refused_line_by_line(session: Session) -> None:
    broken = an_entry_text(SLUG).replace("area: Displays and video", "area: Cellar")
    with pytest.raises(InvalidError) as error:
        library.save_entry(session, broken.replace("takes: 30s", "takes: long"), NOW)
    fields = [problem.field for problem in error.value.problems]
    assert fields == ["line 4", "line 9"]
    assert library.entry_lines(session) == ()


@pytest.mark.parametrize("note", ["x" * 301, "a\x00b", "a\u202eb"])
def test_a_note_is_a_line(session: Session, note: str) -> None:
    with pytest.raises(InvalidError, match=r"^note: "):
        library.save_entry(session, an_entry_text(SLUG), NOW, note)


def test_a_withdrawn_entry_is_out_until_it_is_accepted_again(session: Session) -> None:
    an_entry(session)
    key = library.entry_by(session, SLUG).key
    assert library.set_status(session, SLUG, EntryStatus.WITHDRAWN).status == "withdrawn"
    assert library.texts(session) == {}
    assert library.entry_page(session, SLUG).text == an_entry_text(SLUG)
    with pytest.raises(ConflictError, match="is withdrawn already"):
        library.set_status(session, SLUG, EntryStatus.WITHDRAWN)
    # A newer text doesn't bring it back.
    assert save(session, title="Screen is dark").status == EntryStatus.WITHDRAWN
    library.set_status(session, SLUG, EntryStatus.ACCEPTED)
    assert library.texts(session) == {key: an_entry_text(SLUG, title="Screen is dark")}
    assert library.texts(session, [key + 1]) == {}


def test_a_draft_is_kept_as_one(session: Session) -> None:
    text = an_entry_text(SLUG)
    library.save_entry(session, text, NOW, status=EntryStatus.DRAFT)
    assert save(session, title="Screen is dark").status == EntryStatus.DRAFT
    assert library.set_status(session, SLUG, EntryStatus.ACCEPTED).status == EntryStatus.ACCEPTED


def test_entries_are_listed_by_area_and_title(session: Session) -> None:
    for slug, area, title in (
        ("one", "Network", "No address"),
        ("two", "Audio", "Hum"),
        ("three", "Audio", "Echo"),
    ):
        library.save_entry(session, an_entry_text(slug, area=area, title=title), NOW)
    library.set_status(session, "one", EntryStatus.WITHDRAWN)
    assert [line.slug for line in library.entry_lines(session)] == ["three", "two", "one"]
    assert [line.slug for line in library.entry_lines(session, "Audio")] == ["three", "two"]
    accepted = library.entry_lines(session, status=EntryStatus.ACCEPTED)
    assert [line.slug for line in accepted] == ["three", "two"]
    assert library.entry_lines(session, "Cellar") == ()


def test_a_slug_that_is_none_is_told(session: Session) -> None:
    an_entry(session)
    assert library.entry_by(session, f" {SLUG} ").slug == SLUG
    for look in (library.entry_page, library.revisions, library.entry_by):
        with pytest.raises(NotFoundError, match="No entry 'no-such'"):
            look(session, "no-such")


def test_a_draft_writes_over_no_entry_that_stands(session: Session) -> None:
    assert library.add_draft(session, an_entry_text("new"), NOW).status == EntryStatus.DRAFT
    an_entry(session)
    with pytest.raises(ConflictError, match=f"There is an entry '{SLUG}' already"):
        library.add_draft(session, an_entry_text(SLUG, title="Mine"), LATER)
    assert library.entry_page(session, SLUG).line.title == "Screen says no signal"


def test_an_edited_entry_keeps_its_slug(session: Session) -> None:
    seen = library.entry_page(session, an_entry(session)).line.version
    with pytest.raises(InvalidError, match=f"Write '{SLUG}' in place of 'other'"):
        library.edit_entry(session, SLUG, an_entry_text("other"), LATER)
    assert [one.slug for one in library.entry_lines(session)] == [SLUG]
    text = an_entry_text(SLUG, title="Dark")
    assert library.edit_entry(session, SLUG, text, LATER, "why", seen).title == "Dark"
    with pytest.raises(ConflictError):
        library.edit_entry(session, SLUG, an_entry_text(SLUG), LATER, None, seen)
