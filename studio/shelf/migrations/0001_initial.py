import django.db.models.deletion
from django.db import migrations, models
from inventory.tables import FirstTables


class Migration(FirstTables):
    initial = True

    dependencies = [
        ("inventory", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="CountSheet",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("begun_at", models.DateTimeField()),
                ("finished_at", models.DateTimeField(blank=True, null=True)),
                (
                    "begun_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.person"
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="count_sheets", to="inventory.place"
                    ),
                ),
            ],
            options={
                "ordering": ["-begun_at", "-pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("finished_at", None)), fields=("place",), name="one_open_count_of_a_place"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="CountLine",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("amount", models.BigIntegerField(help_text="In the base unit of its dimension.")),
                ("counted_at", models.DateTimeField()),
                (
                    "container",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="count_lines",
                        to="inventory.container",
                    ),
                ),
                (
                    "counted_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.person"
                    ),
                ),
                (
                    "entry",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="count_lines",
                        to="inventory.entry",
                    ),
                ),
                (
                    "sheet",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="lines", to="shelf.countsheet"
                    ),
                ),
            ],
            options={
                "ordering": ["counted_at", "pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("sheet", "container"), name="one_line_a_container"),
                    models.CheckConstraint(condition=models.Q(("amount__gte", 0)), name="a_line_is_not_negative"),
                ],
            },
        ),
        migrations.CreateModel(
            name="ImportedFile",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=120)),
                ("sha256", models.CharField(max_length=64)),
                (
                    "sheets",
                    models.JSONField(help_text="Each with its name, its rows and the cells that reach over several."),
                ),
                (
                    "choices",
                    models.JSONField(default=dict, help_text="What somebody said of it: see `importing.Choices`."),
                ),
                ("picked", models.JSONField(default=dict, help_text="The field that was picked for each heading.")),
                ("brought_at", models.DateTimeField()),
                (
                    "brought_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.person"
                    ),
                ),
                (
                    "entry",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="imported_files",
                        to="inventory.entry",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.place"
                    ),
                ),
            ],
            options={
                "ordering": ["-brought_at", "-pk"],
                "indexes": [models.Index(fields=["sha256"], name="imported_before")],
            },
        ),
        migrations.CreateModel(
            name="Ticked",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("which", models.CharField(max_length=20)),
                ("line", models.CharField(max_length=60)),
                ("at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.person"
                    ),
                ),
            ],
            options={
                "constraints": [models.UniqueConstraint(fields=("which", "line"), name="a_line_is_ticked_once")],
            },
        ),
    ]
