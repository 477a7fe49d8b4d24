import django.db.models.deletion
import studio.pages.documents
import studio.waste.models.calendar
import uuid
from django.db import migrations, models
from inventory.tables import FirstTables


class Migration(FirstTables):
    initial = True

    dependencies = [
        ("baths", "0001_initial"),
        ("cathodes", "0001_initial"),
        ("inventory", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="CalendarAddress",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "token",
                    models.CharField(
                        default=studio.waste.models.calendar.unguessable, editable=False, max_length=64, unique=True
                    ),
                ),
                ("entry", models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="LocalAdvice",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("answer", "an answer to a question"),
                            ("sewer-limit", "how much copper the sewer takes"),
                            ("sewer", "permission for the sewer"),
                            ("treatment", "permission to treat it here"),
                            ("collection", "when and where waste is taken in"),
                            ("hazardous", "it counts as hazardous waste"),
                            ("not-hazardous", "it does not count as hazardous waste"),
                        ],
                        default="answer",
                        max_length=20,
                    ),
                ),
                (
                    "asked",
                    models.CharField(
                        help_text="Who said so: the office, not a private person's number.", max_length=100
                    ),
                ),
                ("question", models.CharField(blank=True, max_length=300)),
                ("answer", models.TextField(max_length=1000)),
                ("stream", models.CharField(blank=True, max_length=30)),
                ("said_on", models.DateField()),
                ("until_on", models.DateField(help_text="The last day on which it holds.", null=True)),
                ("is_written", models.BooleanField(default=False)),
                ("cu_mg_per_l", models.FloatField(help_text="Of a sewer limit.", null=True)),
                (
                    "method",
                    models.CharField(
                        blank=True, help_text="Of a treatment; a key of chemistry.treatment.", max_length=20
                    ),
                ),
                ("next_on", models.DateField(help_text="Of a collection.", null=True)),
                (
                    "repeats",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("weekly", "every week"),
                            ("fortnightly", "every two weeks"),
                            ("monthly", "every month, on that weekday of it"),
                            ("yearly", "every year"),
                        ],
                        max_length=12,
                    ),
                ),
                ("file", models.FileField(blank=True, upload_to=studio.pages.documents.document_name)),
                ("sha256", models.CharField(blank=True, max_length=64)),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "verbose_name_plural": "advice",
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("until_on", None), ("until_on__gte", models.F("said_on")), _connector="OR"),
                        name="advice_ends_after_it_was_given",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind__in", ("sewer", "treatment")), _negated=True),
                            ("is_written", True),
                            _connector="OR",
                        ),
                        name="a_permission_is_written",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "sewer-limit"), _negated=True), ("cu_mg_per_l__gt", 0), _connector="OR"
                        ),
                        name="a_sewer_limit_has_a_figure",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("file", ""), ("sha256", "")),
                            models.Q(models.Q(("file", ""), _negated=True), models.Q(("sha256", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="what_was_said_comes_with_its_digest",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Disposal",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("handed_over_at", models.DateTimeField()),
                ("why", models.CharField(blank=True, help_text="Of a correction.", max_length=200)),
                (
                    "route",
                    models.CharField(
                        choices=[
                            ("collection", "a collection for small amounts of hazardous waste"),
                            ("collector", "a licensed collector or carrier"),
                            ("recycler", "a recycler who takes it in writing"),
                            ("scrap", "a scrap metal dealer: solid, dry copper only"),
                            ("reuse", "into use again, here or elsewhere"),
                            ("sewer", "the sewer, with its operator’s permission in writing"),
                        ],
                        max_length=12,
                    ),
                ),
                ("receiver", models.CharField(blank=True, max_length=100)),
                ("address", models.CharField(blank=True, max_length=200)),
                (
                    "licence",
                    models.CharField(blank=True, help_text="Licence, permit or site number, as text.", max_length=100),
                ),
                ("document_kind", models.CharField(blank=True, max_length=40)),
                ("document_number", models.CharField(blank=True, max_length=60)),
                ("codes", models.CharField(blank=True, help_text="As the receiver wrote them.", max_length=200)),
                ("jurisdiction", models.CharField(blank=True, help_text="Whose codes they are.", max_length=60)),
                ("cost_cents", models.IntegerField(help_text="Below nought when they paid.", null=True)),
                ("currency", models.CharField(blank=True, max_length=3)),
                ("counted_to", models.DateField(help_text="The first day of the month it counts to.")),
                ("keep_until", models.DateField()),
                ("awaits_copy", models.BooleanField(default=True)),
                (
                    "checked_by",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.person"
                    ),
                ),
                (
                    "corrects",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="corrected_by",
                        to="waste.disposal",
                    ),
                ),
                ("entry", models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "first",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="corrections",
                        to="waste.disposal",
                    ),
                ),
                (
                    "permission",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="disposals",
                        to="waste.localadvice",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("corrects", None), ("first", None), ("why", "")),
                            models.Q(
                                ("corrects__isnull", False),
                                ("first__isnull", False),
                                models.Q(("why", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="a_correction_says_why",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("route", "sewer"), _negated=True), ("permission__isnull", False), _connector="OR"
                        ),
                        name="the_sewer_needs_a_permission",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Drum",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("mark", models.UUIDField(default=uuid.uuid4, editable=False)),
                ("name", models.CharField(help_text="As it is written on it.", max_length=30)),
                ("kind", models.CharField(max_length=30)),
                ("vessel", models.CharField(max_length=30)),
                ("is_vented", models.BooleanField(default=False)),
                ("capacity_l", models.FloatField(help_text="To the brim.")),
                (
                    "tare_g",
                    models.FloatField(help_text="Empty, with its lid.", null=True, verbose_name="empty weight, g"),
                ),
                (
                    "reason",
                    models.CharField(
                        blank=True, help_text="Why this kind in this vessel all the same.", max_length=200
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="drums", to="inventory.place"
                    ),
                ),
            ],
            options={
                "ordering": ["name", "pk"],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("capacity_l__gt", 0)), name="a_drum_holds_something"),
                    models.CheckConstraint(
                        condition=models.Q(("tare_g", None), ("tare_g__gt", 0), _connector="OR"),
                        name="a_tare_weighs_something",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="DisposalItem",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("kinds", models.JSONField(help_text="Keys of chemistry.streams, its own first.")),
                (
                    "how",
                    models.CharField(
                        choices=[
                            ("scale", "on our scale, before and after"),
                            ("tare", "on our scale, less the empty vessel"),
                            ("book", "as the book adds it up"),
                            ("unknown", "not weighed"),
                        ],
                        max_length=10,
                    ),
                ),
                ("before_g", models.FloatField(null=True)),
                ("after_g", models.FloatField(null=True)),
                ("half_width_g", models.FloatField(help_text="What the scale is good to.", null=True)),
                ("net_g", models.FloatField(null=True)),
                ("net_sd_g", models.FloatField(null=True)),
                ("litres", models.FloatField(null=True)),
                ("litres_sd", models.FloatField(null=True)),
                ("mass_g", models.FloatField(null=True)),
                ("mass_sd_g", models.FloatField(null=True)),
                ("copper_g", models.FloatField(null=True)),
                ("copper_sd_g", models.FloatField(null=True)),
                (
                    "copper_at_least_g",
                    models.FloatField(help_text="What was known of it, where not all was.", null=True),
                ),
                ("model_version", models.PositiveIntegerField()),
                ("book_revisions", models.JSONField()),
                (
                    "disposal",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="handed", to="waste.disposal"
                    ),
                ),
                (
                    "drum",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="handed", to="waste.drum"
                    ),
                ),
            ],
            options={
                "ordering": ["drum__name", "pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("disposal", "drum"), name="a_drum_is_handed_over_once"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("after_g", None), ("before_g", None)),
                            models.Q(
                                ("before_g__gt", 0),
                                models.Q(("after_g", None), ("after_g__lte", models.F("before_g")), _connector="OR"),
                            ),
                            _connector="OR",
                        ),
                        name="what_was_weighed_was_weighed_before",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Deposit",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("kind", models.CharField(help_text="A key of chemistry.streams.", max_length=30)),
                (
                    "source",
                    models.CharField(
                        choices=[
                            ("bath", "taken out of a bath"),
                            ("strained", "strained out of a bath"),
                            ("rinse", "rinse water"),
                            ("cleaner", "used cleaner"),
                            ("towels", "towels and gloves"),
                            ("rags", "rags"),
                            ("mud", "mud and filters"),
                            ("strip", "stripped off a cathode"),
                            ("shelf", "off the shelf"),
                            ("spill", "a spill taken up"),
                            ("drum", "poured over"),
                            ("other", "something else"),
                        ],
                        max_length=10,
                    ),
                ),
                ("litres", models.FloatField(null=True)),
                ("litres_sd", models.FloatField(null=True)),
                ("mass_g", models.FloatField(null=True)),
                ("mass_sd_g", models.FloatField(null=True)),
                ("copper_g", models.FloatField(null=True)),
                ("copper_sd_g", models.FloatField(null=True)),
                (
                    "pieces",
                    models.PositiveIntegerField(help_text="Plates that a cleaner brightened; towels, rags.", null=True),
                ),
                ("words", models.CharField(max_length=160)),
                (
                    "reason",
                    models.CharField(blank=True, help_text="Why another kind went in all the same.", max_length=200),
                ),
                (
                    "bath",
                    models.ForeignKey(
                        help_text="That its liquid came from.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deposits",
                        to="baths.bath",
                    ),
                ),
                (
                    "container",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deposits",
                        to="inventory.container",
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "event",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deposits",
                        to="baths.bathevent",
                    ),
                ),
                (
                    "strip",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deposits",
                        to="cathodes.strip",
                    ),
                ),
                (
                    "drum",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="deposits", to="waste.drum"
                    ),
                ),
                (
                    "from_drum",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="poured_over",
                        to="waste.drum",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("litres__gt", 0), ("mass_g__gt", 0), ("pieces__gt", 0), _connector="OR"),
                        name="something_went_in",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("drum", models.F("from_drum")), _negated=True),
                        name="a_drum_is_not_poured_into_itself",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="DrumWeighing",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("gross_g", models.FloatField()),
                ("half_width_g", models.FloatField(help_text="What the scale is good to.")),
                (
                    "drum",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="weighings", to="waste.drum"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("gross_g__gt", 0), ("half_width_g__gt", 0)), name="a_drum_weighs_something"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Finding",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("key", models.CharField(max_length=40)),
                ("answer", models.JSONField()),
                (
                    "drum",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="findings", to="waste.drum"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "abstract": False,
            },
        ),
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
                (
                    "gathered",
                    models.CharField(
                        blank=True, help_text="What was taken up and went into no drum then.", max_length=300
                    ),
                ),
                ("gathered_l", models.FloatField(help_text="A guess.", null=True)),
                (
                    "gathered_kind",
                    models.CharField(blank=True, help_text="Of chemistry.streams, where that is plain.", max_length=40),
                ),
                ("waits_for_drum", models.BooleanField(default=False)),
                ("injury", models.CharField(blank=True, max_length=300)),
                ("entry", models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
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
                ("entry", models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
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
        migrations.CreateModel(
            name="Inspection",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "found",
                    models.CharField(
                        choices=[
                            ("fine", "Closed, dry outside, its label can be read"),
                            ("seen to", "Something was wrong and has been put right"),
                            ("wrong", "Something is wrong: leaking, bulging, open or unlabelled"),
                        ],
                        max_length=10,
                    ),
                ),
                ("full_percent", models.FloatField(help_text="Of the vessel, to the brim.", null=True)),
                (
                    "is_put_out",
                    models.BooleanField(default=False, help_text="Self-heating rags were taken out of the building."),
                ),
                (
                    "drum",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="inspections", to="waste.drum"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("full_percent", None),
                            models.Q(("full_percent__gte", 0), ("full_percent__lte", 100)),
                            _connector="OR",
                        ),
                        name="a_drum_is_full_at_the_brim",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="ReceiverPaper",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("is_signed_copy", models.BooleanField()),
                ("number", models.CharField(blank=True, max_length=60)),
                ("weight_g", models.FloatField(null=True)),
                ("half_width_g", models.FloatField(help_text="What their scale is good to.", null=True)),
                ("with_vessels", models.BooleanField(default=False)),
                ("file", models.FileField(blank=True, upload_to=studio.pages.documents.document_name)),
                ("sha256", models.CharField(blank=True, max_length=64)),
                (
                    "disposal",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="papers", to="waste.disposal"
                    ),
                ),
                ("entry", models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("is_signed_copy", True),
                            ("weight_g__gt", 0),
                            models.Q(("file", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="a_paper_says_something",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("file", ""), ("sha256", "")),
                            models.Q(models.Q(("file", ""), _negated=True), models.Q(("sha256", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="a_scan_comes_with_its_digest",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Refusal",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("by_whom", models.CharField(max_length=100)),
                ("why", models.CharField(max_length=200)),
                (
                    "drum",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="refusals", to="waste.drum"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "handed",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="refusals",
                        to="waste.disposalitem",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="TestResult",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "quantity",
                    models.CharField(
                        choices=[
                            ("cu_mg_per_l", "copper, mg/L"),
                            ("cu_mg_per_kg", "copper, mg in a kilogram"),
                            ("ph", "pH"),
                            ("flash_point_c", "flash point"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "low",
                    models.FloatField(
                        help_text="The lower end of what it gave; both ends alike when it gave one figure."
                    ),
                ),
                ("high", models.FloatField()),
                (
                    "how",
                    models.CharField(
                        choices=[("strip", "a test strip"), ("meter", "a meter"), ("lab", "a laboratory")],
                        max_length=10,
                    ),
                ),
                (
                    "file",
                    models.FileField(
                        blank=True, help_text="The report.", upload_to=studio.pages.documents.document_name
                    ),
                ),
                ("sha256", models.CharField(blank=True, max_length=64)),
                (
                    "drum",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="test_results", to="waste.drum"
                    ),
                ),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("low__lte", models.F("high"))), name="ends_of_a_test_in_order"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("file", ""), ("sha256", "")),
                            models.Q(models.Q(("file", ""), _negated=True), models.Q(("sha256", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="a_report_comes_with_its_digest",
                    ),
                ],
            },
        ),
    ]
