"""Models are kept once each, and two that are one become one."""

from datetime import datetime

import pytest
from builders import a_cable, a_model
from sqlmodel import Session

from kb.errors import ConflictError, InvalidError
from kb.gear import lookup, models, spares, views


def test_a_model_keeps_what_was_typed_of_it(session: Session) -> None:
    name = models.add_model(
        session,
        {
            "maker": "Ossprell",
            "name": "Ribbonet 3",
            "equipment_class": "cable",
            "technical": "length=3 m, plug=type A",
        },
    )
    assert name == "Ossprell Ribbonet 3"
    model = lookup.model(session, name)
    assert model.equipment_class == "cable"
    assert model.technical == {"length": "3 m", "plug": "type A"}


def test_a_model_there_already_is_refused_whatever_its_case(session: Session) -> None:
    a_model(session)
    with pytest.raises(ConflictError, match="There is a model 'Ossprell Ribbonet 3' already"):
        models.add_model(session, {"maker": "ossprell", "name": "RIBBONET 3"})


def test_fields_not_given_stay(session: Session) -> None:
    a_model(session, technical="length=3 m")
    models.change_model(session, "Ribbonet 3", {"name": "Ribbonet III"})
    model = lookup.model(session, "Ribbonet III")
    assert (model.equipment_class, model.technical) == ("cable", {"length": "3 m"})
    models.change_model(session, "Ribbonet III", {"equipment_class": "", "technical": ""})
    model = lookup.model(session, "Ribbonet III")
    assert (model.equipment_class, model.technical) == (None, {})


def test_a_change_that_does_not_fit_is_refused(session: Session) -> None:
    a_model(session)
    a_model(session, name="Stout 2")
    with pytest.raises(ConflictError, match="There is a model 'Ossprell Stout 2' already"):
        models.change_model(session, "Ribbonet 3", {"name": "stout 2"})
    with pytest.raises(InvalidError, match="'toaster' is no class of equipment"):
        models.change_model(session, "Ribbonet 3", {"equipment_class": "toaster"})
    models.change_model(session, "Ribbonet 3", {"name": "RIBBONET 3"})


def test_the_second_of_two_writers_is_told_of_the_first(session: Session) -> None:
    a_model(session)
    seen = lookup.model(session, "Ribbonet 3").version
    models.change_model(session, "Ribbonet 3", {"technical": "length=3 m"}, seen)
    with pytest.raises(ConflictError, match="was changed after you looked"):
        models.change_model(session, "Ribbonet 3", {"technical": "length=2 m"}, seen)


def test_all_items_become_items_of_the_one_that_is_kept(session: Session, at: datetime) -> None:
    kept, gone = a_model(session), a_model(session, name="Ribbonet III", technical="length=3 m")
    a_cable(session, "HD-01", model=kept)
    a_cable(session, "HD-02", model=gone)
    models.merge_model(session, gone, kept, at)
    (line,) = views.model_lines(session)
    assert (line.name, line.items, line.technical) == ("Ribbonet 3", 2, {"length": "3 m"})


def test_a_rule_for_spares_that_named_both_names_it_once(session: Session, at: datetime) -> None:
    kept, gone = a_model(session), a_model(session, name="Ribbonet III")
    spares.set_spare(session, {"name": "leads", "minimum": 1, "models": f"{kept}, {gone}"})
    spares.set_spare(session, {"name": "other", "minimum": 1, "models": gone})
    models.merge_model(session, gone, kept, at)
    assert [line.models for line in spares.spares(session, at)] == [(kept,), (kept,)]


def test_models_that_can_not_be_one_are_refused(session: Session, at: datetime) -> None:
    cable = a_model(session)
    drive = a_model(session, maker="Silo", name="1T", equipment_class="drive")
    with pytest.raises(ConflictError, match="is a drive, Ossprell Ribbonet 3 a cable"):
        models.merge_model(session, drive, cable, at)
    with pytest.raises(ConflictError, match="are one model already"):
        models.merge_model(session, cable, "Ribbonet 3", at)


def test_a_model_changed_since_it_was_looked_at_is_not_merged(
    session: Session, at: datetime
) -> None:
    kept, gone = a_model(session), a_model(session, name="Ribbonet III")
    seen = lookup.model(session, gone).version
    models.change_model(session, gone, {"technical": "length=3 m"})
    with pytest.raises(ConflictError, match="3 m"):
        models.merge_model(session, gone, kept, at, seen)
    models.merge_model(session, gone, kept, at, seen + 1)
