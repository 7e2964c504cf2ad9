"""A storage that every host reaches, as HANGAR_STORAGE may name one: a folder that the environment tells."""

import os

from django.core.files.storage import FileSystemStorage


class SharedStorage(FileSystemStorage):
    def __init__(self) -> None:
        super().__init__(location=os.environ["TEST_SHARED"])
