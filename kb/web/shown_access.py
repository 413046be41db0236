"""What the pages on who gets in are handed: one frozen dataclass a page."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from kb.crew.feeds import FeedLine
from kb.crew.pairings import PairingLine
from kb.errors import Problem
from kb.records.kinds import Role, Strangers


@dataclass(frozen=True)
class StrangerPage:
    """What a phone sees that nobody paired.

    Attributes:
        may_report: Whether it may leave a fault.
        key: A mark that makes a repeated report harmless.
        typed: What was typed before, after a mistake.
        problems: What is wrong with that.
    """

    may_report: bool
    key: str
    typed: Mapping[str, str] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class KeptPage:
    """What a stranger reads whose report is kept: its number, and what became of the picture."""

    number: int
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class PairPage:
    """What a phone sees that scanned an offer.

    Attributes:
        person: In whose name it will be let in; empty where the offer is good no more.
        ticket: What it brings.
        problems: Why it can't be let in.
    """

    person: str
    ticket: str
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class FeedPage:
    """A calendar's address, shown this once."""

    device: str
    address: str


@dataclass(frozen=True)
class AccessPage:
    """Who gets in.

    Attributes:
        pairings: Phones and scripts that are let in.
        feeds: Calendars that may read the shows.
        rooms: Whose shows a calendar may be told alone.
        people: Who may be let in.
        roles: What a script may be allowed.
        strangers: What unpaired phones may do now.
        choices: What they may be allowed.
        lan: Whether phones reach this machine at all.
        problems: What is wrong with what was typed.
    """

    pairings: tuple[PairingLine, ...]
    feeds: tuple[FeedLine, ...]
    rooms: tuple[str, ...]
    people: tuple[str, ...]
    strangers: Strangers
    lan: bool
    problems: tuple[Problem, ...] = ()
    roles: tuple[str, ...] = tuple(Role)
    choices: tuple[str, ...] = tuple(Strangers)


@dataclass(frozen=True)
class OfferPage:
    """What a lead shows to a phone: the symbol as a picture, and its address.

    Attributes:
        person: In whose name the phone is let in.
        symbol: The symbol, a picture's address.
        address: What it says.
        until: Until when it's good.
    """

    person: str
    symbol: str
    address: str
    until: datetime


@dataclass(frozen=True)
class ScriptPage:
    """What a script needs, shown once."""

    device: str
    secret: str
    expires: datetime
