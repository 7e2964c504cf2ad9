"""Dates in English: the day first, the month by its name, so that nobody takes one for the other."""

DATE_FORMAT = "j M Y"
DATETIME_FORMAT = "j M Y, H:i"
SHORT_DATE_FORMAT = "j M Y"
SHORT_DATETIME_FORMAT = "j M Y, H:i"
MONTH_DAY_FORMAT = "j M"
YEAR_MONTH_FORMAT = "M Y"
TIME_FORMAT = "H:i"
DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = "\u202f"
NUMBER_GROUPING = 0
