"""The report of a class as a PDF that a lead can hand to whoever pays: A4, black on white."""

import io
import textwrap
from collections.abc import Iterator, Sequence

from matplotlib import rc_context
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure

from kb.review.buying import Buying, Job
from kb.review.evidence import Evidence
from kb.review.methods import rates

_A4 = (8.27, 11.69)
_LINES = 62
_COLUMNS = 92
_TOP, _LEFT, _STEP = 0.94, 0.08, 0.0142


def class_report(found: Buying, version: str) -> bytes:
    """Return the report of a class as a PDF file.

    Args:
        found: The report.
        version: Of the data it rests on, so that it can be made again.
    """
    lines = list(_lines(found, version))
    file = io.BytesIO()
    # As text, and the same bytes for the same figures.
    told = {"Title": f"Before you buy: {found.equipment_class}", "CreationDate": None}
    with rc_context({"pdf.fonttype": 42}), PdfPages(file, metadata=told) as pages:
        for first in range(0, len(lines), _LINES):
            pages.savefig(_page(lines[first : first + _LINES]))
    return file.getvalue()


def _page(lines: Sequence[str]) -> Figure:
    figure = Figure(figsize=_A4)
    for number, line in enumerate(lines):
        heading = line.startswith("# ")
        figure.text(
            _LEFT,
            _TOP - number * _STEP,
            line.removeprefix("# ").replace("$", r"\$"),
            family="DejaVu Sans Mono",
            fontsize=8,
            weight="bold" if heading else "normal",
        )
    return figure


def _lines(found: Buying, version: str) -> Iterator[str]:
    yield f"# Before you buy: {found.equipment_class}"
    yield from _folded(
        f"{found.since} up to, not including, {found.until}; two-sided limits "
        f"{rates.percent(found.confidence)}; data version {version}. A failure is a fault whose "
        "cause is the item's own, a wrong setting as delivered, or unknown, counted once a day on "
        "the item to blame. Rates are failures per unit and year of 365.25 days."
    )
    for job in found.jobs:
        yield from ("", f"# {job.plugs or found.equipment_class}")
        yield from _job(job)


def _job(job: Job) -> Iterator[str]:
    for text in job.verdict:
        yield from _folded(f"- {text}")
    yield ""
    yield f"{'Model':42}{'units':>6}{'days':>8}{'fail.':>7}{'rate':>8}{'low':>8}{'high':>8}"
    for one in (*job.models, *job.batches):
        yield _row(one)
    for compared in job.compared:
        if compared.settles:
            yield from _folded(f"- {compared.words} What would settle it: {compared.settles}")
    for one in (*job.models, *job.batches):
        yield ""
        yield from _folded(f"{one.name}: {one.words}")
        for line in one.lines[1:]:
            yield from _folded(f"  {line}")
        for figure, why in one.withheld.items():
            yield from _folded(f"  Not shown, {figure}: {why}")


def _row(one: Evidence) -> str:
    figures = (one.rate.rate, one.rate.low, one.rate.high) if one.rate else ()
    told = "".join(f"{value:8.2f}" for value in figures) or f"{'-':>8}" * 3
    return f"{one.name[:41]:42}{one.units:6}{one.unit_days:8,}{one.failures:7}{told}"


def _folded(text: str) -> list[str]:
    return textwrap.wrap(text, _COLUMNS, subsequent_indent="  ", break_on_hyphens=False)
