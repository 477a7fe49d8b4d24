import django.core.validators
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Workshop",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=80, verbose_name="studio's name")),
                (
                    "region",
                    models.CharField(
                        choices=[
                            ("eu", "European Union"),
                            ("gb", "Great Britain"),
                            ("us", "United States"),
                            ("elsewhere", "elsewhere"),
                        ],
                        default="elsewhere",
                        max_length=10,
                        verbose_name="region",
                    ),
                ),
                (
                    "us_state",
                    models.CharField(
                        blank=True,
                        max_length=2,
                        validators=[
                            django.core.validators.RegexValidator(
                                "^[A-Z]{2}$", "The two letters of the state, such as CA."
                            )
                        ],
                        verbose_name="state",
                    ),
                ),
                (
                    "waste_from",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("business", "a business, school, club or shared workshop"),
                            ("household", "a household: a home, and nobody works there but those who live in it"),
                            ("", "nobody has said yet"),
                        ],
                        max_length=10,
                        verbose_name="its waste is that of",
                    ),
                ),
                (
                    "acute_waste",
                    models.CharField(
                        blank=True,
                        choices=[("none", "none here"), ("some", "some, or there may be"), ("", "nobody has said yet")],
                        max_length=10,
                        verbose_name="acutely hazardous waste",
                    ),
                ),
                ("time_zone", models.CharField(default="UTC", max_length=60, verbose_name="time zone")),
                (
                    "cups",
                    models.CharField(
                        choices=[("us", "US cups (237 mL)"), ("metric", "metric cups (250 mL)")],
                        default="metric",
                        max_length=6,
                        verbose_name="cups",
                    ),
                ),
                (
                    "strength",
                    models.CharField(
                        choices=[("g/L", "grams of blue crystals per litre"), ("°Bé", "degrees Baumé")],
                        default="g/L",
                        max_length=4,
                        verbose_name="strength is shown in",
                    ),
                ),
                (
                    "temperature",
                    models.CharField(
                        choices=[("°C", "degrees Celsius"), ("°F", "degrees Fahrenheit")],
                        default="°C",
                        max_length=2,
                        verbose_name="temperature",
                    ),
                ),
                (
                    "depth",
                    models.CharField(
                        choices=[("µm", "micrometres"), ("mil", "mil (thousandths of an inch)")],
                        default="µm",
                        max_length=3,
                        verbose_name="depth",
                    ),
                ),
                (
                    "currency",
                    models.CharField(
                        default="EUR",
                        max_length=3,
                        validators=[
                            django.core.validators.RegexValidator(
                                "^[A-Z]{3}$", "Three letters, such as EUR, GBP or USD."
                            )
                        ],
                        verbose_name="currency",
                    ),
                ),
                (
                    "paper",
                    models.CharField(
                        choices=[("A4", "A4"), ("Letter", "Letter")],
                        default="A4",
                        max_length=6,
                        verbose_name="paper size",
                    ),
                ),
                ("emergency_line", models.CharField(blank=True, max_length=60, verbose_name="emergency line")),
                ("poison_line", models.CharField(blank=True, max_length=60, verbose_name="poison line")),
                ("keyholder_line", models.CharField(blank=True, max_length=60, verbose_name="keyholder's telephone")),
                ("address", models.CharField(blank=True, max_length=160, verbose_name="address")),
                ("is_without_lines", models.BooleanField(default=False, verbose_name="whether it has lines to call")),
                (
                    "asks_for_induction",
                    models.BooleanField(default=True, verbose_name="whether induction is asked for"),
                ),
                (
                    "asks_keyholders_for_code",
                    models.BooleanField(default=False, verbose_name="whether keyholders sign in with a code too"),
                ),
                ("is_demo", models.BooleanField(default=False, editable=False)),
            ],
            options={
                "constraints": [models.CheckConstraint(condition=models.Q(("pk", 1)), name="one_workshop")],
            },
        ),
    ]
