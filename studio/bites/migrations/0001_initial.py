import django.db.models.deletion
import studio.bites.models
from django.db import migrations, models
from inventory.tables import FirstTables


class Migration(FirstTables):
    initial = True

    dependencies = [
        ("baths", "0001_initial"),
        ("inventory", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Parcel",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("is_outward", models.BooleanField()),
                ("weight_g", models.FloatField(null=True)),
                (
                    "next_step",
                    models.CharField(blank=True, help_text="What the one who unpacks does next.", max_length=200),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "partner",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="parcels", to="inventory.place"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Plate",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "happened_at",
                    models.DateTimeField(editable=False, help_text="The entry's own, kept here for its index."),
                ),
                ("name", models.CharField(max_length=60)),
                ("width_mm", models.PositiveIntegerField()),
                ("height_mm", models.PositiveIntegerField()),
                ("thickness_mm", models.FloatField(null=True)),
                (
                    "cut_from",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plates",
                        to="inventory.container",
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "owner",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="plates", to="inventory.person"
                    ),
                ),
                (
                    "partner",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plates",
                        to="inventory.place",
                    ),
                ),
            ],
            options={
                "ordering": ["-happened_at", "-pk"],
                "indexes": [models.Index(fields=["happened_at", "id"], name="plate_in_order")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("height_mm__gt", 0), ("width_mm__gt", 0)), name="a_plate_has_a_face"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("thickness_mm", None), ("thickness_mm__gt", 0), _connector="OR"),
                        name="a_plate_has_a_thickness",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Photograph",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("state", models.PositiveSmallIntegerField(default=1)),
                ("shows", models.CharField(choices=[("plate", "the plate"), ("proof", "a proof")], max_length=10)),
                ("words", models.CharField(blank=True, max_length=120)),
                ("file", models.FileField(upload_to=studio.bites.models.photograph_name)),
                ("small", models.FileField(upload_to=studio.bites.models.photograph_name)),
                ("width", models.PositiveIntegerField()),
                ("height", models.PositiveIntegerField()),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "plate",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="photographs", to="bites.plate"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("height__gt", 0), ("width__gt", 0)), name="a_photograph_has_sides"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Bite",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "happened_at",
                    models.DateTimeField(editable=False, help_text="The entry's own, kept here for its index."),
                ),
                ("state", models.PositiveSmallIntegerField(default=1)),
                ("exposed_cm2", models.FloatField(null=True)),
                ("exposed_sd_cm2", models.FloatField(null=True)),
                (
                    "cathode_cm2",
                    models.FloatField(help_text="Of the cathode, immersed and facing the plate.", null=True),
                ),
                ("gap_cm", models.FloatField(null=True)),
                ("volts_set", models.FloatField(null=True)),
                ("planned_min", models.FloatField(null=True)),
                (
                    "bath",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="bites", to="baths.bath"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "plate",
                    models.ForeignKey(
                        help_text="Empty for one not in the book.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="bites",
                        to="bites.plate",
                    ),
                ),
            ],
            options={
                "ordering": ["-happened_at", "-pk"],
                "indexes": [
                    models.Index(fields=["happened_at", "id"], name="bite_in_order"),
                    models.Index(fields=["bath", "happened_at", "id"], name="bite_in_bath"),
                    models.Index(fields=["plate", "happened_at", "id"], name="bite_of_plate"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("exposed_cm2", None), ("exposed_sd_cm2", None)),
                            models.Q(("exposed_cm2__gt", 0), ("exposed_sd_cm2__gte", 0)),
                            _connector="OR",
                        ),
                        name="an_area_comes_with_its_spread",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Preparation",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("state", models.PositiveSmallIntegerField(default=1)),
                ("ground", models.CharField(blank=True, max_length=80)),
                ("stop_out", models.CharField(blank=True, max_length=80)),
                ("second_stop_out", models.CharField(blank=True, max_length=80)),
                (
                    "protected",
                    models.CharField(blank=True, help_text="What is covered, beside back and edges.", max_length=120),
                ),
                ("exposed_cm2", models.FloatField(null=True)),
                ("exposed_sd_cm2", models.FloatField(null=True)),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "ground_from",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="inventory.container",
                    ),
                ),
                (
                    "plate",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="preparations", to="bites.plate"
                    ),
                ),
                (
                    "second_stop_out_from",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="inventory.container",
                    ),
                ),
                (
                    "stop_out_from",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="inventory.container",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Travel",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "parcel",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="travels", to="bites.parcel"
                    ),
                ),
                (
                    "plate",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="travels", to="bites.plate"
                    ),
                ),
            ],
            options={
                "constraints": [models.UniqueConstraint(fields=("parcel", "plate"), name="a_plate_once_in_a_parcel")],
            },
        ),
        migrations.CreateModel(
            name="Weighing",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("mass_g", models.FloatField()),
                ("half_width_g", models.FloatField(help_text="What the scale is good to.")),
                ("is_bare", models.BooleanField(help_text="Clean, dry and without ground or tape.")),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "plate",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="weighings", to="bites.plate"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("half_width_g__gt", 0), ("mass_g__gt", 0)), name="a_plate_weighs_something"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="BiteReading",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("minutes", models.FloatField()),
                ("amps", models.FloatField()),
                ("volts", models.FloatField(null=True)),
                (
                    "bite",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="readings", to="bites.bite"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("minutes__gte", 0)), name="read_while_it_ran"),
                    models.CheckConstraint(condition=models.Q(("amps__gte", 0)), name="a_current_is_not_negative"),
                ],
            },
        ),
        migrations.CreateModel(
            name="BiteStop",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("minutes", models.FloatField(help_text="From the start.")),
                ("minutes_sd", models.FloatField()),
                (
                    "off_from_min",
                    models.FloatField(help_text="When the supply went off by itself, if it came back.", null=True),
                ),
                ("off_until_min", models.FloatField(null=True)),
                (
                    "charge_ah",
                    models.FloatField(help_text="Empty while nobody has said what the current was.", null=True),
                ),
                ("charge_sd_ah", models.FloatField(null=True)),
                ("is_counted", models.BooleanField(default=False, help_text="The supply itself counted the charge.")),
                ("drips_ml", models.FloatField(default=0.0)),
                (
                    "bite",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="stops", to="bites.bite"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("minutes__gte", 0)), name="no_stop_before_its_start"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("off_from_min", None), ("off_until_min", None)),
                            ("off_until_min__gt", models.F("off_from_min")),
                            _connector="OR",
                        ),
                        name="a_gap_has_two_ends",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("charge_ah", None), ("charge_sd_ah", None)),
                            models.Q(("charge_ah__gte", 0), ("charge_sd_ah__gte", 0)),
                            _connector="OR",
                        ),
                        name="a_charge_comes_with_its_spread",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="OwnEfficiency",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "electrode",
                    models.CharField(
                        choices=[("plate", "off the plates"), ("cathode", "onto the cathodes")], max_length=10
                    ),
                ),
                ("share", models.FloatField(help_text="Of the copper that Faraday's law expects.")),
                ("half_width", models.FloatField(help_text="Half of the range it lies in, 95 times in 100.")),
                ("reason", models.CharField(max_length=200)),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "verbose_name_plural": "own efficiencies",
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("half_width__gt", 0), ("share__gt", 0)), name="a_share_and_its_range"
                    )
                ],
            },
        ),
    ]
