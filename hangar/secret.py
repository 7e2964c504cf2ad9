"""The site's secret key, made once and kept beside the data."""

import os
import secrets
from pathlib import Path


def kept_secret(path: Path) -> str:
    """The secret in `path`, made there on first use with mode 0600."""
    if path.exists() and not path.stat().st_size:
        # The machine went down before it was on the disk.
        path.unlink(missing_ok=True)
    if not path.exists():
        fresh = path.with_name(f"{path.name}.{os.getpid()}")
        # Left by a process of that number which was killed.
        fresh.unlink(missing_ok=True)
        with os.fdopen(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
            file.write(secrets.token_urlsafe(48))
            file.flush()
            os.fsync(file.fileno())
        try:
            # Two workers may start at once: a link is made by one of them only, and always of a whole file.
            os.link(fresh, path)
        except FileExistsError:
            pass
        finally:
            fresh.unlink()
    return path.read_text().strip()
