"""The fixed words of an entry: how likely, what a fix interrupts, areas, equipment classes."""

from enum import StrEnum


class Likely(StrEnum):
    """How often a cause is the one, among the faults that look like this."""

    OFTEN = "often"
    SOMETIMES = "sometimes"
    RARELY = "rarely"


class Chance(StrEnum):
    """How often a fix cures a cause, or a check is answered 'yes' under it."""

    ALWAYS = "always"
    USUALLY = "usually"
    HALF = "half"
    RARELY = "rarely"
    NEVER = "never"


class Disruption(StrEnum):
    """What a fix interrupts, mildest first."""

    NONE = "none"
    THIS_SOURCE = "this source"
    WHOLE_SHOW = "whole show"

    @property
    def told(self) -> str:
        """What to tell somebody before the fix is begun."""
        return {
            Disruption.NONE: "interrupts nothing",
            Disruption.THIS_SOURCE: "interrupts this source",
            Disruption.WHOLE_SHOW: "interrupts the whole show",
        }[self]


class Area(StrEnum):
    """The nine parts of the studio that entries are sorted under."""

    DISPLAYS = "Displays and video"
    CALLS = "Call computers"
    CONTROL = "Control surfaces"
    AUDIO = "Audio"
    RECORDERS = "Recorders and drives"
    NETWORK = "Network"
    POWER = "Power, batteries and heat"
    CABLES = "Cables and connectors"
    CAMERAS = "Cameras and lighting"


AREAS = tuple(area.value for area in Area)

# What opens a line of the body.
CAUTION = "Caution:"
SEE = "You should see:"
STOP = "Stop when:"

# The two sections that belong to no fix, and the key of the section that tells the swap.
FIRST_ACTS = "First acts"
AFTERWARDS = "Afterwards"
SWAP_KEY = "swap"
