"""The schema that this program knows, and those that programs to come may know."""

from kb.records import revision

PRESENT = revision.head()
NEXT, LATER = (f"{int(PRESENT) + more:04d}" for more in (1, 2))
