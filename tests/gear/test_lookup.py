"""Things are found by what a person types: name, code, path, whatever the case."""

import pytest
from builders import BEGAN as AT
from builders import a_cable, a_model, a_place, an_item
from sqlmodel import Session

from kb.errors import ConflictError, InvalidError, KitloreError, NotFoundError
from kb.gear import codes, items, lookup, models, places
from kb.records.tables.gear import Code


def test_an_item_is_found_by_its_name_whatever_case_and_spacing(session: Session) -> None:
    an_item(session, "laptop 3")
    an_item(session, "Gerät Ä1")
    for typed in ("laptop 3", "LAPTOP 3", "  laptop   3 "):
        assert lookup.item(session, typed).name == "laptop 3"
    # Composed or decomposed (Unicode Standard Annex 15), upper or lower.
    for typed in ("Gerät Ä1", "gerät ä1", "GERA\u0308T A\u03081"):
        assert lookup.item(session, typed).name == "Gerät Ä1"


def test_an_item_is_found_by_its_code_as_it_is_read_off_a_label(session: Session) -> None:
    code = an_item(session)
    for typed in (code, code.lower(), codes.shown(code), f"{code[:3]}-{code[3:]}"):
        assert lookup.item(session, typed).code == code


def test_items_are_found_in_the_order_typed(session: Session) -> None:
    for name in ("CC-01", "CC-02"):
        an_item(session, name)
    found = lookup.items(session, ["cc-02", "CC-01"])
    assert [item.name for item in found] == ["CC-02", "CC-01"]


def test_a_wrong_check_character_is_told_as_such(session: Session) -> None:
    code = an_item(session)
    wrong = code[:5] + next(one for one in codes.ALPHABET if one != code[5])
    with pytest.raises(InvalidError, match="its last character does not agree"):
        lookup.item(session, wrong)
    with pytest.raises(InvalidError, match="its last character does not agree"):
        lookup.place(session, wrong)


def test_a_name_of_the_form_of_a_code_is_found_before_it_is_refused(session: Session) -> None:
    an_item(session, "HDMI-07")
    assert lookup.item(session, "hdmi-07").name == "HDMI-07"


def test_a_code_that_labels_something_else_is_told(session: Session) -> None:
    code = places.add_place(session, {"name": "RR", "kind": "room"}, AT)
    with pytest.raises(NotFoundError, match="That code is the place RR"):
        lookup.item(session, code)


def test_a_code_drawn_ahead_names_nothing_yet(session: Session) -> None:
    code = items.draw_code(session, AT).code
    for find in (lookup.item, lookup.place):
        with pytest.raises(NotFoundError):
            find(session, code)


def test_what_is_near_to_a_mistyped_name_is_told(session: Session) -> None:
    an_item(session, "laptop 3")
    a_model(session)
    a_place(session, "Rack 1")
    with pytest.raises(NotFoundError, match=r"Near to it: laptop 3\. See 'kitlore item list'"):
        lookup.item(session, "labtop 3")
    with pytest.raises(NotFoundError, match="Near to it: Ossprell Ribbonet 3"):
        lookup.model(session, "Ribonet 3")
    with pytest.raises(NotFoundError, match="Near to it: Rack 1"):
        lookup.place(session, "Rak 1")


def test_the_item_in_use_goes_before_a_retired_one_of_its_name(session: Session) -> None:
    old = an_item(session)
    items.set_state(session, "CC-01", "retired", AT, "worn")
    assert lookup.item(session, "CC-01").code == old
    new = an_item(session)
    assert lookup.item(session, "CC-01").code == new
    assert lookup.item(session, old).code == old


@pytest.mark.parametrize("typed", ["", "  ", "\x00", "a\x00b", "\udcff", "x" * 30_000])
def test_what_can_be_no_name_is_not_found_and_no_defect(session: Session, typed: str) -> None:
    an_item(session)
    for find in (lookup.item, lookup.model, lookup.place):
        with pytest.raises(KitloreError) as caught:
            find(session, typed)
        assert isinstance(caught.value, NotFoundError)
        caught.value.message.encode()


def test_a_model_is_found_by_its_name_or_with_the_makers(session: Session) -> None:
    a_model(session)
    for typed in ("Ribbonet 3", "ribbonet  3", "ossprell RIBBONET 3"):
        assert lookup.model(session, typed).name == "Ribbonet 3"


def test_a_model_of_two_makers_is_asked_back(session: Session) -> None:
    a_model(session, maker="Ossprell", name="Stout 2")
    a_model(session, maker="Grundel", name="Stout 2")
    with pytest.raises(ConflictError, match="may be 'Grundel Stout 2', 'Ossprell Stout 2'"):
        lookup.model(session, "Stout 2")
    assert lookup.model(session, "Grundel Stout 2").maker == "Grundel"


def test_a_place_is_found_by_name_path_or_code(session: Session) -> None:
    a_place(session, "RR")
    code = places.add_place(session, {"name": "R1", "kind": "rack", "within": "RR"}, AT)
    key = lookup.place(session, "RR/R1").key
    for typed in ("R1", "r1", "rr/r1", " RR / R1 ", code):
        assert lookup.place(session, typed).key == key


def test_a_place_of_two_paths_is_asked_back(session: Session) -> None:
    for room in ("RR", "ST"):
        a_place(session, room)
        a_place(session, "R1", within=room)
    with pytest.raises(ConflictError, match=r"may be 'RR/R1', 'ST/R1'\. Give the path"):
        lookup.place(session, "R1")
    assert lookup.place(session, "ST/R1").parent_id == lookup.place(session, "ST").key


def test_a_whole_path_goes_before_the_end_of_another(session: Session) -> None:
    a_place(session, "C1")
    a_place(session, "ST")
    a_place(session, "C1", within="ST")
    assert lookup.place(session, "C1").parent_id is None


def test_a_name_may_hold_the_slash_of_a_path(session: Session) -> None:
    a_place(session, "A / V rack")
    assert lookup.place(session, "a/v rack").name == "A / V rack"


def test_a_place_out_of_use_is_not_found_by_its_code(session: Session) -> None:
    code = places.add_place(session, {"name": "RR", "kind": "room"}, AT)
    places.retire_place(session, "RR", AT)
    for typed in (code, "RR"):
        with pytest.raises(NotFoundError):
            lookup.place(session, typed)


def test_the_tree_knows_what_lies_in_what(session: Session) -> None:
    a_place(session, "ST")
    a_place(session, "RR", within="ST")
    a_place(session, "R1", within="ST/RR")
    a_place(session, "yard")
    site, room, rack = (lookup.place(session, name).key for name in ("ST", "RR", "R1"))
    tree = lookup.Tree(session)
    assert tree.path(rack) == "ST/RR/R1"
    assert tree.path(None) == ""
    assert tree.above(rack) == [rack, room, site]
    assert tree.within(room) == {room, rack}


def test_what_was_merged_leads_to_its_heir(session: Session) -> None:
    a_model(session, name="Ribbonet 3")
    a_model(session, name="Ribbonet III")
    gone, kept = a_cable(session, "HD-01"), a_cable(session, "HD-02")
    models.merge_model(session, "Ribbonet III", "Ribbonet 3", AT)
    items.merge_item(session, gone, kept, AT)
    assert lookup.item(session, gone).code == kept
    row = session.get_one(Code, gone)
    assert row.item_id == lookup.item(session, kept).key
    with pytest.raises(NotFoundError):
        lookup.item(session, "HD-01")
    with pytest.raises(NotFoundError):
        lookup.model(session, "Ribbonet III")
