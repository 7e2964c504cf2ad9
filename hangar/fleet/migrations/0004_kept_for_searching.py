from typing import ClassVar

from django.db import migrations
from django.db.migrations.operations.base import Operation

from hangar.folding import FoldedField, fill


class Migration(migrations.Migration):
    dependencies: ClassVar[list[tuple[str, str]]] = [("fleet", "0003_club_rules_and_withdrawing")]
    operations: ClassVar[list[Operation]] = [
        migrations.AddField("airframe", "searched", FoldedField(of=("name", "mark"))),
        # In PostgreSQL the index goes with its column.
        migrations.RunPython(fill("fleet", "airframe"), migrations.RunPython.noop),
    ]
