from django.db import migrations


class Migration(migrations.Migration):
    # Apart from the one before: PostgreSQL alters no table in a transaction in which rows of it were changed.
    dependencies = [
        ("setups", "0005_steps_of_a_draft"),
    ]

    operations = [
        migrations.RemoveField(model_name="draft", name="before"),
    ]
