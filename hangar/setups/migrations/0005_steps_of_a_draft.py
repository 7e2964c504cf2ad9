import base64
import zlib
from typing import Any

import django.db.models.deletion
from django.db import migrations, models


def keep_the_last_edit(apps: Any, schema_editor: Any) -> None:
    """What could be taken back stays so: as the step before the one at which the draft stands."""
    step = apps.get_model("setups", "DraftStep")
    for draft in apps.get_model("setups", "Draft").objects.exclude(before="").select_related("base__document"):
        like = draft.base.document.text.encode()[-32768:] if draft.base is not None else b"{}"
        packer = zlib.compressobj(9, zdict=like)
        packed = base64.b85encode(packer.compress(draft.before.encode()) + packer.flush()).decode()
        step.objects.create(draft=draft, number=0, packed=packed)
        draft.at = 1
        draft.save(update_fields=["at"])


class Migration(migrations.Migration):
    dependencies = [
        ("setups", "0004_draft_before_its_last_edit"),
    ]

    operations = [
        migrations.AddField(
            model_name="draft",
            name="at",
            field=models.PositiveIntegerField(default=0, editable=False),
        ),
        migrations.CreateModel(
            name="DraftStep",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.PositiveIntegerField()),
                ("packed", models.TextField()),
                (
                    "draft",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="steps", to="setups.draft"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("draft", "number"), name="one_step_of_a_draft_per_number")
                ],
            },
        ),
        migrations.RunPython(keep_the_last_edit, migrations.RunPython.noop),
    ]
