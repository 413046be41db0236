"""A phone is offered to for two minutes and let in once; what lets it in is kept nowhere."""

from datetime import datetime, timedelta

import pytest
from sqlalchemy import Engine
from sqlmodel import Session, select

from kb.crew import pairings, people
from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.records import session as units
from kb.records.kinds import PairingKind, Role
from kb.records.tables.crew import Pairing
from kb.records.tables.journal import History
from kb.records.unit import RecordSession, Writer

SECOND = timedelta(seconds=1)


@pytest.fixture
def crew(session: RecordSession) -> RecordSession:
    for name, role in (("M.O.", "lead"), ("A.K.", "tech"), ("R.R.", "reader")):
        people.add_person(session, {"name": name, "role": role})
    return session


def paired(session: Session, at: datetime, person: str = "A.K.") -> pairings.Paired:
    return pairings.accept(session, pairings.offer(session, {"person": person}, at).ticket, at)


def test_a_phone_comes_back_as_its_person(crew: Session, at: datetime) -> None:
    offer = pairings.offer(crew, {"person": "a.k.", "device": "the red one"}, at)
    assert pairings.offered_to(crew, offer.ticket, at) == "A.K."

    found = pairings.holder(crew, pairings.accept(crew, offer.ticket, at).secret, at)

    assert found is not None
    assert (found.person, found.role, found.kind) == ("A.K.", Role.TECH, PairingKind.PHONE)
    (line,) = pairings.pairings(crew, at)
    assert (line.number, line.device) == (offer.number, "the red one")


@pytest.mark.parametrize("late", [pairings.OFFERED, timedelta(days=1), -timedelta(hours=1)])
def test_an_offer_is_good_for_two_minutes(crew: Session, late: timedelta, at: datetime) -> None:
    offer = pairings.offer(crew, {"person": "A.K."}, at)
    assert timedelta(minutes=2) == pairings.OFFERED

    with pytest.raises(ConflictError, match="show a new one"):
        pairings.accept(crew, offer.ticket, at + late)
    pairings.accept(crew, offer.ticket, at + pairings.OFFERED - SECOND)


def test_an_offer_is_spent_by_the_first_phone(crew: Session, at: datetime) -> None:
    offer = pairings.offer(crew, {"person": "A.K."}, at)
    pairings.accept(crew, offer.ticket, at)

    with pytest.raises(ConflictError):
        pairings.accept(crew, offer.ticket, at)
    with pytest.raises(ConflictError):
        pairings.offered_to(crew, offer.ticket, at)


@pytest.mark.parametrize("guess", ["", "x", "' OR 1=1 --", "\udcff", "a" * 100_000])
def test_a_guess_lets_nobody_in(crew: Session, guess: str, at: datetime) -> None:
    paired(crew, at)

    assert pairings.holder(crew, guess, at) is None
    with pytest.raises(ConflictError):
        pairings.accept(crew, guess, at)


def test_neither_ticket_nor_secret_is_kept(crew: Session, at: datetime) -> None:
    offer = pairings.offer(crew, {"person": "A.K."}, at)
    secret = pairings.accept(crew, offer.ticket, at).secret
    kept = [str(row.model_dump()) for row in crew.scalars(select(Pairing))]
    kept += [str(row.model_dump()) for row in crew.scalars(select(History))]

    assert not [row for row in kept if offer.ticket in row or secret in row]
    assert len(secret) >= 43  # 256 bits in base64
    assert secret != offer.ticket


def test_what_is_ended_or_run_out_opens_nothing(crew: Session, at: datetime) -> None:
    first, second = paired(crew, at), paired(crew, at)

    assert pairings.end_pairing(crew, first.number) == f"phone {first.number}"

    assert pairings.holder(crew, first.secret, at) is None
    assert pairings.holder(crew, second.secret, second.expires - SECOND) is not None
    assert pairings.holder(crew, second.secret, second.expires) is None
    assert [one.number for one in pairings.pairings(crew, at)] == [second.number]
    for number in (first.number, 999, 2**40):
        with pytest.raises(NotFoundError):
            pairings.end_pairing(crew, number)


def test_who_is_forgotten_is_let_in_no_more(crew: Session, at: datetime) -> None:
    offer = pairings.offer(crew, {"person": "A.K.", "device": "phone of A.K."}, at)
    secret = pairings.accept(crew, offer.ticket, at).secret

    people.forget_person(crew, "A.K.")

    assert pairings.holder(crew, secret, at) is None
    told = [str(row.changes) for row in crew.scalars(select(History))]
    assert not [row for row in told if "A.K." in row]


def test_who_was_merged_comes_back_under_the_other_name(crew: Session, at: datetime) -> None:
    secret = paired(crew, at).secret
    people.merge_person(crew, "A.K.", "M.O.")
    found = pairings.holder(crew, secret, at)

    assert found is not None
    assert (found.person, found.role) == ("M.O.", Role.LEAD)


@pytest.mark.parametrize(
    ("person", "asked", "has"),
    [("M.O.", "reader", "reader"), ("R.R.", "lead", "reader"), ("A.K.", "tech", "tech")],
)
def test_a_script_has_no_more_than_its_person(
    crew: Session, person: str, asked: str, has: str, at: datetime
) -> None:
    values = {"person": person, "device": "the wall clock", "role": asked}
    found = pairings.holder(crew, pairings.add_script(crew, values, at).secret, at)

    assert found is not None
    assert (found.role.value, found.kind) == (has, PairingKind.SCRIPT)
    assert found.number


def test_what_is_typed_wrong_is_told(crew: Session, at: datetime) -> None:
    with pytest.raises(NotFoundError):
        pairings.offer(crew, {"person": "nobody"}, at)
    with pytest.raises(InvalidError, match="device"):
        pairings.add_script(crew, {"person": "M.O."}, at)
    with pytest.raises(ConflictError, match="stands for phones"):
        people.add_person(crew, {"name": "An unknown phone"})


def test_the_last_use_is_noted_by_the_hour(engine: Engine, writer: Writer, at: datetime) -> None:
    with units.begin(engine, writer) as session:
        people.add_person(session, {"name": "A.K."})
        secret = paired(session, at).secret
    later = at + timedelta(minutes=59)
    for now, due in ((at, True), (later, False), (at + timedelta(hours=1), True)):
        with units.read(engine) as session:
            found = pairings.holder(session, secret, now)
        assert found is not None
        assert pairings.is_use_due(found, now) is due
        if due:
            pairings.note_use(engine, found.number, now)
    with units.read(engine) as session:
        (line,) = pairings.pairings(session, later)
    assert line.last_used == at + timedelta(hours=1)
