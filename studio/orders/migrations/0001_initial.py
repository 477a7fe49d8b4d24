import django.db.models.deletion
import studio.pages.documents
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
            name="Supplier",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("mark", models.UUIDField(default=uuid.uuid4, editable=False)),
                ("is_listed", models.BooleanField(default=True, verbose_name="on the lists")),
                ("name", models.CharField(max_length=80, unique=True, verbose_name="name")),
                ("contact", models.CharField(blank=True, max_length=120, verbose_name="contact")),
                ("phone", models.CharField(blank=True, max_length=60, verbose_name="phone")),
                ("address", models.CharField(blank=True, max_length=160, verbose_name="address")),
                ("email", models.EmailField(blank=True, max_length=254, verbose_name="mail")),
                (
                    "link",
                    models.CharField(
                        blank=True,
                        help_text="Shown as text: nobody is led away by a tap.",
                        max_length=200,
                        verbose_name="link",
                    ),
                ),
                ("usual_days", models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="days as a rule")),
                (
                    "worst_days",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        help_text="95 in 100 deliveries keep to it.",
                        null=True,
                        verbose_name="days at the worst",
                    ),
                ),
                ("note", models.TextField(blank=True, verbose_name="note")),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("usual_days", None), ("worst_days", None)),
                            models.Q(("usual_days__gte", 1), ("worst_days__gte", models.F("usual_days"))),
                            _connector="OR",
                        ),
                        name="both_days_or_none",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Order",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("entry", models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "supplier",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="orders", to="orders.supplier"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Pack",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("mark", models.UUIDField(default=uuid.uuid4, editable=False)),
                (
                    "amount",
                    models.BigIntegerField(
                        help_text="In the base unit of the material's dimension.", verbose_name="amount"
                    ),
                ),
                (
                    "price_cents",
                    models.PositiveIntegerField(
                        blank=True,
                        help_text="In hundredths of the studio's currency; empty where nobody knows it.",
                        null=True,
                        verbose_name="price",
                    ),
                ),
                (
                    "code",
                    models.CharField(blank=True, help_text="The supplier's own.", max_length=40, verbose_name="code"),
                ),
                ("link", models.CharField(blank=True, max_length=200, verbose_name="link")),
                ("is_sold", models.BooleanField(default=True, verbose_name="is sold")),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="packs",
                        to="inventory.material",
                        verbose_name="material",
                    ),
                ),
                (
                    "supplier",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="packs",
                        to="orders.supplier",
                        verbose_name="supplier",
                    ),
                ),
            ],
            options={
                "ordering": ["material__category", "material__name", "amount", "pk"],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("amount__gt", 0)), name="a_pack_holds_something"),
                    models.UniqueConstraint(fields=("supplier", "material", "amount", "code"), name="a_pack_once"),
                ],
            },
        ),
        migrations.CreateModel(
            name="OrderLine",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("packs", models.PositiveSmallIntegerField()),
                ("amount", models.BigIntegerField(help_text="Of one pack.")),
                ("price_cents", models.PositiveIntegerField(blank=True, help_text="Of one pack.", null=True)),
                (
                    "order",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="lines", to="orders.order"
                    ),
                ),
                (
                    "pack",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="lines", to="orders.pack"
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [models.CheckConstraint(condition=models.Q(("packs__gt", 0)), name="one_pack_or_more")],
            },
        ),
        migrations.CreateModel(
            name="Receipt",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("packs", models.PositiveSmallIntegerField()),
                (
                    "pack_amount",
                    models.BigIntegerField(blank=True, help_text="Of one, where it is no pack as ordered.", null=True),
                ),
                (
                    "damaged",
                    models.PositiveSmallIntegerField(
                        default=0, help_text="Packs that came and were not put on the shelf."
                    ),
                ),
                ("is_last", models.BooleanField(default=False)),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="receipts", to="orders.orderline"
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("packs__gt", 0), ("damaged__gt", 0), ("is_last", True), _connector="OR"),
                        name="a_receipt_says_something",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("pack_amount", None), ("pack_amount__gt", 0), _connector="OR"),
                        name="what_came_holds_something",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Shortage",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("entry", models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="shortages", to="inventory.material"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Invoice",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.CharField(blank=True, max_length=60)),
                ("dated_on", models.DateField()),
                ("file", models.FileField(upload_to=studio.pages.documents.document_name)),
                ("sha256", models.CharField(max_length=64)),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "supplier",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="invoices", to="orders.supplier"
                    ),
                ),
            ],
            options={
                "ordering": ["-dated_on", "-pk"],
            },
        ),
    ]
