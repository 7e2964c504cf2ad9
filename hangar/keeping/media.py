"""Photos and other files that rows point to: into an archive, and out of one."""

from collections.abc import Callable

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from .archive import Reader, Writer
from .errors import KeepingError
from .what import exported_models, file_fields

FOLDER = "media"
_LONGEST_NAME = 200
_LARGEST_FILE = 16 * 1024 * 1024


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


def media_of(reader: Reader) -> list[str]:
    """The names under which the files of the archive are stored. KeepingError for one that cannot be."""
    names = [path.removeprefix(f"{FOLDER}/") for path in reader.under(FOLDER)]
    for name in names:
        if len(name) > _LONGEST_NAME or reader.files[f"{FOLDER}/{name}"].size > _LARGEST_FILE:
            raise KeepingError(f"{FOLDER}/{name[:_LONGEST_NAME]} is too large to be a photo, or its name too long.")
    return names


def put_media_back(reader: Reader, look: Callable[[str, bytes], None] | None = None) -> list[str]:
    """Store all files of the archive under their names; the names of those which were not there before.

    `look` sees each name and content first; where it raises, nothing stays that was stored here.
    """
    written: list[str] = []
    try:
        for name in media_of(reader):
            content = reader.read(f"{FOLDER}/{name}")
            if look is not None:
                look(name, content)
            if _is_there(name, content):
                continue
            kept = _stored(name, content)
            written.append(kept)
            if kept != name:
                raise KeepingError(f"The storage keeps {name} under another name, {kept}: is the site in use?")
    except BaseException:
        take_away(written)
        raise
    return written


def _stored(name: str, content: bytes) -> str:
    """The name under which it is stored now. Half of it, for which there was room, does not stay."""
    try:
        return default_storage.save(name, ContentFile(content))
    except OSError:
        default_storage.delete(name)
        raise


def _is_there(name: str, content: bytes) -> bool:
    """Whether the storage has this file already. KeepingError for half of it, which somebody left who was interrupted,
    and for another one: it may be of a site that still needs it."""
    if not default_storage.exists(name):
        return False
    with default_storage.open(name, "rb") as file:
        if file.read(len(content) + 1) != content:
            raise KeepingError(
                f"Another file, or a part of this one, is in the place of {FOLDER}/{name} already: begin with an empty "
                "folder, or delete it where no other site uses it."
            )
    return True


def take_away(names: list[str]) -> None:
    for name in names:
        default_storage.delete(name)
