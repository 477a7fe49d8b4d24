import django.db.models.deletion
from django.db import migrations, models

import inventory.models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0003_fill_the_months"),
    ]

    operations = [
        migrations.CreateModel(
            name="Opening",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("opened_on", models.DateField()),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Part",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "substance",
                    models.CharField(
                        blank=True, help_text="A key of chemistry.substances, where there is one.", max_length=60
                    ),
                ),
                ("name", models.CharField(max_length=80)),
                ("low_percent", models.FloatField()),
                ("high_percent", models.FloatField()),
            ],
            options={
                "ordering": ["-high_percent", "pk"],
            },
        ),
        migrations.CreateModel(
            name="SafetySheet",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("file", models.FileField(upload_to=inventory.models._own_name)),
                ("sha256", models.CharField(max_length=64)),
                ("dated_on", models.DateField(help_text="The date on the sheet.")),
            ],
            options={
                "ordering": ["-dated_on", "-pk"],
            },
        ),
        migrations.AddField(
            model_name="container",
            name="cup_g",
            field=models.FloatField(blank=True, help_text="What one level cup out of it weighs.", null=True),
        ),
        migrations.AddField(
            model_name="container",
            name="sealed_use_by_on",
            field=models.DateField(blank=True, help_text="As long as nobody opens it.", null=True),
        ),
        migrations.AddField(
            model_name="material",
            name="bulk_density_high_g_per_ml",
            field=models.FloatField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="material",
            name="bulk_density_low_g_per_ml",
            field=models.FloatField(blank=True, help_text="The ends of its 95 % range.", null=True),
        ),
        migrations.AddField(
            model_name="material",
            name="density_g_per_ml",
            field=models.FloatField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="material",
            name="density_high_g_per_ml",
            field=models.FloatField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="material",
            name="density_low_g_per_ml",
            field=models.FloatField(blank=True, help_text="The ends of its 95 % range.", null=True),
        ),
        migrations.AddField(
            model_name="material",
            name="flash_point_c",
            field=models.FloatField(blank=True, help_text="As the supplier's sheet gives it.", null=True),
        ),
        migrations.AddField(
            model_name="material",
            name="lead_time_days",
            field=models.PositiveSmallIntegerField(blank=True, help_text="From order to delivery.", null=True),
        ),
        migrations.AddField(
            model_name="material",
            name="opened_months",
            field=models.PositiveSmallIntegerField(blank=True, help_text="How long it keeps once open.", null=True),
        ),
        migrations.AddField(
            model_name="material",
            name="order_up_to",
            field=models.BigIntegerField(blank=True, help_text="In the base unit of its dimension.", null=True),
        ),
        migrations.AddField(
            model_name="material",
            name="sealed_months",
            field=models.PositiveSmallIntegerField(blank=True, help_text="How long it keeps sealed.", null=True),
        ),
        migrations.AddField(
            model_name="material",
            name="storage_group",
            field=models.CharField(
                blank=True,
                choices=[
                    ("flammable", "flammable liquids"),
                    ("oxidiser", "oxidisers"),
                    ("acid", "acids"),
                    ("base", "bases and carbonates"),
                    ("copper salt", "copper salts and what holds them"),
                    ("bleach", "hypochlorite bleach and cleaners"),
                    ("salt cleaner", "vinegar-and-salt cleaner"),
                    ("general", "general stores"),
                    ("bare metal", "bare aluminium, zinc and steel"),
                ],
                max_length=40,
            ),
        ),
        migrations.AddField(
            model_name="material",
            name="thickness_um",
            field=models.PositiveIntegerField(blank=True, help_text="Of sheet copper.", null=True),
        ),
        migrations.AddField(
            model_name="place",
            name="flammables_limit_ul",
            field=models.BigIntegerField(blank=True, help_text="The studio's own, in µL.", null=True),
        ),
        migrations.AlterField(
            model_name="material",
            name="category",
            field=models.CharField(
                choices=[
                    ("Copper sheet and plates", "Copper sheet and plates"),
                    ("Bath salts and water", "Bath salts and water"),
                    ("Grounds", "Grounds"),
                    ("Stop-out and block-out", "Stop-out and block-out"),
                    ("Tapes and edge protection", "Tapes and edge protection"),
                    ("Solvents and thinners", "Solvents and thinners"),
                    ("Plate cleaners and degreasers", "Plate cleaners and degreasers"),
                    ("Neutralising and spill", "Neutralising and spill"),
                    ("Abrasives and scrubbing", "Abrasives and scrubbing"),
                    ("Straining and containers", "Straining and containers"),
                    ("Gloves, eyes and lungs", "Gloves, eyes and lungs"),
                    ("Ink, wiping and post", "Ink, wiping and post"),
                ],
                max_length=60,
            ),
        ),
        migrations.AlterField(
            model_name="monthsum",
            name="kind",
            field=models.CharField(
                choices=[
                    ("received", "Received"),
                    ("used", "Used"),
                    ("counted", "Counted"),
                    ("from jar to jar", "Split"),
                    ("kept in line with counts", "Kept"),
                ],
                max_length=24,
            ),
        ),
        migrations.AlterField(
            model_name="movement",
            name="kind",
            field=models.CharField(
                choices=[
                    ("received", "Received"),
                    ("used", "Used"),
                    ("counted", "Counted"),
                    ("from jar to jar", "Split"),
                    ("kept in line with counts", "Kept"),
                ],
                max_length=24,
            ),
        ),
        migrations.AddConstraint(
            model_name="material",
            constraint=models.CheckConstraint(
                condition=models.Q(("density_g_per_ml", None), ("density_g_per_ml__gt", 0), _connector="OR"),
                name="density_is_positive",
            ),
        ),
        migrations.AddField(
            model_name="opening",
            name="container",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="openings", to="inventory.container"
            ),
        ),
        migrations.AddField(
            model_name="opening",
            name="entry",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="openings", to="inventory.entry"
            ),
        ),
        migrations.AddField(
            model_name="part",
            name="material",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="parts", to="inventory.material"
            ),
        ),
        migrations.AddField(
            model_name="safetysheet",
            name="entry",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="safety_sheets", to="inventory.entry"
            ),
        ),
        migrations.AddField(
            model_name="safetysheet",
            name="material",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="safety_sheets", to="inventory.material"
            ),
        ),
        migrations.AddConstraint(
            model_name="part",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("high_percent__lte", 100), ("low_percent__gte", 0), ("low_percent__lte", models.F("high_percent"))
                ),
                name="percents_in_order",
            ),
        ),
    ]
