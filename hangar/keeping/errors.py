"""What can go wrong when keeping the club's data. The text says what is wrong and what to do instead."""


class KeepingError(ValueError):
    """A backup, a restore, an export or an import cannot be done as it was asked for."""
