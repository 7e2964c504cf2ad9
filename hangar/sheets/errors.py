"""What this package refuses, in words."""


class PrintError(ValueError):
    """Something that cannot be printed as it was asked for."""
