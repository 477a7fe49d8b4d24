from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("baths", "0001_initial"),
    ]

    operations = [
        migrations.AddField(
            model_name="bath",
            name="fill_is_given",
            field=models.BooleanField(
                default=True,
                editable=False,
                help_text="Else the bath that was begun in it last tells how full it stands.",
            ),
        ),
    ]
