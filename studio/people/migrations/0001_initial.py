import uuid

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("inventory", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Contact",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("telephone", models.CharField(blank=True, max_length=60)),
                ("email", models.EmailField(blank=True, max_length=254)),
                (
                    "entry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.entry"
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="contacts", to="inventory.person"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Pin",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("hashed", models.CharField(max_length=128)),
                (
                    "person",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="pin", to="inventory.person"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Tablet",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=60)),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                (
                    "entry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="tablets", to="inventory.entry"
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="Induction",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "task",
                    models.CharField(
                        choices=[("bath", "the bath"), ("solvents", "solvents"), ("cutting", "cutting copper")],
                        max_length=10,
                    ),
                ),
                (
                    "until_on",
                    models.DateField(blank=True, help_text="Its last day; empty when it does not end.", null=True),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="inductions", to="inventory.person"
                    ),
                ),
            ],
            options={
                "ordering": ["entry__happened_at", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("task__in", ("bath", "solvents", "cutting"))),
                        name="inducted_for_a_known_task",
                    )
                ],
            },
        ),
    ]
