import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("inventory", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="SupplierClasses",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("sheet_on", models.DateField(help_text="The date on the sheet.")),
                (
                    "signal_word",
                    models.CharField(
                        blank=True, choices=[("Danger", "Danger"), ("Warning", "Warning"), ("", "none")], max_length=7
                    ),
                ),
                ("pictograms", models.JSONField(help_text="Codes GHS01 to GHS09.")),
                (
                    "hazards",
                    models.JSONField(help_text="Pairs of code and words; none says that the sheet gives no class."),
                ),
                ("precautions", models.JSONField(help_text="Pairs of code and words.")),
                ("entry", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="inventory.entry")),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="supplier_classes",
                        to="inventory.material",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "supplier classes",
            },
        ),
    ]
