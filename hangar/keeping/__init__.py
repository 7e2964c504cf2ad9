"""Keeping what the club has written: backups, drills, moving to another place, and whether the site is well."""
