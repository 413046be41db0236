"""How items read in the terminal."""

from collections.abc import Sequence

from kb.cli import fault_text, output, service_text
from kb.faults.views import FaultLine
from kb.gear import codes
from kb.gear.pages import ItemPage
from kb.gear.paths import LinkLine
from kb.gear.views import ItemLine
from kb.records.settings import Settings


def lines(found: Sequence[ItemLine]) -> None:
    """Print items as a table."""
    output.table(
        ("Code", "Name", "Model", "State", "Place"),
        [(codes.shown(one.code), one.name, one.model, _state(one), one.place) for one in found],
        "No such item. Add one: kitlore item add --help",
    )


def page(found: ItemPage, faults: Sequence[FaultLine], settings: Settings) -> None:
    """Print an item with all that is known of it, and its newest faults."""
    _facts(found, settings)
    if found.links:
        _part("Links")
    for link in found.links:
        output.say(f"- {_joined(link)}")
    _part("Faults")
    fault_text.lines(faults, settings.timezone)
    if found.services:
        _part("Services")
        service_text.lines(found.services, settings.timezone)
    if found.spares:
        _part(f"Ready in its place ({found.spares_ready})")
        lines(found.spares)


def _facts(found: ItemPage, settings: Settings) -> None:
    line = found.line
    output.emphasised(f"{line.name} ({codes.shown(line.code)}): {_state(line)}")
    output.facts(
        {
            "Model": line.model,
            "Class": line.equipment_class,
            "Data": output.pairs(found.technical),
            "Place": line.place,
            "Due back": found.loan.due if found.loan else None,
            "Serial": found.serial,
            "Batch": line.batch,
            "In service": found.in_service,
            "Bought": found.bought,
            "Price": output.money(found.price_minor, settings.currency),
            "Supplier": found.supplier,
            "Warranty": found.warranty_until,
            "Note": found.note,
            "Old codes": ", ".join(codes.shown(one) for one in found.codes if one != line.code),
            "Version": found.version,
        },
    )


def _part(title: str) -> None:
    output.say()
    output.emphasised(title)


def _state(line: ItemLine) -> str:
    return f"{line.state}, with {line.on_loan_to}" if line.on_loan_to else line.state


def _joined(link: LinkLine) -> str:
    cable = link.cable or "a lead without a label"
    return (
        f"{link.from_item} {link.from_port} -> {link.to_item} {link.to_port}, by {cable} "
        f"(link {link.number})"
    )
