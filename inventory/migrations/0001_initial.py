import django.db.models.deletion
import django.db.models.functions.text
import inventory.models
import uuid
from django.conf import settings
from django.db import migrations, models
from inventory.tables import FirstTables


class Migration(FirstTables):
    initial = True

    dependencies = [
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Place",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("mark", models.UUIDField(default=uuid.uuid4, editable=False)),
                ("is_listed", models.BooleanField(default=True, verbose_name="on the lists")),
                ("name", models.CharField(max_length=80, unique=True, verbose_name="name")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("shelf", "Shelf"),
                            ("flammables cabinet", "Flammables"),
                            ("bench", "Bench"),
                            ("tank", "Tank"),
                            ("away", "away with a partner studio"),
                        ],
                        default="shelf",
                        max_length=20,
                        verbose_name="kind",
                    ),
                ),
                (
                    "flammables_limit_ul",
                    models.BigIntegerField(
                        blank=True,
                        help_text="The studio's own, in µL.",
                        null=True,
                        verbose_name="limit of flammable liquid",
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="Seal",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("sealed_at", models.DateTimeField()),
                (
                    "last_entry",
                    models.BigIntegerField(
                        help_text="It covers every entry up to this one that no seal before covers."
                    ),
                ),
                ("strikes", models.JSONField(help_text="Keys of the entries that were struck since the seal before.")),
                ("things", models.JSONField(help_text="By model the last key of what the book speaks of.")),
                (
                    "marks",
                    models.JSONField(help_text="The beginning of the digest of each part, to name what is wrong."),
                ),
                ("digest", models.CharField(max_length=64)),
            ],
            options={
                "ordering": ["pk"],
            },
        ),
        migrations.CreateModel(
            name="Person",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("mark", models.UUIDField(default=uuid.uuid4, editable=False)),
                ("is_listed", models.BooleanField(default=True, verbose_name="on the lists")),
                ("name", models.CharField(max_length=80, unique=True, verbose_name="name")),
                (
                    "role",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "nobody: does not sign in"),
                            ("viewer", "Viewer"),
                            ("member", "Member"),
                            ("keyholder", "Keyholder"),
                        ],
                        default="",
                        max_length=10,
                        verbose_name="may use the book as",
                    ),
                ),
                ("left_on", models.DateField(blank=True, null=True, verbose_name="left on")),
                (
                    "account",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="person",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="Entry",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("kind", models.CharField(max_length=40)),
                (
                    "subject",
                    models.CharField(blank=True, help_text="What was done, in one plain line.", max_length=160),
                ),
                ("happened_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                ("note", models.TextField(blank=True)),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("form_digest", models.CharField(blank=True, editable=False, max_length=64)),
                (
                    "allowed",
                    models.JSONField(
                        default=list, editable=False, help_text="What it was asked about, each with the reason."
                    ),
                ),
                ("struck_at", models.DateTimeField(blank=True, null=True)),
                ("strike_reason", models.CharField(blank=True, max_length=200)),
                (
                    "recorded_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "done_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="entries", to="inventory.person"
                    ),
                ),
                (
                    "struck_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="inventory.person",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "entries",
                "ordering": ["happened_at", "pk"],
                "indexes": [
                    models.Index(fields=["happened_at", "id"], name="entry_in_order"),
                    models.Index(
                        condition=models.Q(("struck_at__isnull", False)), fields=["struck_at"], name="entry_struck"
                    ),
                    models.Index(fields=["kind", "happened_at", "id"], name="entry_of_kind"),
                    models.Index(fields=["done_by", "happened_at", "id"], name="entry_of_person"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("strike_reason", ""), ("struck_at", None), ("struck_by", None)),
                            models.Q(
                                ("struck_at__isnull", False),
                                ("struck_by__isnull", False),
                                models.Q(("strike_reason", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="struck_by_whom_when_and_why",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("happened_at__lte", models.F("recorded_at"))),
                        name="nothing_from_the_future",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Forgotten",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("kind", models.CharField(help_text="The row's model, as Django labels it.", max_length=40)),
                ("row", models.BigIntegerField()),
                ("digest", models.CharField(help_text="Of the words as they were sealed.", max_length=64)),
            ],
            options={
                "constraints": [models.UniqueConstraint(fields=("kind", "row"), name="forgotten_once")],
            },
        ),
        migrations.CreateModel(
            name="Material",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("mark", models.UUIDField(default=uuid.uuid4, editable=False)),
                ("is_listed", models.BooleanField(default=True, verbose_name="on the lists")),
                ("name", models.CharField(max_length=120, unique=True, verbose_name="name")),
                (
                    "category",
                    models.CharField(
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
                        verbose_name="category",
                    ),
                ),
                (
                    "dimension",
                    models.CharField(
                        choices=[
                            ("mass", "Mass"),
                            ("volume", "Volume"),
                            ("area", "Area"),
                            ("length", "Length"),
                            ("count", "Count"),
                        ],
                        max_length=10,
                        verbose_name="dimension",
                    ),
                ),
                (
                    "shown_unit",
                    models.CharField(
                        help_text="The unit its amounts are shown in.", max_length=12, verbose_name="shown unit"
                    ),
                ),
                (
                    "bath_use",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "not a bath salt"),
                            ("copper_sulfate_pentahydrate", "copper sulfate, blue crystals (pentahydrate)"),
                            ("copper_sulfate_anhydrous", "copper sulfate, pale grey-white powder (anhydrous)"),
                            ("copper_sulfate_monohydrate", "copper sulfate, pale blue-grey powder (monohydrate)"),
                            ("water", "water for the bath"),
                        ],
                        default="",
                        max_length=40,
                        verbose_name="bath use",
                    ),
                ),
                (
                    "purity",
                    models.FloatField(
                        default=1.0,
                        help_text="Share of the named substance in the pack (assay).",
                        verbose_name="purity",
                    ),
                ),
                ("density_g_per_ml", models.FloatField(blank=True, null=True, verbose_name="density")),
                (
                    "density_low_g_per_ml",
                    models.FloatField(
                        blank=True,
                        help_text="The ends of its 95 % range.",
                        null=True,
                        verbose_name="density, at the lowest",
                    ),
                ),
                (
                    "density_high_g_per_ml",
                    models.FloatField(blank=True, null=True, verbose_name="density, at the highest"),
                ),
                (
                    "bulk_density_g_per_ml",
                    models.FloatField(
                        blank=True, help_text="Weigh one cup once.", null=True, verbose_name="bulk density"
                    ),
                ),
                (
                    "bulk_density_low_g_per_ml",
                    models.FloatField(
                        blank=True,
                        help_text="The ends of its 95 % range.",
                        null=True,
                        verbose_name="bulk density, at the lowest",
                    ),
                ),
                (
                    "bulk_density_high_g_per_ml",
                    models.FloatField(blank=True, null=True, verbose_name="bulk density, at the highest"),
                ),
                (
                    "sealed_months",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        help_text="How long it keeps sealed.",
                        null=True,
                        verbose_name="months it keeps sealed",
                    ),
                ),
                (
                    "opened_months",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        help_text="How long it keeps once open.",
                        null=True,
                        verbose_name="months it keeps once open",
                    ),
                ),
                (
                    "storage_group",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("flammable", "flammable liquids"),
                            ("combustible", "what feeds a fire"),
                            ("oxidiser", "oxidisers"),
                            ("acid", "acids"),
                            ("weak acid", "weak acids"),
                            ("base", "lye"),
                            ("ammonia", "ammonia"),
                            ("carbonate", "carbonates"),
                            ("copper salt", "copper salts and what holds them"),
                            ("bleach", "hypochlorite bleach and cleaners"),
                            ("salt cleaner", "vinegar-and-salt cleaner"),
                            ("reactive metal", "bare aluminium, zinc and magnesium"),
                            ("steel", "bare steel and iron"),
                            ("pigment", "lead and cadmium pigments"),
                            ("self heating", "what heats up by itself"),
                            ("general", "general stores"),
                        ],
                        max_length=40,
                        verbose_name="storage group",
                    ),
                ),
                (
                    "flash_point_c",
                    models.FloatField(
                        blank=True, help_text="As the supplier's sheet gives it.", null=True, verbose_name="flash point"
                    ),
                ),
                (
                    "composition",
                    models.JSONField(
                        blank=True, default=list, help_text="Constituents, as dictionaries.", verbose_name="made of"
                    ),
                ),
                (
                    "thickness_um",
                    models.PositiveIntegerField(
                        blank=True, help_text="Of sheet copper.", null=True, verbose_name="thickness"
                    ),
                ),
                (
                    "reorder_level",
                    models.BigIntegerField(
                        default=0, help_text="In the base unit of its dimension.", verbose_name="reorder level"
                    ),
                ),
                (
                    "order_up_to",
                    models.BigIntegerField(
                        blank=True,
                        help_text="In the base unit of its dimension.",
                        null=True,
                        verbose_name="order up to",
                    ),
                ),
                (
                    "lead_time_days",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        help_text="From order to delivery.",
                        null=True,
                        verbose_name="days from order to delivery",
                    ),
                ),
                ("note", models.TextField(blank=True, verbose_name="note")),
            ],
            options={
                "ordering": ["category", "name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("purity__gt", 0), ("purity__lte", 1)), name="purity_is_a_share"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("bulk_density_g_per_ml", None), ("bulk_density_g_per_ml__gt", 0), _connector="OR"
                        ),
                        name="bulk_density_is_positive",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("density_g_per_ml", None), ("density_g_per_ml__gt", 0), _connector="OR"),
                        name="density_is_positive",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Container",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("mark", models.UUIDField(default=uuid.uuid4, editable=False)),
                ("code", models.CharField(help_text="Printed on its label.", max_length=12, verbose_name="code")),
                ("batch", models.CharField(blank=True, max_length=60, verbose_name="batch")),
                ("received_on", models.DateField(verbose_name="received on")),
                ("opened_on", models.DateField(blank=True, null=True, verbose_name="opened on")),
                ("use_by_on", models.DateField(blank=True, null=True, verbose_name="use by on")),
                (
                    "sealed_use_by_on",
                    models.DateField(
                        blank=True, help_text="As long as nobody opens it.", null=True, verbose_name="sealed use by on"
                    ),
                ),
                (
                    "bulk_density_g_per_ml",
                    models.FloatField(
                        blank=True,
                        help_text="Of its own, from one weighed cup.",
                        null=True,
                        verbose_name="bulk density",
                    ),
                ),
                (
                    "purity",
                    models.FloatField(
                        blank=True,
                        help_text="Share of the named substance, where this lot's is another.",
                        null=True,
                        verbose_name="assay",
                    ),
                ),
                (
                    "on_hand",
                    models.BigIntegerField(default=0, editable=False, help_text="In the base unit of its dimension."),
                ),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="containers",
                        to="inventory.material",
                        verbose_name="material",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="containers",
                        to="inventory.place",
                        verbose_name="place",
                    ),
                ),
            ],
            options={
                "ordering": ["code"],
                "indexes": [
                    models.Index(fields=["material", "on_hand"], name="container_standing"),
                    models.Index(fields=["place", "on_hand"], name="container_standing_in_place"),
                ],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("on_hand__gte", 0)), name="nothing_below_zero"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("purity", None), models.Q(("purity__gt", 0), ("purity__lte", 1)), _connector="OR"
                        ),
                        name="assay_is_a_share",
                    ),
                    models.UniqueConstraint(
                        django.db.models.functions.text.Lower("code"), name="a_code_is_on_one_container"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Opening",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("opened_on", models.DateField()),
                (
                    "container",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="%(class)ss", to="inventory.container"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Move",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "container",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="%(class)ss", to="inventory.container"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "from_place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.place"
                    ),
                ),
                (
                    "to_place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.place"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="SafetySheet",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("file", models.FileField(upload_to=inventory.models._own_name)),
                ("sha256", models.CharField(max_length=64)),
                ("dated_on", models.DateField(help_text="The date on the sheet.")),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="safety_sheets",
                        to="inventory.material",
                    ),
                ),
            ],
            options={
                "ordering": ["-dated_on", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="Count",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("amount", models.BigIntegerField()),
                (
                    "container",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="%(class)ss", to="inventory.container"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("amount__gte", 0)), name="a_count_is_not_negative")
                ],
            },
        ),
        migrations.CreateModel(
            name="FactChange",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("thing_kind", models.CharField(help_text="Its model, as Django labels it.", max_length=40)),
                ("thing_id", models.BigIntegerField()),
                ("field", models.CharField(max_length=40)),
                ("old", models.JSONField(null=True)),
                ("new", models.JSONField(null=True)),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "indexes": [models.Index(fields=["thing_kind", "thing_id"], name="change_of_thing")],
            },
        ),
        migrations.CreateModel(
            name="Movement",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "happened_at",
                    models.DateTimeField(editable=False, help_text="The entry's own, kept here for its index."),
                ),
                ("amount", models.BigIntegerField(help_text="In the base unit, negative when something leaves.")),
                (
                    "kind",
                    models.CharField(
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
                (
                    "container",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="%(class)ss", to="inventory.container"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "ordering": ["happened_at", "pk"],
                "indexes": [models.Index(fields=["container", "happened_at", "id"], name="movement_of_container")],
            },
        ),
        migrations.CreateModel(
            name="MonthSum",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("month", models.DateField(help_text="Its first day, by universal time.")),
                (
                    "kind",
                    models.CharField(
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
                (
                    "amount",
                    models.BigIntegerField(default=0, help_text="In the base unit, negative when something left."),
                ),
                ("lines", models.PositiveIntegerField(default=0, help_text="How many movements these are.")),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="month_sums", to="inventory.material"
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.person"
                    ),
                ),
            ],
            options={
                "ordering": ["month", "pk"],
                "indexes": [models.Index(fields=["month"], name="sums_of_a_month")],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("material", "month", "person", "kind"), name="one_sum_of_a_month_by_person_and_kind"
                    )
                ],
            },
        ),
    ]
