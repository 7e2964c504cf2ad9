import django.db.models.deletion
import django.utils.timezone
from django.apps.registry import Apps
from django.conf import settings
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

import hangar.sheets.models


def give_tokens(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Prints from before there was a QR code get a token too, one each."""
    prints = apps.get_model("sheets", "Print").objects
    for pk in prints.filter(token=None).values_list("pk", flat=True):
        prints.filter(pk=pk).update(token=hangar.sheets.models.new_token())


class Migration(migrations.Migration):
    dependencies = [
        ("sheets", "0001_initial"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AlterField(
            model_name="print",
            name="kind",
            field=models.CharField(
                choices=[
                    ("setup_sheet", "setup sheet"),
                    ("change_card", "change card"),
                    ("pocket_card", "pocket card"),
                    ("phone", "sheet on a phone"),
                ],
                max_length=12,
            ),
        ),
        migrations.AddField(
            model_name="print",
            name="instruction",
            field=models.BooleanField(default=False, help_text="with the block for two transmitters"),
        ),
        migrations.AddField(
            model_name="print", name="token", field=models.CharField(max_length=22, null=True, editable=False)
        ),
        migrations.RunPython(give_tokens, migrations.RunPython.noop),
        migrations.AlterField(
            model_name="print",
            name="token",
            field=models.CharField(default=hangar.sheets.models.new_token, editable=False, max_length=22, unique=True),
        ),
        migrations.CreateModel(
            name="LostCopy",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "copy",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="lost", to="sheets.print"
                    ),
                ),
                (
                    "replaced_by",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="replaces", to="sheets.print"
                    ),
                ),
            ],
            options={"ordering": ["-at", "-pk"], "verbose_name_plural": "lost copies"},
        ),
    ]
