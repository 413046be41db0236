"""How long a fix takes and what it interrupts, as somebody says it."""

from kb.entries.model import Check, Fix, Swap

_MINUTE = 60


def duration(seconds: int) -> str:
    """Return a duration in minutes and seconds: '20 s', '3 min', '1 min 30 s'."""
    minutes, rest = divmod(seconds, _MINUTE)
    told = ((minutes, "min"), (rest, "s"))
    return " ".join(f"{count} {unit}" for count, unit in told if count)


def price(act: Check | Fix | Swap) -> str:
    """Return what it costs: '45 s, at worst 2 min, interrupts this source'."""
    parts = [duration(act.takes_s)]
    if not isinstance(act, Check) and act.at_worst_s is not None:
        parts.append(f"at worst {duration(act.at_worst_s)}")
    if isinstance(act, Fix):
        parts.append(act.disruption.told)
    return ", ".join(parts)
