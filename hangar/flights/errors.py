"""What can go wrong with flights. The text says what was given and what to give instead."""


class FlightError(ValueError):
    """A flight, a grounding, work or a throw check cannot be as it was given."""
