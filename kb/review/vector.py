"""A figure of Matplotlib drawn with lines and letters on a page of ReportLab, not as a raster.

Matplotlib's own PDF can't be set into ReportLab's without a third library, so its drawing
instructions are carried over one by one.
"""

from collections.abc import Sequence
from typing import Any, cast

import numpy as np
from matplotlib.backend_bases import GraphicsContextBase, RendererBase
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.path import Path
from matplotlib.transforms import Transform
from reportlab.pdfgen.canvas import Canvas

POINTS = 72
_CAPS = {"butt": 0, "round": 1, "projecting": 2}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}


class OnPage(RendererBase):
    """What Matplotlib draws with: the canvas of a page, its origin at the figure's corner."""

    def __init__(self, canvas: Canvas, width: float, height: float, face: str) -> None:
        """Take the canvas.

        Args:
            canvas: Of the page.
            width: Of the figure, in points.
            height: Of the figure, in points.
            face: A typeface that the canvas knows, the same as the figure's.
        """
        super().__init__()
        self._canvas, self._size, self._face = canvas, (width, height), face

    def get_canvas_width_height(self) -> tuple[float, float]:
        """Return the figure's size in points."""
        return self._size

    def points_to_pixels(self, points: Any) -> Any:  # noqa: ANN401 - as it's declared
        """Return a length in points: here both are the same."""
        return points

    def flipy(self) -> bool:
        """Return that heights count from the bottom."""
        return False

    def draw_path(
        self,
        gc: GraphicsContextBase,
        path: Path,
        transform: Transform,
        rgbFace: Any = None,  # noqa: ANN401, N803 - as it's declared
    ) -> None:
        """Draw a path, filled where it has a colour."""
        canvas = self._canvas
        canvas.saveState()
        self._clip(gc)
        drawn = canvas.beginPath()
        for points, code in path.iter_segments(transform, simplify=False):
            _add(drawn, np.asarray(points, dtype=float).tolist(), int(code))
        self._pen(gc, rgbFace)
        canvas.drawPath(drawn, stroke=int(gc.get_linewidth() > 0), fill=int(rgbFace is not None))
        canvas.restoreState()

    def draw_text(  # noqa: PLR0913, PLR0917 - as it's declared
        self,
        gc: GraphicsContextBase,
        x: float,
        y: float,
        s: str,
        prop: FontProperties,
        angle: float,
        ismath: Any = False,  # noqa: ANN401, ARG002, FBT002 - as it's declared
        mtext: Any = None,  # noqa: ANN401, ARG002 - as it's declared
    ) -> None:
        """Write a text from a point on."""
        canvas = self._canvas
        canvas.saveState()
        canvas.translate(float(x), float(y))
        canvas.rotate(angle)
        canvas.setFillColorRGB(*gc.get_rgb()[:3])
        canvas.setFont(self._face, prop.get_size_in_points())
        canvas.drawString(0, 0, s)
        canvas.restoreState()

    def _clip(self, gc: GraphicsContextBase) -> None:
        box = gc.get_clip_rectangle()
        if box is not None:
            edge = self._canvas.beginPath()
            edge.rect(*(float(one) for one in box.bounds))
            self._canvas.clipPath(edge, stroke=0, fill=0)

    def _pen(self, gc: GraphicsContextBase, fill: Sequence[float] | None) -> None:
        canvas, colour = self._canvas, gc.get_rgb()
        canvas.setStrokeColorRGB(*colour[:3], alpha=colour[3])
        canvas.setLineWidth(gc.get_linewidth())
        canvas.setLineCap(_CAPS[gc.get_capstyle()])
        canvas.setLineJoin(_JOINS[gc.get_joinstyle()])
        offset, dashes = cast("tuple[float | None, list[float] | None]", gc.get_dashes())
        if dashes is not None:
            canvas.setDash([float(one) for one in dashes], float(offset or 0))
        if fill is not None:
            opaque = gc.get_alpha() if gc.get_forced_alpha() else (*fill, 1.0)[3]
            canvas.setFillColorRGB(*fill[:3], alpha=opaque)


def draw(figure: Figure, canvas: Canvas, face: str) -> None:
    """Draw a figure on a page, its lower left corner at the canvas's origin.

    Args:
        figure: What to draw.
        canvas: Of the page.
        face: A typeface that the canvas knows, the same as the figure's.
    """
    figure.set_dpi(POINTS)
    wide, high = (POINTS * float(inches) for inches in figure.get_size_inches())
    figure.draw(OnPage(canvas, wide, high, face))


def _add(drawn: Any, points: list[float], code: int) -> None:  # noqa: ANN401 - untyped
    if code == Path.MOVETO:
        drawn.moveTo(*points)
    elif code == Path.LINETO:
        drawn.lineTo(*points)
    elif code == Path.CURVE4:
        drawn.curveTo(*points)
    elif code == Path.CLOSEPOLY:
        drawn.close()
