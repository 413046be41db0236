"""Leads lie and join as they can: nothing in two places at a time."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from itertools import pairwise

import pytest

from kb.demo import story as told
from kb.demo.gear_rows import Link
from kb.demo.story import Story

FOREVER = date.max


@pytest.fixture(scope="module")
def story() -> Story:
    return told.load()


def overlaps(links: Iterable[Link]) -> list[tuple[Link, Link]]:
    """Return the pairs of links that are open at the same time."""
    ordered = sorted(links, key=lambda link: link.since)
    return [
        (one, other) for one, other in pairwise(ordered) if (one.until or FOREVER) > other.since
    ]


def test_no_port_and_no_cable_has_two_links_at_a_time(story: Story) -> None:
    users: dict[str, list[Link]] = defaultdict(list)
    for link in story.links:
        users[f"{link.from_item} {link.from_port} out"].append(link)
        users[f"{link.to_item} {link.to_port} in"].append(link)
        if link.cable is not None:
            users[link.cable].append(link)
    assert [found for links in users.values() for found in overlaps(links)] == []


def test_links_join_things_that_are_there_and_in_use(story: Story) -> None:
    items = {item.name: item for item in story.items}
    for link in story.links:
        assert link.until is None or link.since < link.until, link
        for name in filter(None, (link.cable, link.from_item, link.to_item)):
            item = items[name]
            gone = min(item.retired_on or FOREVER, item.set_aside_on or FOREVER)
            assert item.in_service <= link.since, link
            assert (link.until or FOREVER) <= gone, link


def test_cables_are_leads_and_ends_are_devices(story: Story) -> None:
    classes = {model.name: model.equipment_class for model in story.models}
    kinds = {item.name: classes[item.model] for item in story.items}
    assert {kinds[link.cable] for link in story.links if link.cable} == {"cable"}
    assert not {"cable", "drive"} & {
        kinds[end] for link in story.links for end in (link.from_item, link.to_item)
    }


def test_what_is_lent_is_linked_to_nothing(story: Story) -> None:
    for loan in story.loans:
        if loan.item is None or loan.out_on is None:
            continue
        for link in story.links:
            if loan.item in (link.cable, link.from_item, link.to_item):
                away = loan.back_on or FOREVER
                assert (link.until or FOREVER) <= loan.out_on or away <= link.since, link


def test_a_lead_that_failed_was_serving_what_the_fault_was_seen_on(story: Story) -> None:
    cables = {item.name for item in story.items if item.name[:2] in ("HD", "NW")}
    for fault in story.faults:
        ends = {
            end
            for link in story.links
            if link.cable == fault.item and link.since <= fault.on <= (link.until or FOREVER)
            for end in (link.from_item, link.to_item)
        }
        # HD-08 lay ready for a reserve computer and joined no port of its own.
        if fault.item in cables and fault.item != "HD-08":
            assert fault.seen_on in ends, fault


def test_all_six_converters_have_a_lead_since_the_sixth_computer_came(story: Story) -> None:
    for day in (date(2025, 9, 8), date(2026, 1, 23), date(2026, 3, 1), date(2026, 10, 31)):
        joined = {
            link.to_item: link.cable
            for link in story.links
            if link.to_item.startswith("VC-") and link.since <= day < (link.until or FOREVER)
        }
        assert sorted(joined) == [f"VC-0{number}" for number in range(1, 7)]
        assert len(set(joined.values())) == 6
    assert set(joined.values()) == {"HD-19", "HD-20", "HD-21", "HD-22", "HD-23", "HD-24"}


def test_the_drawer_holds_as_many_spare_leads_as_were_counted(story: Story) -> None:
    leads = [item for item in story.items if item.name.startswith("HD-")]
    for count in story.spare_counts:
        if count.spare != "HDMI 2 to 3 m":
            continue
        lies = {lead.name: lead.place for lead in leads if lead.in_service <= count.on}
        for move in story.moves:
            if move.item in lies and move.on <= count.on:
                lies[move.item] = move.place
        assert sum(place == "C1" for place in lies.values()) == count.count, count


def test_what_was_retired_or_set_aside_went_where_nobody_takes_it(story: Story) -> None:
    last = {move.item: move for move in story.moves}
    for item in story.items:
        gone = item.retired_on or item.set_aside_on
        if gone is not None:
            assert last[item.name].on == gone
            assert last[item.name].place == ("S3" if item.name == "RC-02" else "red bin")


def test_the_slow_model_falls_and_the_others_stay_flat(story: Story) -> None:
    models = {item.name: item.model for item in story.items}
    by_drive: dict[str, list[int]] = defaultdict(list)
    for speed in story.drive_speeds:
        by_drive[speed.drive].append(speed.bytes_per_second)
    for drive, rates in by_drive.items():
        assert rates == sorted(rates, reverse=True), drive
        flat = rates[-1] > 0.96 * rates[0]
        assert flat == (models[drive] != "Silo 1T"), drive
    assert by_drive["DR-05"][-1] == 36_000_000
    assert by_drive["DR-03"][-1] == 39_000_000
