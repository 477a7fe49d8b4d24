import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="MonthSum",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("month", models.DateField(help_text="Its first day, by universal time.")),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="month_sums",
                        to="inventory.material",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.person"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("received", "Received"),
                            ("used", "Used"),
                            ("counted", "Counted"),
                            ("kept in line with counts", "Kept"),
                        ],
                        max_length=24,
                    ),
                ),
                (
                    "amount",
                    models.BigIntegerField(default=0, help_text="In the base unit, negative when something left."),
                ),
                ("lines", models.PositiveIntegerField(default=0, help_text="How many movements these are.")),
            ],
            options={
                "ordering": ["month", "pk"],
                "indexes": [models.Index(fields=["month"], name="sums_of_a_month")],
                "constraints": [
                    models.UniqueConstraint(
                        fields=["material", "month", "person", "kind"], name="one_sum_of_a_month_by_person_and_kind"
                    )
                ],
            },
        ),
        migrations.AddIndex(
            model_name="container",
            index=models.Index(fields=["material", "on_hand"], name="container_standing"),
        ),
    ]
