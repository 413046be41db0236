"""Every public function that takes a session: which write, and how to call them; which read.

Whoever adds such a function adds it here, or `whole/test_history.py` fails: with a call, if it
writes; by its name, if it reads or is a part of one that writes and stands here.
"""

import io
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path

from builders import a_cable, a_drive, a_model, a_place, an_item
from fault_builders import a_fault, a_try, an_entry, an_entry_text
from PIL import Image
from sqlmodel import Session

from kb.crew import admission, feeds, pairings, people
from kb.entries import folders, library
from kb.exchange import tables
from kb.faults import attempts, closing, log, mistakes, photos, replacing, story
from kb.gear import (
    ahead,
    drives,
    items,
    links,
    loans,
    lookup,
    models,
    places,
    retiring,
    shows,
    spares,
    swapping,
    upkeep,
)
from kb.records.kinds import EntryStatus, Outcome
from kb.search import unanswered, words

PACKAGES = ("crew", "entries", "exchange", "faults", "gear", "labels", "review", "search")
# What the studio is made at, and the later time at which a write is done.
BEGAN = datetime(2026, 3, 19, 12, 0, tzinfo=UTC)
AT = BEGAN + timedelta(days=1)

_CALENDAR = {"person": "Zoë", "device": "wall"}
Act = Callable[[Session, Path], object]


def a_studio(session: Session) -> None:
    """Make what the writes below write to: one of each, and a second of what can be merged."""
    for name in ("M.O.", "A.K.", "Zoë"):
        people.add_person(session, {"name": name})
    for name in ("RR", "ST", "empty"):
        a_place(session, name)
    for name in ("CC-01", "CC-02", "VC-01", "VC-02"):
        an_item(session, name, at=BEGAN, place="RR")
    for name in ("HD-01", "HD-02", "HD-03"):
        a_cable(session, name, at=BEGAN)
    a_drive(session, at=BEGAN)
    a_model(session, name="Ribbonet III")
    ends = {"from_item": "CC-01", "from_port": "out", "to_item": "VC-01", "to_port": "in"}
    links.connect(session, {"cable": "HD-01", **ends}, BEGAN)
    shows.add_show(session, {"title": "Panel 12", "air_at": AT})
    shows.add_show(session, {"title": "Panel 13", "air_at": AT})
    shows.cancel_show(session, 2, BEGAN)
    values = {"kind": "test", "work": "run", "items": "CC-01=pass, CC-02", "tester": "Zoë"}
    upkeep.add_service(session, values, BEGAN)
    loans.lend(session, "CC-02", {"borrower": "a school"}, BEGAN)
    spares.set_spare(session, {"name": "leads", "minimum": 2, "models": "Ribbonet 3"})
    drives.add_test(session, "DR-01", "182 MB/s", BEGAN)
    pairings.offer(session, {"person": "Zoë"}, AT)
    feeds.add_feed(session, _CALENDAR, BEGAN)
    a_story(session)


def _joined_again(session: Session) -> None:
    unit = lookup.item(session, "CC-01")
    retiring.end_links(session, unit, AT)
    retiring.join_again(session, unit, AT, AT)


def a_story(session: Session) -> None:
    """Make an entry, faults and what was tried on them, and a search that found nothing."""
    an_entry(session, at=BEGAN)
    for _number in range(3):
        a_fault(session, at=BEGAN, entry="display-no-signal", reporter="Zoë")
    a_try(session, 1, at=BEGAN)
    closing.close_fault(session, 2, {"kind": "own failure"}, BEGAN)
    unanswered.keep(session, "green wall", BEGAN)
    words.add_word(session, {"word": "wobbly", "means": "screen flickers"}, BEGAN)


def _mistaken_and_back(session: Session) -> None:
    mistakes.take_back(session, 1, AT)
    mistakes.bring_back(session, 1)


def an_edited_text(slug: str = "display-no-signal") -> str:
    return an_entry_text(slug, title="Screen stays dark")


def a_folder(folder: Path, text: str, slug: str = "display-no-signal") -> Path:
    (folder / f"{slug}.md").write_text(text)
    return folder


def _joined(cable: str) -> dict[str, str]:
    ends = {"from_item": "CC-02", "from_port": "out", "to_item": "VC-02", "to_port": "in"}
    return {"cable": cable, **ends}


def a_picture() -> bytes:
    """Return a small picture."""
    file = io.BytesIO()
    Image.new("RGB", (4, 3), "navy").save(file, "PNG")
    return file.getvalue()


WRITES: Mapping[str, Act] = {
    "crew.people.add_person": lambda s, _f: people.add_person(s, {"name": "K.L."}),
    "crew.people.change_person": lambda s, _f: people.change_person(s, "A.K.", {"role": "lead"}),
    "crew.people.merge_person": lambda s, _f: people.merge_person(s, "Zoë", "A.K."),
    "crew.people.forget_person": lambda s, _f: people.forget_person(s, "Zoë"),
    "crew.admission.admit_strangers": lambda s, _f: admission.admit_strangers(s, "nothing"),
    "crew.admission.keep_printed_host": lambda s, _f: admission.keep_printed_host(s, "kb.lan"),
    "crew.feeds.add_feed": lambda s, _f: feeds.add_feed(s, _CALENDAR, AT),
    "crew.feeds.end_feed": lambda s, _f: feeds.end_feed(s, 1),
    "crew.pairings.offer": lambda s, _f: pairings.offer(s, {"person": "A.K."}, AT),
    "crew.pairings.accept": lambda s, _f: pairings.accept(
        s, pairings.offer(s, {"person": "A.K."}, AT).ticket, AT
    ),
    "crew.pairings.add_script": lambda s, _f: pairings.add_script(
        s, {"person": "A.K.", "device": "wall clock", "role": "reader"}, AT
    ),
    "crew.pairings.end_pairing": lambda s, _f: pairings.end_pairing(s, 1),
    "gear.models.add_model": lambda s, _f: models.add_model(s, {"maker": "A", "name": "B"}),
    "gear.models.change_model": lambda s, _f: models.change_model(
        s, "Ribbonet 3", {"technical": "length=3 m"}
    ),
    "gear.models.merge_model": lambda s, _f: models.merge_model(
        s, "Ribbonet 3", "Ribbonet III", AT
    ),
    "gear.places.add_place": lambda s, _f: places.add_place(s, {"name": "C1"}, AT),
    "gear.places.change_place": lambda s, _f: places.change_place(s, "ST", {"within": "RR"}),
    "gear.places.retire_place": lambda s, _f: places.retire_place(s, "empty", AT),
    "gear.places.merge_place": lambda s, _f: places.merge_place(s, "RR", "ST"),
    "gear.ahead.relabel_place": lambda s, _f: ahead.relabel_place(s, "RR", "K7M4XV", AT),
    "gear.ahead.relabel_known": lambda s, _f: ahead.relabel_known(s, "CC-01", "K7M4XV", AT),
    "gear.ahead.relabel": lambda s, _f: ahead.relabel(s, "CC-01", "K7M4XV", AT),
    "gear.items.add_item": lambda s, _f: items.add_item(
        s, {"name": "CC-09", "place": "RR", "in_service": "2026-03-20", "price": "9"}, AT
    ),
    "gear.items.change_item": lambda s, _f: items.change_item(
        s, "CC-01", {"name": "CC-09", "note": "loud", "place": "ST"}, AT
    ),
    "gear.items.move_item": lambda s, _f: items.move_item(s, "CC-01", "ST", AT, "spare now"),
    "gear.items.set_state": lambda s, _f: items.set_state(s, "CC-01", "retired", AT, "burnt"),
    "gear.items.merge_item": lambda s, _f: items.merge_item(s, "CC-01", "CC-02", AT),
    "gear.links.connect": lambda s, _f: links.connect(s, _joined("HD-02"), AT),
    "gear.links.disconnect": lambda s, _f: links.disconnect(s, "HD-01", AT),
    "gear.links.replace_cable": lambda s, _f: links.replace_cable(s, "HD-01", "HD-02", AT),
    "gear.links.change_link": lambda s, _f: links.change_link(s, 1, {"to_port": "in 2"}),
    "gear.swapping.swap_item": lambda s, _f: swapping.swap_item(s, "VC-01", "VC-02", AT),
    "gear.retiring.end_links": lambda s, _f: retiring.end_links(s, lookup.item(s, "CC-01"), AT),
    "gear.retiring.join_again": lambda s, _f: _joined_again(s),
    "gear.shows.add_show": lambda s, _f: shows.add_show(s, {"title": "x", "air_at": AT}),
    "gear.shows.change_show": lambda s, _f: shows.change_show(s, 1, {"ends_at": AT}),
    "gear.shows.cancel_show": lambda s, _f: shows.cancel_show(s, 1, AT),
    "gear.shows.reinstate_show": lambda s, _f: shows.reinstate_show(s, 2),
    "gear.upkeep.add_service": lambda s, _f: upkeep.add_service(
        s, {"kind": "repair", "work": "new plug", "items": "HD-01=pass", "fault": "1"}, AT
    ),
    "gear.upkeep.change_service": lambda s, _f: upkeep.change_service(
        s, 1, {"work": "ran", "items": "CC-01=fail, HD-01"}, AT
    ),
    "gear.loans.lend": lambda s, _f: loans.lend(s, "CC-01", {"borrower": "a school"}, AT),
    "gear.loans.take_back": lambda s, _f: loans.take_back(s, "CC-02", AT),
    "gear.loans.change_loan": lambda s, _f: loans.change_loan(s, 1, {"due": "2026-04-01"}),
    "gear.spares.set_spare": lambda s, _f: spares.set_spare(
        s, {"name": "cells", "minimum": 24, "on_hand": 30}
    ),
    "gear.spares.change_spare": lambda s, _f: spares.change_spare(
        s, "leads", {"minimum": 3, "models": "Ribbonet III"}, AT
    ),
    "gear.spares.remove_spare": lambda s, _f: spares.remove_spare(s, "leads", AT),
    "gear.drives.add_test": lambda s, _f: drives.add_test(s, "DR-01", "150 MB/s", AT),
    "gear.drives.change_test": lambda s, _f: drives.change_test(s, 1, {"note": "warm"}),
    "faults.log.log_fault": lambda s, _f: log.log_fault(s, {"text": "dark", "item": "CC-01"}, AT),
    "faults.log.correct_fault": lambda s, _f: log.correct_fault(s, 1, {"item": "CC-02"}, AT),
    "faults.log.merge_fault": lambda s, _f: log.merge_fault(s, 1, 3),
    "faults.attempts.record_attempt": lambda s, _f: a_try(s, 3, at=AT),
    "faults.attempts.correct_attempt": lambda s, _f: attempts.correct_attempt(
        s, 1, Outcome.DID_NOT_WORK
    ),
    "faults.attempts.strike_attempt": lambda s, _f: attempts.strike_attempt(s, 1, "a slip", AT),
    "faults.closing.close_fault": lambda s, _f: closing.close_fault(
        s, 1, {"kind": "handling", "note": "pulled out"}, AT
    ),
    "faults.closing.correct_cause": lambda s, _f: closing.correct_cause(
        s, 2, {"kind": "handling"}
    ),
    "faults.closing.reopen_fault": lambda s, _f: closing.reopen_fault(s, 2, AT),
    "faults.mistakes.take_back": lambda s, _f: mistakes.take_back(s, 1, AT),
    "faults.mistakes.bring_back": lambda s, _f: _mistaken_and_back(s),
    "faults.replacing.replace_unit": lambda s, _f: replacing.replace_unit(
        s, 3, {"spare": "VC-02", "outcome": "worked", "doubtful": True}, AT
    ),
    "faults.story.point_at": lambda s, _f: story.point_at(
        s, a_fault(s, at=AT), "display-no-signal", AT
    ),
    "faults.photos.keep_photo": lambda s, folder: photos.keep_photo(s, folder, 1, a_picture(), AT),
    "faults.photos.take_down_photo": lambda s, folder: photos.take_down_photo(
        s, 1, photos.keep_photo(s, folder, 1, a_picture(), AT), AT
    ),
    "entries.library.save_entry": lambda s, _f: library.save_entry(s, an_edited_text(), AT),
    "entries.library.add_draft": lambda s, _f: library.add_draft(s, an_edited_text("new"), AT),
    "entries.library.edit_entry": lambda s, _f: library.edit_entry(
        s, "display-no-signal", an_edited_text(), AT
    ),
    "entries.library.set_status": lambda s, _f: library.set_status(
        s, "display-no-signal", EntryStatus.WITHDRAWN
    ),
    "entries.folders.import_folder": lambda s, folder: folders.import_folder(
        s, a_folder(folder, an_edited_text("display-dark"), "display-dark"), AT
    ),
    "entries.folders.merge_starter": lambda s, folder: folders.merge_starter(
        s, a_folder(folder, an_edited_text("display-dark"), "display-dark"), AT
    ),
    "exchange.tables.take_in": lambda s, _f: tables.take_in(s, "items", "name\r\nCC-09\r\n", AT),
    "search.unanswered.keep": lambda s, _f: unanswered.keep(s, "blue wall", AT),
    "search.words.add_word": lambda s, _f: words.add_word(
        s, {"word": "the brick", "means": "power supply"}, AT
    ),
    "search.words.remove_word": lambda s, _f: words.remove_word(s, 1, AT),
    "search.unanswered.answer": lambda s, _f: unanswered.answer(
        s, "green wall", "display-no-signal"
    ),
}

# Parts of writes that stand above: what they write, those leave in history.
PARTS = frozenset(
    {
        "faults.log.fault_for_change",
        "faults.log.standing_for_change",
        "faults.standing.restate",
        "gear.ahead.reserve",
        "gear.ahead.take",
        "gear.items.draw_code",
        "gear.placing.put",
    }
)

READS = frozenset(
    {
        "crew.admission.printed_hosts",
        "crew.admission.require_lead",
        "crew.admission.strangers",
        "crew.feeds.feeds",
        "crew.feeds.opened",
        "crew.pairings.holder",
        "crew.pairings.offered_to",
        "crew.pairings.pairings",
        "crew.people.people",
        "crew.people.person_by",
        "entries.evidence.of_entries",
        "entries.folders.export_folder",
        "entries.library.entry_by",
        "entries.library.entry_lines",
        "entries.library.entry_page",
        "entries.library.newest",
        "entries.library.revisions",
        "entries.library.texts",
        "entries.overview.naming",
        "entries.overview.summaries",
        "entries.thin.report",
        "exchange.one_page.html",
        "exchange.one_page.write",
        "exchange.tables.give_out",
        "faults.cures.cures_of",
        "faults.closing.likely_kind",
        "faults.frequent.frequent",
        "faults.log.fault_by",
        "faults.photos.content_of",
        "faults.photos.photos_of",
        "faults.standing.attempts",
        "faults.standing.verdict",
        "faults.story.draft_of",
        "faults.story.told_by",
        "faults.story.written_down",
        "faults.titles.of_entries",
        "faults.usual.usual",
        "faults.views.fault_lines",
        "faults.views.fault_page",
        "faults.views.version_of",
        "gear.ahead.is_free",
        "gear.ahead.reserved",
        "gear.ahead.unused",
        "gear.chains.chains_down",
        "gear.chains.chains_up",
        "gear.drives.tests_of",
        "gear.duplicates.require_one_thing",
        "gear.links.ends_of",
        "gear.loans.borrowers",
        "gear.loans.loan_by",
        "gear.loans.loans_of",
        "gear.loans.open_loans",
        "gear.lookup.by_key",
        "gear.lookup.item",
        "gear.lookup.known_item",
        "gear.meant.place",
        "gear.meant.thing",
        "gear.lookup.items",
        "gear.lookup.model",
        "gear.lookup.place",
        "gear.lookup.require_class",
        "gear.lookup.place_of_code",
        "gear.pages.item_page",
        "gear.paths.link_by",
        "gear.paths.link_lines",
        "gear.paths.links_of",
        "gear.paths.path_down",
        "gear.paths.path_up",
        "gear.placing.newest",
        "gear.placing.require_empty",
        "gear.ports.require_possible",
        "gear.ports.told",
        "gear.readiness.lying_in",
        "gear.retiring.since",
        "gear.rooms.at_places",
        "gear.rooms.minute_costs",
        "gear.shows.minutes_to_air",
        "gear.shows.next_show",
        "gear.shows.on_air",
        "gear.shows.show_at",
        "gear.shows.show_by",
        "gear.shows.around",
        "gear.shows.show_lines",
        "gear.shows.shows_at",
        "gear.shows.shows",
        "gear.spares.count",
        "gear.spares.short",
        "gear.spares.spares",
        "gear.upkeep.due",
        "gear.upkeep.service_by",
        "gear.upkeep.services_of",
        "gear.views.item_count",
        "gear.views.item_lines",
        "gear.views.lines_of",
        "gear.views.model_lines",
        "gear.views.place_lines",
        "labels.choose.all_items",
        "labels.choose.all_places",
        "labels.choose.named",
        "labels.choose.of_codes",
        "labels.papers.of_slugs",
        "labels.papers.slugs_of",
        "review.columns.failures",
        "review.gather.frame",
        "review.gather.of_items",
        "review.gather.spells",
        "review.gather_faults.faults",
        "review.gather_faults.place_names",
        "review.gather_faults.placements",
        "review.health.health",
        "review.report.review_models",
        "review.reviews.before_buying",
        "review.reviews.hindsight_of",
        "review.reviews.mend_or_replace",
        "review.reviews.models_of",
        "review.reviews.of_drives",
        "review.reviews.of_fixes",
        "review.reviews.of_item",
        "review.reviews.of_model",
        "review.reviews.sorts_of",
        "review.reviews.what_first",
        "review.sums.by_model",
        "search.context.boosts",
        "search.learned.of_entries",
        "search.refresh.catch_up",
        "search.sources.changed",
        "search.sources.everything",
        "search.unanswered.wanted",
        "search.words.own_words",
    }
)
