"""`manage.py words [AREA ...]`: collects the texts to translate, tells what is missing, makes what the site reads."""

import argparse
from typing import Any

from django.core.management.base import BaseCommand

from hangar.languages.areas import AREAS, LANGUAGES, translation


class Command(BaseCommand):
    help = "Brings the translations up with the texts of pages, sheets and computation, and says what is missing."

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument("areas", nargs="*", metavar="AREA", help=f"of {', '.join(AREAS)}; all where none is given")

    def handle(self, *args: Any, **options: Any) -> None:
        from hangar.languages import collecting

        for area in options["areas"] or AREAS:
            for language in LANGUAGES.keys() - {"en"}:
                catalog = collecting.brought_up(area, language)
                collecting.write(catalog, translation(area, language))
                missing = [message for message in catalog if message.id and not collecting.said(message)]
                self.stdout.write(f"{area}, {language}: {len(catalog)} texts, {len(missing)} not translated")
