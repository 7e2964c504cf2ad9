"""Photos and other files that rows point to: into an archive, and out of one."""

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from .archive import Reader, Writer
from .errors import KeepingError
from .what import exported_models, file_fields

FOLDER = "media"


def stored_names() -> list[str]:
    """The names of all files that a row points to."""
    names: set[str] = set()
    for model in exported_models():
        for field in file_fields(model):
            names.update(model._base_manager.exclude(**{field.name: ""}).values_list(field.name, flat=True))
    return sorted(names - {"", None})


def add_media(writer: Writer, names: list[str]) -> list[str]:
    """Put the files of these names in; those which are missing on this machine, or went meanwhile, are returned."""
    missing = []
    for name in names:
        try:
            with default_storage.open(name, "rb") as file:
                writer.add_from(f"{FOLDER}/{name}", file)
        except FileNotFoundError:
            missing.append(name)
    return missing


def put_media_back(reader: Reader) -> list[str]:
    """Store all files of the archive under their names; the names of those which were not there before."""
    written: list[str] = []
    try:
        for path in reader.under(FOLDER):
            name, content = path.removeprefix(f"{FOLDER}/"), reader.read(path)
            if default_storage.exists(name):
                continue
            kept = default_storage.save(name, ContentFile(content))
            written.append(kept)
            if kept != name:
                raise KeepingError(f"The storage keeps {name} under another name, {kept}: is the site in use?")
    except BaseException:
        take_away(written)
        raise
    return written


def take_away(names: list[str]) -> None:
    for name in names:
        default_storage.delete(name)
