from typing import Any

from django.db import migrations


def fill(apps: Any, schema_editor: Any) -> None:
    grounding = apps.get_model("flights", "Grounding")
    grounding.objects.filter(flight__isnull=False).update(cause="flight")
    grounding.objects.filter(flight=None, second_person=True, reason__startswith="rebuilt: ").update(cause="rebuild")
    glance = apps.get_model("flights", "Glance")
    keys = apps.get_model("fleet", "Airframe").objects.values_list("pk", flat=True)
    glance.objects.bulk_create(
        [glance(airframe_id=key, state="look first", sheet="", failsafe="", range_check="") for key in keys],
        batch_size=500,
    )


class Migration(migrations.Migration):
    """Every airframe gets its row of the line-up, which is worked out when it is looked at."""

    dependencies = [("flights", "0003_glances_and_withdrawing")]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
