from typing import ClassVar

from django.db import migrations
from django.db.migrations.operations.base import Operation

from hangar.folding import FoldedField, fill


class Migration(migrations.Migration):
    dependencies: ClassVar[list[tuple[str, str]]] = [("members", "0003_language_and_length_unit")]
    operations: ClassVar[list[Operation]] = [
        migrations.AddField("personalname", "searched", FoldedField(of=("full_name",))),
        # In PostgreSQL the index goes with its column.
        migrations.RunPython(fill("members", "personalname"), migrations.RunPython.noop),
    ]
