"""Chains from an item to the next switcher or mixer: short, in order, never without an end."""

import itertools
from datetime import timedelta

import pytest
from builders import BEGAN, a_cable, a_model, an_item
from sqlmodel import Session

from kb.gear import chains, links
from kb.gear.chains import Chains


def join(session: Session, start: str, end: str, cable: str = "") -> None:
    """Join 'CC-01 video out' to 'VC-01 in'."""
    (from_item, _, from_port), (to_item, _, to_port) = start.partition(" "), end.partition(" ")
    values = {"cable": cable, "from_item": from_item, "from_port": from_port}
    links.connect(session, {**values, "to_item": to_item, "to_port": to_port}, BEGAN)


def told(found: Chains) -> list[str]:
    """Return each chain as one line, what runs beside in brackets."""
    return [
        " > ".join(
            f"{hop.near_port}|{hop.cable}|{hop.far_port} {hop.name}"
            + (f" (+{hop.beside})" if hop.beside else "")
            for hop in line
        )
        for line in found.lines
    ]


@pytest.fixture(autouse=True)
def _studio(session: Session) -> None:
    switcher = a_model(session, maker="Brelvane", name="20", equipment_class="video-switcher")
    mixer = a_model(session, maker="Brelvane", name="32", equipment_class="audio-mixer")
    for name in ("CC-01", "CC-02", "VC-01", "AI-01", "MM-01", "RC-01"):
        an_item(session, name)
    an_item(session, "VS-01", model=switcher)
    an_item(session, "AM-01", model=mixer)
    for name in ("HD-01", "HD-02"):
        a_cable(session, name)
    join(session, "CC-01 video out", "VC-01 in", "HD-01")
    join(session, "VC-01 out", "VS-01 in 10", "HD-02")
    join(session, "CC-02 video out", "VS-01 in 2")
    join(session, "CC-01 audio", "AI-01 channels 1-4")
    for number in (1, 2, 3):
        join(session, f"AI-01 out {number}", f"AM-01 in {number}")
    join(session, "VS-01 multiview", "MM-01 in")
    join(session, "AM-01 main", "VS-01 audio in")


def test_a_chain_ends_at_the_switcher_and_leads_beside_each_other_are_one(
    session: Session,
) -> None:
    assert told(chains.chains_down(session, "CC-01")) == [
        "audio||channels 1-4 AI-01 > out 1||in 1 AM-01 (+2)",
        "video out|HD-01|in VC-01 > out|HD-02|in 10 VS-01",
    ]
    assert chains.chains_up(session, "CC-01") == Chains((), cut=False)


def test_what_feeds_a_hub_is_told_by_port_the_shortest_first(session: Session) -> None:
    assert told(chains.chains_up(session, "VS-01")) == [
        "audio in||main AM-01",
        "in 2||video out CC-02",
        "in 10|HD-02|out VC-01 > in|HD-01|video out CC-01",
    ]


def test_a_lead_begins_with_its_own_ends(session: Session) -> None:
    assert told(chains.chains_up(session, "HD-01")) == ["||video out CC-01"]
    assert told(chains.chains_down(session, "HD-01")) == ["||in VC-01 > out|HD-02|in 10 VS-01"]


def test_two_signals_on_labelled_leads_between_the_same_two_stay_two(session: Session) -> None:
    for number in (3, 4):
        a_cable(session, f"HD-0{number}")
        join(session, f"RC-01 out {number}", f"VS-01 in {number}", f"HD-0{number}")

    assert told(chains.chains_down(session, "RC-01")) == [
        "out 3|HD-03|in 3 VS-01",
        "out 4|HD-04|in 4 VS-01",
    ]


def test_a_ring_is_told_once_and_comes_to_an_end(session: Session) -> None:
    join(session, "RC-01 loop out", "CC-02 in")
    join(session, "CC-02 back", "RC-01 in")

    found = chains.chains_down(session, "RC-01")

    assert "loop out||in CC-02 > back||in RC-01" in told(found)
    assert not found.cut


def test_what_was_parted_is_no_more(session: Session) -> None:
    links.disconnect(session, "HD-02", BEGAN + timedelta(days=1))

    assert told(chains.chains_down(session, "HD-01")) == ["||in VC-01"]


def test_an_endless_studio_is_cut_and_says_so(session: Session) -> None:
    names = [f"XX-{number:02}" for number in range(14)]
    for name in names:
        an_item(session, name)
    for start, end in itertools.pairwise(names):
        join(session, f"{start} out", f"{end} in")

    found = chains.chains_down(session, "XX-00")

    assert found.cut
    assert len(found.lines[0]) == 8
    for number in range(130):
        an_item(session, f"YY-{number:03}")
        join(session, f"MM-01 out {number}", f"YY-{number:03} in")
    wide = chains.chains_down(session, "MM-01")
    assert wide.cut
    assert len(wide.lines) == 120
