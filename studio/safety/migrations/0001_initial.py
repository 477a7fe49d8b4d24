import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("baths", "0001_initial"),
        ("inventory", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="PrintedLabel",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("size", models.CharField(max_length=12)),
                ("classes", models.JSONField(help_text="Ids of chemistry.hazard_classes.")),
                ("content", models.JSONField(help_text="Every word and sign on it.")),
                (
                    "bath",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="printed_labels",
                        to="baths.bath",
                    ),
                ),
                (
                    "container",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="printed_labels",
                        to="inventory.container",
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "material",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="printed_labels",
                        to="inventory.material",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("bath", None), ("material__isnull", False)),
                            models.Q(("bath__isnull", False), ("container", None), ("material", None)),
                            _connector="OR",
                        ),
                        name="a_label_is_of_one_thing",
                    )
                ],
            },
        ),
    ]
