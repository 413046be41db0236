"""Fill a new workspace: tables, the starter base, and the person who made it as its first lead."""

from datetime import datetime

from kb.crew import people
from kb.entries import folders
from kb.records import creating, session, workspace
from kb.records.kinds import Role
from kb.records.unit import Writer
from kb.records.workspace import Workspace


def start(made: Workspace, who: str, at: datetime) -> int:
    """Fill a workspace in the making, and return how many entries it begins with.

    Args:
        made: The workspace, its folder and settings there.
        who: The name of its first lead.
        at: When.

    Raises:
        StorageError: The disk is full or can't be written, or the database isn't empty.
    """
    with (
        creating.created(made) as engine,
        session.begin(engine, Writer(who, "terminal", at)) as unit,
    ):
        people.add_person(unit, {"name": who, "role": Role.LEAD})
        taken = folders.merge_starter(unit, workspace.starter("entries"), at)
    return len(taken.added)
