from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from hangar.keeping.backing_up import back_up, thin_out
from hangar.keeping.errors import KeepingError
from hangar.keeping.management.common import KeepingCommand


class Command(KeepingCommand):
    help = (
        "Write the whole site (database and photos, not the secret key) to one file, while members go on writing. "
        "Only you may read it. Keep it on another machine."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE", help="a new file, or a folder for one named by the time")
        parser.add_argument("--keep", type=int, metavar="N", help="of a folder: delete all but the newest N backups")

    def handle(self, *args: Any, **options: Any) -> None:
        path, keep = options["file"], options["keep"]
        if keep is not None and (keep < 1 or not path.is_dir()):
            raise KeepingError("--keep N goes with a folder, and N is at least 1.")
        backup = back_up(path)
        self.stdout.write(f"{backup.name}: {backup.size / 1e6:.2f} MB, SHA-256 {backup.digest}")
        if keep is not None:
            for name in thin_out(path, keep, made=backup.name):
                self.stdout.write(f"Deleted {name}.")
