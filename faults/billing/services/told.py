"""The error of the verbs of billing."""

from sites.kernel.services.verbs import UnableToAct


class UnableToBill(UnableToAct):
    """The lines cannot be given to the books so, or the batch not be taken back."""
