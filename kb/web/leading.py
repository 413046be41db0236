"""Sentences that name a command of the terminal, as a page says them: with a link."""

import re

from markupsafe import Markup, escape

# What lists it in the terminal -> what a page calls the list, and where it stands.
_LISTS = {
    "item list": ("the list of things", "/gear"),
    "model list": ("the list of models", "/gear/models"),
    "place list": ("the list of places", "/places"),
    "link list": ("the list of links", "/links"),
    "loan list": ("the list of loans", "/loans"),
    "show list": ("the list of shows", "/shows"),
    "service list": ("the list of services", "/services"),
    "fault list": ("the list of faults", "/faults"),
    "fault see": ("the list of faults", "/faults"),
    "entries list": ("the list of entries", "/entries"),
    "entries wanted": ("what was searched and not found", "/entries#wanted"),
    "person add": ("the page of people", "/people"),
    "review hindsight": ("the page of services looked back on", "/review/hindsight"),
}
_COMMAND = re.compile(r"'kitlore ([a-z]+ [a-z]+)(?: [A-Z]+)?'")


def linked(message: str) -> Markup:
    """Return a sentence with links to lists in place of the commands that print them."""
    made, last = Markup(), 0
    for found in _COMMAND.finditer(message):
        if found[1] not in _LISTS:
            continue
        words, address = _LISTS[found[1]]
        before = message[last : found.start()]
        starts = not message[: found.start()].strip() or before.rstrip().endswith(".")
        shown = words[0].upper() + words[1:] if starts else words
        made += escape(before) + Markup('<a href="{}">{}</a>').format(address, shown)
        last = found.end()
    return made + escape(message[last:])
