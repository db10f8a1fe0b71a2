"""The colours of marks on the ground, and whose lines they show.

Sources: red, yellow, orange and blue seen in copies; the other four of the APWA uniform colour
code from memory.
"""

from enum import StrEnum


class MarkColour(StrEnum):
    """A colour of paint or flags."""

    RED = "red"
    YELLOW = "yellow"
    ORANGE = "orange"
    BLUE = "blue"
    GREEN = "green"
    PURPLE = "purple"
    PINK = "pink"
    WHITE = "white"


class Marked(StrEnum):
    """What a colour stands for."""

    ELECTRIC = "electric"
    GAS = "gas"
    COMMUNICATION = "communication"
    POTABLE_WATER = "potable water"
    SEWER = "sewer"
    RECLAIMED_WATER = "reclaimed water and irrigation"
    SURVEY = "survey"
    PROPOSED_WORK = "proposed work"


MARKS = {
    MarkColour.RED: Marked.ELECTRIC,
    MarkColour.YELLOW: Marked.GAS,
    MarkColour.ORANGE: Marked.COMMUNICATION,
    MarkColour.BLUE: Marked.POTABLE_WATER,
    MarkColour.GREEN: Marked.SEWER,
    MarkColour.PURPLE: Marked.RECLAIMED_WATER,
    MarkColour.PINK: Marked.SURVEY,
    MarkColour.WHITE: Marked.PROPOSED_WORK,
}
