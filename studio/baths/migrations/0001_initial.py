import django.core.validators
import django.db.models.deletion
import uuid
from django.db import migrations, models
from inventory.tables import FirstTables


class Migration(FirstTables):
    initial = True

    dependencies = [
        ("inventory", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Bath",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("mark", models.UUIDField(default=uuid.uuid4, editable=False)),
                ("name", models.CharField(max_length=60, unique=True)),
                (
                    "rim_l",
                    models.FloatField(
                        validators=[
                            django.core.validators.MinValueValidator(0.1),
                            django.core.validators.MaxValueValidator(2000),
                        ],
                        verbose_name="volume to the rim",
                    ),
                ),
                (
                    "fill_l",
                    models.FloatField(
                        validators=[
                            django.core.validators.MinValueValidator(0.1),
                            django.core.validators.MaxValueValidator(2000),
                        ],
                        verbose_name="usual fill",
                    ),
                ),
                (
                    "fill_is_given",
                    models.BooleanField(
                        default=True,
                        editable=False,
                        help_text="Else the bath that was begun in it last tells how full it stands.",
                        verbose_name="usual fill was given",
                    ),
                ),
                (
                    "surface_cm2",
                    models.FloatField(
                        validators=[
                            django.core.validators.MinValueValidator(5),
                            django.core.validators.MaxValueValidator(100000),
                        ],
                        verbose_name="open surface",
                    ),
                ),
                (
                    "range_low_g_per_l",
                    models.FloatField(
                        default=200,
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(400),
                        ],
                        verbose_name="working range from",
                    ),
                ),
                (
                    "range_high_g_per_l",
                    models.FloatField(
                        default=260,
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(400),
                        ],
                        verbose_name="working range to",
                    ),
                ),
                (
                    "coldest_c",
                    models.FloatField(
                        default=12,
                        validators=[
                            django.core.validators.MinValueValidator(-20),
                            django.core.validators.MaxValueValidator(45),
                        ],
                        verbose_name="coldest the room gets",
                    ),
                ),
                (
                    "air_c",
                    models.FloatField(
                        default=18,
                        validators=[
                            django.core.validators.MinValueValidator(-10),
                            django.core.validators.MaxValueValidator(45),
                        ],
                        verbose_name="usual room temperature",
                    ),
                ),
                (
                    "relative_humidity_percent",
                    models.FloatField(
                        default=55,
                        validators=[
                            django.core.validators.MinValueValidator(5),
                            django.core.validators.MaxValueValidator(100),
                        ],
                        verbose_name="usual relative humidity",
                    ),
                ),
                (
                    "marks",
                    models.JSONField(
                        blank=True,
                        default=list,
                        help_text="Pairs of centimetres and litres, in order.",
                        verbose_name="marks on the dipstick",
                    ),
                ),
                ("revision", models.PositiveIntegerField(default=0, editable=False)),
                ("estimated_revision", models.IntegerField(default=-1, editable=False)),
                ("estimated_model", models.IntegerField(default=0, editable=False)),
                (
                    "forgotten",
                    models.JSONField(
                        editable=False,
                        help_text="What the last readings look like that nobody wrote down, by the estimate.",
                        null=True,
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="baths", to="inventory.place"
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("fill_l__lte", models.F("rim_l"))), name="filled_below_the_rim"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("range_low_g_per_l__lt", models.F("range_high_g_per_l"))),
                        name="range_has_a_width",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="BathEvent",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "happened_at",
                    models.DateTimeField(editable=False, help_text="The entry's own, kept here for its index."),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("Mixed", "mixed"),
                            ("Adopted", "adopted"),
                            ("WaterAdded", "water added"),
                            ("CrystalsAdded", "crystals added"),
                            ("SolutionAdded", "solution added"),
                            ("PouredIn", "poured in from another bath"),
                            ("AcidAdded", "acid added"),
                            ("Removed", "taken out"),
                            ("RemovedByWeight", "taken out by weight"),
                            ("RemovedByLevel", "taken out by level"),
                            ("LevelRead", "level read"),
                            ("DensityRead", "hydrometer read"),
                            ("Titrated", "titrated"),
                            ("AcidTitrated", "acid titrated"),
                            ("PhRead", "pH read"),
                            ("Bitten", "plate bitten"),
                            ("DryingRate", "lid or room changed"),
                        ],
                        max_length=16,
                    ),
                ),
                ("values", models.JSONField(help_text="The figures of the event, without its day.")),
                (
                    "schema",
                    models.PositiveSmallIntegerField(editable=False, help_text="The form its figures are written in."),
                ),
                ("words", models.CharField(help_text="What was measured or done, as it was typed.", max_length=160)),
                (
                    "bath",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="events", to="baths.bath"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "indexes": [models.Index(fields=["bath", "happened_at", "entry", "id"], name="event_of_bath")],
            },
        ),
        migrations.CreateModel(
            name="Estimate",
            fields=[
                (
                    "event",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="estimate",
                        serialize=False,
                        to="baths.bathevent",
                    ),
                ),
                ("state", models.JSONField(help_text="Null while the bath is unread.", null=True)),
                (
                    "far_off_sd",
                    models.FloatField(help_text="How far a held-out reading stood from the book.", null=True),
                ),
                (
                    "brought",
                    models.JSONField(help_text="What a pour out of another bath brought, by that bath.", null=True),
                ),
                (
                    "bath",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="estimates", to="baths.bath"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Answer",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "choice",
                    models.CharField(
                        choices=[("reading", "Trust the reading"), ("book", "Trust the book"), ("again", "Read again")],
                        max_length=8,
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "reading",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="answers", to="baths.bathevent"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
    ]
