"""What the templates of the review before buying are handed."""

from dataclasses import dataclass
from datetime import date

from kb.review.buying import Buying
from kb.review.causes import HiddenCauses, Whereabouts
from kb.review.drives import DrivesWear
from kb.review.hindsight import Hindsight
from kb.review.methods.pareto import Bar
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


@dataclass(frozen=True)
class MostPage:
    """Which models come to most.

    Attributes:
        by: 'rate', 'cost' or 'minutes'.
        bars: The models, the greatest first.
        rows: What each comes to.
        currency: Of the cost.
    """

    by: str
    bars: tuple[Bar, ...]
    rows: tuple[Spending, ...]
    currency: str

    @property
    def told(self) -> tuple[tuple[Bar, Spending], ...]:
        """The models that come to something, each with what it rests on."""
        known = {one.model: one for one in self.rows}
        return tuple((one, known[one.name]) for one in self.bars if one.value)

    @property
    def drawn(self) -> tuple[int, str]:
        """By what figures are divided, and what they are of."""
        return {
            "rate": (1, "failures a unit and year, 90 % limits"),
            "cost": (100, f"{self.currency} a unit and year"),
            "minutes": (1, "minutes lost"),
        }[self.by]
