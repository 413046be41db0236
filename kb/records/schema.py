"""The whole schema in one metadata, for migrations and tests."""

from sqlmodel import SQLModel

from kb.records.tables import crew, entries, faults, gear, journal, use

METADATA = SQLModel.metadata
MODULES = (crew, entries, faults, gear, journal, use)
