"""What the templates of the review before buying are handed."""

from dataclasses import dataclass
from datetime import date

from kb.review.buying import Buying
from kb.review.causes import HiddenCauses, Whereabouts
from kb.review.drives import DrivesWear
from kb.review.hindsight import Hindsight
from kb.review.recovering import Recovery
from kb.review.spending import Spending
from kb.review.verdicts import Compared


@dataclass(frozen=True)
class ClassPage:
    """The models of a class side by side.

    Attributes:
        told: The report.
        address: Of the page, without what follows it.
        hidden: What caused the faults seen on the class.
        where: Whether failures follow the unit.
        repairs: How each model comes back.
        money: What failures cost, and spares.
        currency: Of the sums.
    """

    told: Buying
    address: str
    hidden: HiddenCauses
    where: Whereabouts
    repairs: tuple[Recovery, ...]
    money: tuple[Spending, ...]
    currency: str


@dataclass(frozen=True)
class DrivesPage:
    """Every tested drive's write speed."""

    found: DrivesWear


@dataclass(frozen=True)
class StepsPage:
    """The services that hindsight can be asked about: number, day, work."""

    services: tuple[tuple[int, date, str], ...]


@dataclass(frozen=True)
class HindsightPage:
    """Before and after one service."""

    number: int
    found: Hindsight


@dataclass(frozen=True)
class NeverPage:
    """The models not to buy again."""

    found: tuple[Compared, ...]
