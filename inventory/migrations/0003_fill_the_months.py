from collections import defaultdict
from datetime import UTC

from django.db import migrations


def add_up(apps, schema_editor):
    """What a book that was begun earlier holds already."""
    movements = apps.get_model("inventory", "Movement").objects.filter(entry__struck_at=None)
    facts = ("happened_at", "container__material_id", "entry__done_by_id", "kind", "amount")
    sums = defaultdict(lambda: [0, 0])
    for moment, material_id, person_id, kind, amount in movements.values_list(*facts).iterator():
        of_month = sums[moment.astimezone(UTC).date().replace(day=1), material_id, person_id, kind]
        of_month[0] += amount
        of_month[1] += 1
    MonthSum = apps.get_model("inventory", "MonthSum")
    MonthSum.objects.bulk_create(
        MonthSum(month=month, material_id=material_id, person_id=person_id, kind=kind, amount=amount, lines=lines)
        for (month, material_id, person_id, kind), (amount, lines) in sums.items()
    )


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0002_add_up_months"),
    ]

    operations = [migrations.RunPython(add_up, migrations.RunPython.noop, elidable=True)]
