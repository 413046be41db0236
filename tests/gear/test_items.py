"""Items are added, changed, moved and judged; nothing contradicts and nothing is lost."""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from random import Random

import pytest
from builders import BEGAN, a_cable, a_model, a_place, an_item
from sqlmodel import Session, col, select

from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.gear import items, links, lookup, paths
from kb.records.tables.gear import Code, Item, Placement, StateSpell


def the_item(session: Session, typed: str = "CC-01") -> Item:
    return lookup.item(session, typed)


def spells(session: Session, typed: str = "CC-01") -> list[tuple[str, datetime]]:
    found = session.scalars(
        select(StateSpell)
        .where(StateSpell.item_id == the_item(session, typed).key)
        .order_by(col(StateSpell.since), col(StateSpell.id)),
    )
    return [(spell.state, spell.since) for spell in found]


def where_it_lay(session: Session, typed: str = "CC-01") -> list[str]:
    tree = lookup.Tree(session)
    found = session.scalars(
        select(Placement)
        .where(Placement.item_id == the_item(session, typed).key)
        .order_by(col(Placement.since), col(Placement.id)),
    )
    return [tree.path(placement.place_id) for placement in found]


def test_an_item_keeps_what_was_typed_of_it(session: Session) -> None:
    a_place(session)
    code = an_item(
        session,
        place="RR",
        serial="S-77",
        batch="B1",
        in_service="2025-05-19",
        bought="2025-05-02",
        price="980",
        supplier="a shop",
        warranty_until="2027-05-02",
        note="loud fan",
    )
    item = the_item(session)
    assert item.code == code
    assert (item.serial, item.batch, item.note) == ("S-77", "B1", "loud fan")
    assert (item.in_service, item.bought) == (date(2025, 5, 19), date(2025, 5, 2))
    assert (item.price_minor, item.supplier) == (98_000, "a shop")
    assert item.warranty_until == date(2027, 5, 2)
    assert spells(session) == [("fit", BEGAN)]
    assert where_it_lay(session) == ["RR"]


def test_the_code_of_an_item_leads_to_it_for_ever(session: Session) -> None:
    code = an_item(session)
    assert session.get_one(Code, code).item_id == the_item(session).key


def test_a_code_that_was_drawn_is_never_drawn_again(session: Session, at: datetime) -> None:
    first = items.draw_code(session, at, Random(7)).code  # noqa: S311
    second = items.draw_code(session, at, Random(7)).code  # noqa: S311
    assert first != second


def test_a_source_that_draws_what_is_taken_ends_with_a_sentence(
    session: Session, at: datetime
) -> None:
    class Stuck(Random):
        def choice(self, seq: object) -> str:  # type: ignore[override]
            assert seq
            return "7"

    items.draw_code(session, at, Stuck())
    with pytest.raises(ConflictError, match="100 codes drawn were all in use"):
        items.draw_code(session, at, Stuck())


@pytest.mark.parametrize("name", ["CC-01", "cc-01", " CC-01 "])
def test_a_name_in_use_is_refused_whatever_its_case(session: Session, name: str) -> None:
    code = an_item(session)
    with pytest.raises(ConflictError, match=rf"item 'CC-01' in use \({code[:3]} {code[3:]}\)"):
        an_item(session, name)


def test_an_unknown_model_or_place_is_refused(session: Session) -> None:
    with pytest.raises(NotFoundError, match="No model 'Nonesuch'"):
        an_item(session, model="Nonesuch")
    with pytest.raises(NotFoundError, match="No place 'nowhere'"):
        an_item(session, place="nowhere")


def test_fields_not_given_stay(session: Session, at: datetime) -> None:
    a_place(session)
    an_item(session, serial="S-77", place="RR", price="14.50", in_service="2025-05-19")
    before = the_item(session).model_dump(exclude={"version", "note"})
    items.change_item(session, "CC-01", {"note": "loud fan"}, at)
    assert the_item(session).note == "loud fan"
    assert the_item(session).model_dump(exclude={"version", "note"}) == before
    assert where_it_lay(session) == ["RR"]


def test_an_empty_text_empties_a_field(session: Session, at: datetime) -> None:
    a_place(session)
    an_item(session, serial="S-77", place="RR", price="14.50", in_service="2025-05-19")
    emptied = {"serial": "", "price": "", "in_service": "", "model": "", "place": ""}
    items.change_item(session, "CC-01", emptied, at)
    item = the_item(session)
    assert (item.serial, item.price_minor, item.in_service) == (None, None, None)
    assert (item.model_id, item.place_id) == (None, None)
    assert where_it_lay(session) == ["RR", ""]


def test_the_same_place_again_is_no_move(session: Session, at: datetime) -> None:
    a_place(session)
    an_item(session, place="RR")
    items.change_item(session, "CC-01", {"place": "rr"}, at)
    assert where_it_lay(session) == ["RR"]


def test_a_name_may_change_and_its_own_case_too(session: Session, at: datetime) -> None:
    an_item(session)
    items.change_item(session, "CC-01", {"name": "cc-01"}, at)
    items.change_item(session, "CC-01", {"name": "laptop 3"}, at)
    assert lookup.item(session, "LAPTOP 3").name == "laptop 3"
    an_item(session, "CC-01")
    with pytest.raises(ConflictError, match="Take another name"):
        items.change_item(session, "CC-01", {"name": "Laptop 3"}, at)


def test_every_bad_field_of_a_change_is_told(session: Session, at: datetime) -> None:
    an_item(session)
    with pytest.raises(InvalidError) as caught:
        items.change_item(session, "CC-01", {"name": "", "price": "x"}, at)
    assert {problem.field for problem in caught.value.problems} == {"name", "price"}


def test_where_an_item_lay_stays_known(session: Session, at: datetime) -> None:
    for name in ("RR", "C1"):
        a_place(session, name)
    an_item(session, place="RR")
    items.move_item(session, "CC-01", "C1", at, "spare now")
    assert where_it_lay(session) == ["RR", "C1"]
    assert the_item(session).place_id == lookup.place(session, "C1").key


def test_a_move_told_late_changes_only_what_was_meanwhile(session: Session, at: datetime) -> None:
    for name in ("RR", "C1", "C2"):
        a_place(session, name)
    an_item(session, place="RR")
    items.move_item(session, "CC-01", "C1", at)
    items.move_item(session, "CC-01", "C2", at - timedelta(days=2))
    assert where_it_lay(session) == ["RR", "C2", "C1"]
    assert the_item(session).place_id == lookup.place(session, "C1").key


def test_a_position_holds_one_item(session: Session, at: datetime) -> None:
    a_place(session, "recorder 3", kind="position")
    an_item(session, "RC-01", place="recorder 3")
    an_item(session, "RC-02")
    for fill in (
        lambda: an_item(session, "RC-03", place="recorder 3"),
        lambda: items.move_item(session, "RC-02", "recorder 3", at),
        lambda: items.change_item(session, "RC-02", {"place": "recorder 3"}, at),
    ):
        with pytest.raises(ConflictError, match=r"RC-01 fills it\. Move RC-01 first"):
            fill()
    items.move_item(session, "RC-01", "recorder 3", at)  # where it is already


def test_a_retired_item_is_not_moved(session: Session, at: datetime) -> None:
    a_place(session)
    an_item(session)
    items.set_state(session, "CC-01", "retired", at, "burnt")
    with pytest.raises(ConflictError, match="CC-01 is retired"):
        items.move_item(session, "CC-01", "RR", at)
    with pytest.raises(ConflictError, match="CC-01 is retired"):
        items.change_item(session, "CC-01", {"place": "RR"}, at)
    items.change_item(session, "CC-01", {"note": "burnt by us"}, at)


def test_states_follow_each_other(session: Session, at: datetime) -> None:
    an_item(session)
    items.set_state(session, "CC-01", "doubtful", at)
    items.set_state(session, "CC-01", "set aside", at, "loose socket")
    items.set_state(session, "CC-01", "fit", at + timedelta(hours=1))
    assert the_item(session).state == "fit"
    hour = timedelta(hours=1)
    assert spells(session) == [
        ("fit", BEGAN),
        ("doubtful", at),
        ("set aside", at),
        ("fit", at + hour),
    ]


@pytest.mark.parametrize("state", ["set aside", "retired"])
@pytest.mark.parametrize("reason", [None, "", "  "])
def test_taking_out_of_use_asks_for_a_reason(
    session: Session, at: datetime, state: str, reason: str | None
) -> None:
    an_item(session)
    with pytest.raises(InvalidError, match=f"reason: say why it's {state}"):
        items.set_state(session, "CC-01", state, at, reason)


def test_a_state_that_is_none_is_refused(session: Session, at: datetime) -> None:
    an_item(session)
    with pytest.raises(InvalidError, match="state: 'broken' is none of 'fit', 'doubtful'"):
        items.set_state(session, "CC-01", "broken", at)
    with pytest.raises(ConflictError, match="CC-01 is fit already"):
        items.set_state(session, "CC-01", "fit", at)


def test_a_state_before_the_newest_is_refused_and_not_swallowed(
    session: Session, at: datetime
) -> None:
    an_item(session, at=at)
    with pytest.raises(ConflictError, match=r"CC-01 became fit later, at 2026-03-19 12:00 UTC"):
        items.set_state(session, "CC-01", "retired", at - timedelta(days=1), "sold")


def test_a_state_set_by_a_slip_is_taken_back_from_the_same_time(
    session: Session, at: datetime
) -> None:
    an_item(session)
    items.set_state(session, "CC-01", "set aside", at, "wrong label scanned")
    items.set_state(session, "CC-01", "fit", at)
    assert the_item(session).state == "fit"
    assert spells(session)[1:] == [("set aside", at), ("fit", at)]


def test_retiring_ends_links_and_frees_the_name(session: Session, at: datetime) -> None:
    for name in ("CC-01", "VC-01"):
        an_item(session, name)
    a_cable(session)
    joined = {"from_port": "video out", "to_item": "VC-01", "to_port": "in"}
    links.connect(session, {"cable": "HD-01", "from_item": "CC-01", **joined}, BEGAN)
    items.set_state(session, "CC-01", "retired", at, "burnt")
    assert paths.links_of(session, "HD-01") == ()
    (link,) = paths.links_of(session, "HD-01", at - timedelta(seconds=1))
    assert (link.from_item, link.until) == ("CC-01", at)
    an_item(session, "CC-01")


def test_an_item_comes_back_only_if_its_name_and_position_are_free(
    session: Session, at: datetime
) -> None:
    a_place(session, "recorder 3", kind="position")
    old = an_item(session, "RC-01", place="recorder 3")
    items.set_state(session, old, "retired", at, "burnt")
    an_item(session, "RC-01")
    with pytest.raises(ConflictError, match="item 'RC-01' in use"):
        items.set_state(session, old, "fit", at)
    items.change_item(session, old, {"name": "RC-09"}, at)
    items.move_item(session, "RC-01", "recorder 3", at)
    with pytest.raises(ConflictError, match="RC-01 fills it"):
        items.set_state(session, old, "fit", at)
    items.change_item(session, "RC-01", {"place": ""}, at)
    items.set_state(session, old, "fit", at)
    assert lookup.item(session, old).state == "fit"


def test_the_second_of_two_writers_is_told_of_the_first(session: Session, at: datetime) -> None:
    a_place(session)
    a_model(session, name="Stout 2")
    an_item(session)
    seen = the_item(session).version
    items.change_item(session, "CC-01", {"note": "loud fan"}, at, seen)
    changes: list[Callable[[], object]] = [
        lambda: items.change_item(session, "CC-01", {"note": "quiet"}, at, seen),
        lambda: items.move_item(session, "CC-01", "RR", at, seen=seen),
        lambda: items.set_state(session, "CC-01", "doubtful", at, seen=seen),
    ]
    for change in changes:
        with pytest.raises(ConflictError, match=r"M\.O\.: note nothing -> 'loud fan'"):
            change()
    items.change_item(session, "CC-01", {"note": "quiet"}, at, the_item(session).version)
