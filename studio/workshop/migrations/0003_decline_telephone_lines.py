from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("workshop", "0002_choose_currency"),
    ]

    operations = [
        migrations.AddField(
            model_name="workshop",
            name="is_without_lines",
            field=models.BooleanField(default=False, verbose_name="whether it has lines to call"),
        ),
    ]
