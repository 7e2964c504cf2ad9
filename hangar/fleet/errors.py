"""What can go wrong in the fleet. The text says what was given and what to give instead."""


class FleetError(ValueError):
    """Something about an airframe, receiver or transmitter cannot be as it was given."""


class PhotoError(FleetError):
    """This picture cannot be kept."""


class NeverDeleted(FleetError):
    """Something that was logged was to be deleted."""
