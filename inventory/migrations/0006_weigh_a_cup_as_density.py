from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0005_keep_the_sealed_use_by")]

    operations = [
        migrations.RenameField("container", "cup_g", "bulk_density_g_per_ml"),
        migrations.AlterField(
            "container",
            "bulk_density_g_per_ml",
            models.FloatField(blank=True, help_text="Of its own, from one weighed cup.", null=True),
        ),
    ]
