from django.db import migrations, models


class Migration(migrations.Migration):
    """A book in use goes on as it was until its keyholder asks for inductions; a new one asks from the start."""

    dependencies = [
        ("workshop", "0003_decline_telephone_lines"),
    ]

    operations = [
        migrations.AddField(
            model_name="workshop",
            name="asks_for_induction",
            field=models.BooleanField(default=False, verbose_name="whether induction is asked for"),
        ),
        migrations.AlterField(
            model_name="workshop",
            name="asks_for_induction",
            field=models.BooleanField(default=True, verbose_name="whether induction is asked for"),
        ),
    ]
