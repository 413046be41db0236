"""What unpaired phones may do is a lead's word; hosts that labels bear are remembered."""

import pytest
from sqlmodel import Session

from kb.crew import admission, people
from kb.errors import ConflictError, InvalidError
from kb.records.kinds import Strangers


def test_strangers_may_report_until_a_lead_says_otherwise(session: Session) -> None:
    assert admission.strangers(session) is Strangers.REPORT
    for may in Strangers:
        admission.admit_strangers(session, may)
        assert admission.strangers(session) is may
    with pytest.raises(InvalidError, match="report and read"):
        admission.admit_strangers(session, "everything")


def test_a_host_is_kept_once(session: Session) -> None:
    for host in ("KB.lan", " kb.lan", "192.168.10.20:8017"):
        admission.keep_printed_host(session, host)

    assert admission.printed_hosts(session) == {"kb.lan", "192.168.10.20:8017"}


def test_without_a_lead_nobody_is_let_in(session: Session) -> None:
    people.add_person(session, {"name": "A.K.", "role": "tech"})
    with pytest.raises(ConflictError, match="person add NAME --role lead"):
        admission.require_lead(session)

    people.add_person(session, {"name": "M.O.", "role": "lead"})
    admission.require_lead(session)

    people.forget_person(session, "A.K.")
    people.forget_person(session, "M.O.")
    with pytest.raises(ConflictError):
        admission.require_lead(session)
