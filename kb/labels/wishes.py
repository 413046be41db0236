"""What whoever prints may choose beside the stock."""

from dataclasses import dataclass

from kb.errors import InvalidError, Problem
from kb.labels.stock import Stock

_NEAREST, _FARTHEST = 100.0, 5000.0
_MOST_OFF = 20.0


@dataclass(frozen=True)
class Wishes:
    """What is wished for; lengths in millimetres.

    Attributes:
        start: The label of the first sheet to begin at, so that a used sheet can be filled up.
        distance: From how far the text is to be read; None for a hand's reach.
        module: The side of a module; None for the largest that leaves room.
        boxed: Whether the code stands white on black, to be read when the print has faded.
        right: How far the printer's print lies too far left.
        down: How far it lies too high.
        others: Other stocks, to name the smallest that would do where this one can't.
    """

    start: int = 1
    distance: float | None = None
    module: float | None = None
    boxed: bool = False
    right: float = 0.0
    down: float = 0.0
    others: tuple[Stock, ...] = ()

    def require_possible(self, stock: Stock) -> None:
        """Refuse what can't be.

        Raises:
            InvalidError: Naming each wish that can't.
        """
        count = stock.columns * stock.rows
        wrong = []
        if not 1 <= self.start <= count:
            told = f"there is no label {self.start}, {stock.name} has 1 to {count} on a sheet."
            wrong.append(Problem("start", f"{told} Count row by row from the top left."))
        if self.distance is not None and not _NEAREST <= self.distance <= _FARTHEST:
            told = f"{self.distance:g} mm is out of range, text is read from"
            wrong.append(Problem("distance", f"{told} {_NEAREST:g} to {_FARTHEST:g} mm."))
        if max(abs(self.right), abs(self.down)) > _MOST_OFF:
            told = f"a printer that is off by over {_MOST_OFF:g} mm has the wrong paper or tray."
            wrong.append(Problem("offset", f"{told} Look there first."))
        if wrong:
            raise InvalidError(wrong)


PLAIN = Wishes()
