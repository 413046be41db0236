"""Words by which a step shows that it can hurt somebody (common practice, no source)."""

import re

_DANGER = re.compile(
    r"\bmains\b|\b(?:circuit[- ])?breakers?\b|\bresidual[- ]current\b|\bbatter(?:y|ies)\b"
    r"|\b(?:over)?heat(?:s|ed|ing)?\b"
    r"|\bladders?\b|\bceilings?\b|\bhearing\b|\bfib(?:re|er)s?\b|\blaser"
    r"|(?<!ground )(?<!earth )\blift(?:s|ed|ing)?\b(?! switch| the (?:limit|plug|fader|key|lid))",
    re.IGNORECASE,
)
_WIRING = re.compile(
    r"\bmains wiring\b|\b(?:circuit[- ])?breakers?\b|\bresidual[- ]current\b"
    r"|\bdistribution board\b|\bprotective earth\b",
    re.IGNORECASE,
)
_DEFERS = re.compile(
    r"\blocal\b|\blicen[cs]ed?\b|\belectrician|\bcompetent\b|\bqualified\b|\bauthori[sz]ed\b",
    re.IGNORECASE,
)


def danger_in(text: str) -> str | None:
    """Return the first word by which the text speaks of a danger, or None."""
    found = _DANGER.search(text)
    return found[0] if found else None


def wiring_in(text: str) -> str | None:
    """Return the first word by which the text speaks of mains wiring, or None."""
    found = _WIRING.search(text)
    return found[0] if found else None


def defers(text: str) -> bool:
    """Return whether the text leaves the work to local rules or to competent people."""
    return bool(_DEFERS.search(text))
