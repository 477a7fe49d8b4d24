import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0007_find_what_stands_in_a_place"),
        ("waste", "0001_drums"),
    ]

    operations = [
        migrations.CreateModel(
            name="Incident",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("spill", "Something was spilled"),
                            ("hurt", "Somebody was splashed or hurt"),
                            ("power", "Power, the supply or a machine failed"),
                            ("fire", "Fire or smoke"),
                            ("nearly", "It nearly went wrong"),
                            ("other", "Something else"),
                        ],
                        max_length=10,
                    ),
                ),
                ("what_happened", models.CharField(max_length=500)),
                ("what_was_done", models.CharField(blank=True, max_length=500)),
                ("injury", models.CharField(blank=True, max_length=300)),
                (
                    "entry",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="incident", to="inventory.entry"
                    ),
                ),
                (
                    "hurt",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.person"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="FollowUp",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("words", models.CharField(max_length=500)),
                ("closes", models.BooleanField(default=False)),
                (
                    "entry",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="follow_up", to="inventory.entry"
                    ),
                ),
                (
                    "incident",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="follow_ups", to="waste.incident"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("words", ""), _negated=True), name="a_follow_up_says_something"
                    )
                ],
            },
        ),
    ]
