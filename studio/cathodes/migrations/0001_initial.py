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
            name="Cathode",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=60)),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "ordering": ["name", "pk"],
            },
        ),
        migrations.CreateModel(
            name="Hanging",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "bath",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, related_name="hangings", to="baths.bath"
                    ),
                ),
                (
                    "cathode",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="hangings", to="cathodes.cathode"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="CathodeWeighing",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("mass_g", models.FloatField()),
                ("half_width_g", models.FloatField(help_text="What the scale is good to.")),
                ("is_dry", models.BooleanField(default=True)),
                (
                    "cathode",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="weighings", to="cathodes.cathode"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("half_width_g__gt", 0), ("mass_g__gt", 0)),
                        name="a_cathode_weighs_something",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="CopperContent",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("grams", models.FloatField()),
                ("sd_g", models.FloatField()),
                ("words", models.CharField(help_text="As it was said.", max_length=120)),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="copper_contents",
                        to="inventory.material",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("grams__gt", 0), ("sd_g__gte", 0)), name="some_copper_is_in_it"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Sheet",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("facing_cm2", models.FloatField(help_text="Immersed and facing the plate.")),
                ("bare_g", models.FloatField(help_text="Without any copper gathered on it.")),
                ("bare_half_width_g", models.FloatField(help_text="What the scale it was weighed on is good to.")),
                ("strip_at_um", models.FloatField(help_text="Mean thickness at which it is to be stripped.")),
                ("gap_mm", models.FloatField(help_text="From its face to the plate.", null=True)),
                ("most_loss_percent", models.FloatField(help_text="Share of the gap that lumps may take.", null=True)),
                (
                    "cathode",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="sheets", to="cathodes.cathode"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("bare_g__gt", 0),
                            ("bare_half_width_g__gt", 0),
                            ("facing_cm2__gt", 0),
                            ("strip_at_um__gt", 0),
                        ),
                        name="a_sheet_has_a_face_and_a_mass",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("gap_mm", None), ("most_loss_percent", None)),
                            models.Q(("gap_mm__gt", 0), ("most_loss_percent__gt", 0)),
                            _connector="OR",
                        ),
                        name="a_gap_comes_with_its_loss",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Strip",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("mass_g", models.FloatField()),
                ("half_width_g", models.FloatField(help_text="What the scale is good to.")),
                ("is_dry", models.BooleanField(default=True)),
                ("powder_g", models.FloatField(default=0.0)),
                (
                    "cathode",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="strips", to="cathodes.cathode"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("half_width_g__gt", 0),
                            ("mass_g__gte", 0),
                            ("powder_g__gte", 0),
                            models.Q(("mass_g__gt", 0), ("powder_g__gt", 0), _connector="OR"),
                        ),
                        name="something_came_off",
                    )
                ],
            },
        ),
    ]
