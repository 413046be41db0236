"""The words that columns may hold: one enumeration each."""

from enum import StrEnum


class Role(StrEnum):
    """What a person may do."""

    READER = "reader"
    TECH = "tech"
    LEAD = "lead"


class Strangers(StrEnum):
    """What a phone that nobody paired may do on the crew's network."""

    NOTHING = "nothing"
    REPORT = "report a fault"
    READ = "report and read"


class PairingKind(StrEnum):
    """What was let in."""

    PHONE = "phone"
    SCRIPT = "script"


class PlaceKind(StrEnum):
    """What a node of the tree of places is; one item at most fills a position."""

    SITE = "site"
    ROOM = "room"
    RACK = "rack"
    DESK = "desk"
    SHELF = "shelf"
    DRAWER = "drawer"
    CABINET = "cabinet"
    CASE = "case"
    BIN = "bin"
    AREA = "area"
    POSITION = "position"


class ItemState(StrEnum):
    """Whether an item may be used."""

    FIT = "fit"
    DOUBTFUL = "doubtful"
    SET_ASIDE = "set aside"
    RETIRED = "retired"


class Effect(StrEnum):
    """What a fault did to the show."""

    NONE = "none"
    DEGRADED = "degraded"
    SOURCE_LOST = "one source lost"
    SHOW_STOPPED = "show stopped"


class CauseKind(StrEnum):
    """Why it happened, said of the cause item."""

    OWN_FAILURE = "own failure"
    SETTING_DELIVERED = "wrong setting as delivered"
    SETTING_HERE = "wrong setting made here"
    HANDLING = "handling"
    OUTSIDE = "outside cause"
    NO_FAULT_FOUND = "no fault found"
    UNKNOWN = "unknown"


FAILURE_KINDS = frozenset(
    {CauseKind.OWN_FAILURE, CauseKind.SETTING_DELIVERED, CauseKind.UNKNOWN},
)


class FaultState(StrEnum):
    """Where a fault stands; derived from its times, never stored.

    A mistaken one was never there: a slip of the finger logged it.
    """

    OPEN = "open"
    WATCHED = "watched"
    CLOSED = "closed"
    MISTAKEN = "mistaken"


class Outcome(StrEnum):
    """How an attempt ended."""

    WORKED = "worked"
    DID_NOT_WORK = "did not work"


class CableEnd(StrEnum):
    """The end of a lead."""

    A = "A"
    B = "B"


class ServiceKind(StrEnum):
    """What a maintenance event was."""

    INSPECTION = "inspection"
    REPAIR = "repair"
    FIRMWARE = "firmware"
    CLEANING = "cleaning"
    TEST = "test"
    MODIFICATION = "modification"


class Result(StrEnum):
    """What an inspection or a test found."""

    PASS = "pass"  # noqa: S105 - the trade's word, no secret
    FAIL = "fail"
    MARGINAL = "marginal"


class ShowKind(StrEnum):
    """What a date on the calendar is."""

    SHOW = "show"
    REHEARSAL = "rehearsal"


class EntryStatus(StrEnum):
    """Whether an entry is offered."""

    ACCEPTED = "accepted"
    DRAFT = "draft"
    WITHDRAWN = "withdrawn"
