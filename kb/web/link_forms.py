"""The forms in which something is done with a link."""

from collections.abc import Mapping

from kb.gear.paths import LinkLine
from kb.records.workspace import Workspace
from kb.web import moments
from kb.web.forms import Field, FormPage

_FIELDS = (
    ("cable", "Lead", "Its code or name; empty for a jumper without a label."),
    ("from_item", "From", "Where the signal comes from: its code or name."),
    ("from_port", "Its port", "As it's printed there, like video out."),
    ("to_item", "To", "Where the signal goes: its code or name."),
    ("to_port", "Its port there", ""),
)
NAMES = tuple(name for name, _label, _hint in _FIELDS)


def new(given: Mapping[str, str]) -> FormPage:
    """Return the form that joins two ports.

    Args:
        given: What is known already, by the field's name.
    """
    fields = tuple(
        Field(name, label, given.get(name, ""), "text", h) for name, label, h in _FIELDS
    )
    return FormPage("Join two ports", "/links/new", "Join them", fields, back="/links")


def swap(old: str, into: str, leads: tuple[str, ...] = ()) -> FormPage:
    """Return the form that swaps one lead for another, whatever it joins.

    Args:
        old: The lead that goes out.
        into: The lead that comes in.
        leads: Leads to suggest.
    """
    fields = (
        Field("old", "The lead that goes out", old, "text", "Its code or name, or link 7.", leads),
        Field("new", "The lead that comes in", into, "text", "Its code or name.", leads),
    )
    note = "The new one joins the same two ports from now on."
    return FormPage("Swap a lead", "/links/swap", "Swap it", fields, note, back="/links")


def change(line: LinkLine, place: Workspace) -> FormPage:
    """Return the form that mends a slip in a link, its times in the workspace's zone."""
    stands = tuple(
        Field(name, label, getattr(line, name) or "", "text", hint)
        for name, label, hint in _FIELDS
    )
    times = (
        Field("since", "Joined since", moments.told(line.since, place), hint=moments.HINT),
        Field(
            "until",
            "Joined until",
            moments.told(line.until, place),
            hint="Empty while they're joined.",
        ),
    )
    there = f"/links/{line.number}"
    title = f"Mend a slip in link {line.number}"
    fields = (_seen(line), *stands, *times)
    note = "For what was written down wrong. What was changed at the rack is a swap."
    return FormPage(title, f"{there}/change", "Mend it", fields, note, back=there)


def part(line: LinkLine) -> FormPage:
    """Return the form that ends a link."""
    there = f"/links/{line.number}"
    title = f"Disconnect {line.from_item} {line.from_port} from {line.to_item} {line.to_port}"
    return FormPage(title, f"{there}/disconnect", "Disconnect", (_seen(line),), back=there)


def replace(line: LinkLine, into: str) -> FormPage:
    """Return the form that swaps the lead of a link."""
    there = f"/links/{line.number}"
    fields = (_seen(line), Field("new", "The lead that comes in", into, hint="Its code or name."))
    title = f"Swap the lead {line.cable}" if line.cable else "Put a lead in place of the jumper"
    ends = f"{line.from_item} {line.from_port} and {line.to_item} {line.to_port}"
    return FormPage(title, f"{there}/replace", "Swap it", fields, f"It joins {ends}.", back=there)


def _seen(line: LinkLine) -> Field:
    return Field("seen", value=str(line.version), kind="hidden")
