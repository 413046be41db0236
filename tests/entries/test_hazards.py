import pytest

from kb.entries import hazards

# Which words show danger is common practice, no source.


@pytest.mark.parametrize(
    ("text", "danger"),
    [
        ("Switch the mains off.", "mains"),
        ("Reset the circuit breaker.", "circuit breaker"),
        ("Look at the residual-current device.", "residual-current"),
        ("Change both batteries.", "batteries"),
        ("Let it overheat no more.", "overheat"),
        ("Climb the ladder.", "ladder"),
        ("Open the ceiling tile.", "ceiling"),
        ("Lift the screen down.", "Lift"),
        ("Mind your hearing.", "hearing"),
        ("Clean the fibre end.", "fibre"),
        ("Clean the fiber end.", "fiber"),
        ("Press the ground lift.", None),
        ("Find the lift switch.", None),
        ("Lift the plug out.", None),
        ("Turn the remainder down.", None),
        ("Push it in.", None),
    ],
)
def test_a_step_shows_that_it_can_hurt(text: str, danger: str | None) -> None:
    assert hazards.danger_in(text) == danger


@pytest.mark.parametrize(
    ("text", "wiring"),
    [
        ("Press the breaker back.", "breaker"),
        ("Measure the mains wiring.", "mains wiring"),
        ("Open the distribution board.", "distribution board"),
        ("Pull the mains plug.", None),
    ],
)
def test_a_step_shows_that_it_is_not_everybodys_work(text: str, wiring: str | None) -> None:
    assert hazards.wiring_in(text) == wiring


@pytest.mark.parametrize(
    ("text", "deferred"),
    [
        ("Local rules decide.", True),
        ("This is an electrician's work.", True),
        ("Only a licensed person opens it.", True),
        ("Locally produced.", False),
        ("Mind your fingers.", False),
    ],
)
def test_a_caution_leaves_the_work_to_whom_it_belongs(text: str, deferred: bool) -> None:  # noqa: FBT001 - a table's column
    assert hazards.defers(text) is deferred
