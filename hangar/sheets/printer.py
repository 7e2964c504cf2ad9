"""What a process of its own does that makes sheets for the terminal: it starts with this file alone."""

import gc
from pathlib import Path


def begin() -> None:
    """Make Django ready, which a new process is not."""
    import django

    django.setup()
    collect_less_often()


def collect_less_often() -> None:
    """Look for garbage once in 50,000 new objects: a sheet makes many more, which all live until it is written. Looking
    through them again and again takes a seventh of the time, and saves 8 MiB at most."""
    gc.set_threshold(50_000, 20, 50)


def one_sheet(slug: str, folder: str, paper: str, by: int | None) -> tuple[str, str, str]:
    """(slug, file name, error) of one sheet; what goes wrong is told and stops no other one."""
    from hangar.sheets.copies import newest_sheet

    try:
        name, content = newest_sheet(slug, paper=paper, by=by)
        path = Path(folder) / name
        part = path.with_suffix(".part")
        part.write_bytes(content)
        part.replace(path)
    except Exception as error:
        return slug, "", f"{type(error).__name__}: {error}"[:300]
    return slug, name, ""
