"""Figures of the review as SVG, by Matplotlib, in the colours of the dark or the light page."""

import io
from collections.abc import Sequence
from dataclasses import dataclass
from threading import Lock

from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.figure import Figure

_ONE = Lock()
_MOST = 20
_INCHES_A_ROW = 0.34
_WIDTH = 8.0


@dataclass(frozen=True)
class Theme:
    """The colours of a page: ground, ink, soft ink, and what the eye shall find."""

    ground: str
    ink: str
    soft: str
    mark: str


DARK = Theme("#12100e", "#f6f1ea", "#8f867a", "#ffc46b")
LIGHT = Theme("#fbf8f3", "#1b1713", "#7a7166", "#5a3a00")


@dataclass(frozen=True)
class Interval:
    """A rate with its limits, and what it's the rate of."""

    name: str
    value: float
    low: float
    high: float


def intervals(found: Sequence[Interval], axis: str, theme: Theme) -> bytes:
    """Return rates with their limits as an SVG file, the first on top.

    A dot is the rate, the line beside it the interval; without a failure there is only a line
    that begins at zero.

    Args:
        found: The rates; at most twenty are drawn.
        axis: What the axis says, with its unit.
        theme: The colours.
    """
    shown = list(reversed(found[:_MOST]))
    # Matplotlib's settings are the process's own: one figure at a time.
    with _ONE, rc_context({"svg.fonttype": "none", "svg.hashsalt": "kitlore"}):
        figure = Figure(
            figsize=(_WIDTH, 1.1 + _INCHES_A_ROW * len(shown)),
            facecolor=theme.ground,
            layout="constrained",
        )
        _draw(figure.add_subplot(facecolor=theme.ground), shown, axis, theme)
        file = io.BytesIO()
        figure.savefig(file, format="svg", metadata={"Date": None})
    return file.getvalue()


def _draw(axes: Axes, shown: Sequence[Interval], axis: str, theme: Theme) -> None:
    rows = range(len(shown))
    axes.hlines(rows, [one.low for one in shown], [one.high for one in shown], theme.ink, lw=2)
    axes.plot(
        [one.value for one in shown if one.value],
        [row for row, one in zip(rows, shown, strict=True) if one.value],
        "o",
        color=theme.mark,
        markersize=8,
    )
    axes.set_yticks(rows, [one.name for one in shown])
    axes.set_xlim(left=0)
    axes.set_ylim(-0.6, len(shown) - 0.4)
    axes.grid(axis="x", color=theme.soft, lw=0.5)
    axes.set_axisbelow(True)
    axes.tick_params(length=0, labelcolor=theme.ink, labelsize=11)
    axes.set_xlabel(axis, color=theme.ink, fontsize=11)
    for side in axes.spines.values():
        side.set_visible(False)
