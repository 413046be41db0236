"""Tell whether words typed in a search are the name or the code of a thing."""

import re

from sqlmodel import Session

from kb.gear import lookup, views
from kb.gear.views import ItemLine
from kb.records.kinds import ItemState

# 'cc05', 'CC 5', 'cc-05': letters, then a number.
_NUMBERED = re.compile(r"([^\W\d_]+)[\s_-]*0*(\d{1,6})")
_JOINTS = ("-", " ", "")
_WIDTHS = (1, 2, 3)


def spellings(typed: str) -> tuple[str, ...]:
    """Return what was typed, then the other ways in which a name with a number is written."""
    text = " ".join(typed.split())
    found = _NUMBERED.fullmatch(text)
    if found is None:
        return (text,)
    letters, number = found.groups()
    others = (f"{letters}{joint}{number:0>{width}}" for joint in _JOINTS for width in _WIDTHS)
    return tuple(dict.fromkeys((text, *others)))


def thing(session: Session, typed: str) -> ItemLine | None:
    """Return the thing whose name or code was typed, nearly so at least; None for other words.

    A thing in use comes before one that is retired, the exact name before one nearly so.
    """
    gone = None
    for text in spellings(typed) if typed.strip() else ():
        found = lookup.known_item(session, text)
        if found is not None and found.state != ItemState.RETIRED:
            return views.lines_of(session, [found.code])[0]
        gone = gone or found
    return views.lines_of(session, [gone.code])[0] if gone is not None else None


def place(session: Session, typed: str) -> str | None:
    """Return the code of the place whose name or path was typed; None where it's not one alone."""
    tree = lookup.Tree(session)
    paths = [tree.path(one.key) for one in tree.named(typed)]
    lines = views.place_lines(session) if len(paths) == 1 else ()
    return next((one.code for one in lines if one.path in paths), None)
