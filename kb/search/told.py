"""An answer in the form that scripts rely on; terminal and API print the same."""

from typing import Any

from kb.search.listing import Hit
from kb.search.narrowing import Question
from kb.search.query import Answer


def plain(found: Answer, question: Question | None = None) -> dict[str, Any]:
    """Return an answer as what JSON holds.

    `confident` says whether an entry listed is likely to be the answer at all, `lead` (0 to 1)
    how clearly the first is ahead of the second; `question` is what would tell them apart.
    """
    return {
        "query": found.query,
        "confident": found.confident,
        "lead": round(found.lead, 4),
        "question": _question(question) if question else None,
        "results": [_hit(hit) for hit in found.hits],
    }


def _question(question: Question) -> dict[str, Any]:
    return {
        "asks": question.asks,
        "text": question.text,
        "options": [option.text for option in question.options],
    }


def _hit(hit: Hit) -> dict[str, Any]:
    told = {
        "kind": hit.kind,
        "id": hit.key,
        "title": hit.title,
        "score": round(hit.score, 6),
        "why": list(hit.why),
    }
    if hit.kind == "entry":
        told |= {"area": hit.stored["area"], "fixes": hit.stored["fixes"]}
    return told
