"""The program decides which figure is shown: data that must and must not show each."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.review.methods import choosing
from kb.review.methods.choosing import Figure, Sample

F = Figure
FIRST, END = date(2025, 5, 1), date(2026, 11, 1)


def sample(failures: int, *, repaired: bool = True, p: float | None = None, **more: int) -> Sample:
    return Sample(
        failures,
        4000,
        8,
        repaired,
        p,
        groups=more.get("groups", 1),
        repeats=bool(more.get("again")),
    )


# Common practice, no source; the reasons are those of each method.
TABLE: list[tuple[str, Sample, set[Figure], set[Figure]]] = [
    ("none", sample(0), {F.EXPOSURE, F.BOUND}, {F.RATE, F.MEAN_TIME, F.TREND, F.WEIBULL}),
    ("none, others too", sample(0, groups=3), {F.BOUND, F.SHRUNK, F.RATIO}, {F.MEAN_TIME}),
    ("one", sample(1, groups=3), {F.RATE, F.SHRUNK}, {F.BOUND, F.TREND, F.AVAILABILITY}),
    ("four", sample(4), {F.RATE}, {F.TREND, F.CUMULATIVE, F.MEAN_TIME, F.AVAILABILITY}),
    ("four lives", sample(4, repaired=False), {F.RATE}, {F.WEIBULL, F.SURVIVAL}),
    (
        "five, steady",
        sample(5, p=0.6),
        {F.RATE, F.TREND, F.CUMULATIVE, F.MEAN_TIME, F.AVAILABILITY},
        {F.WEIBULL, F.SURVIVAL, F.SHRUNK},
    ),
    ("five, worsening", sample(5, p=0.02), {F.TREND, F.CUMULATIVE}, {F.MEAN_TIME, F.WEIBULL}),
    (
        "five lives",
        sample(5, repaired=False),
        {F.RATE, F.SURVIVAL, F.WEIBULL},
        {F.CUMULATIVE, F.TREND, F.MEAN_TIME},
    ),
    ("two, steady", sample(9, p=0.5, groups=2), {F.RATIO}, {F.CURVES_COMPARED}),
    ("two, a trend", sample(9, p=0.01, groups=2), {F.RATIO, F.CURVES_COMPARED}, {F.MEAN_TIME}),
    ("two, repeats", sample(9, p=0.5, groups=2, again=1), {F.CURVES_COMPARED}, set()),
    ("many", sample(9, groups=8), {F.RANKING, F.SHRUNK}, set()),
]


@pytest.mark.parametrize(
    ("data", "shown", "withheld"), [row[1:] for row in TABLE], ids=[row[0] for row in TABLE]
)
def test_data_that_must_and_must_not_show(
    data: Sample, shown: set[Figure], withheld: set[Figure]
) -> None:
    found = choosing.choose(data)
    assert shown <= set(found.shown)
    assert withheld <= found.withheld.keys()


@settings(max_examples=60, deadline=None)
@given(
    st.integers(0, 12),
    st.booleans(),
    st.none() | st.floats(0, 1),
    st.integers(1, 5),
    st.booleans(),
)
def test_each_figure_is_shown_or_its_absence_is_a_sentence(
    failures: int,
    repaired: bool,  # noqa: FBT001 - drawn
    p: float | None,
    groups: int,
    again: bool,  # noqa: FBT001 - drawn
) -> None:
    found = choosing.choose(Sample(failures, 900, 3, repaired, p, groups, again))
    assert sorted([*found.shown, *found.withheld]) == sorted(Figure)
    assert all(why.endswith(".") for why in found.withheld.values())


def test_nothing_is_shown_without_exposure() -> None:
    found = choosing.choose(Sample(0, 0, 0, repaired=True))
    assert found.shown == ()
    assert found.withheld[F.RATE] == "No unit was exposed in this time."


@pytest.mark.parametrize(
    ("kind", "most", "repaired"),
    [("cable", 1, False), ("cable", 2, True), ("recorder", 1, True), ("drive", 0, False)],
)
def test_what_counts_as_repaired(kind: str, most: int, repaired: object) -> None:
    assert choosing.is_repaired(kind, most) is repaired


@pytest.mark.parametrize("figure", list(Figure))
def test_the_line_below_a_figure_names_all_it_rests_on(figure: Figure) -> None:
    told = choosing.line(figure, sample(1), FIRST, END, confidence=0.9)
    for part in ("1 failure,", "8 units", "4,000 unit-days", "2025-05-01", "2026-11-01", "90 %"):
        assert part in told
