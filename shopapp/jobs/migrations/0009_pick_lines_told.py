"""Each pick line gets the state that its counts make; what lies in totes is told to the stock."""

from django.db import migrations
from django.db.models import Sum


def tell_states(apps, schema_editor):
    line_model = apps.get_model("jobs", "PickLine")
    for line in line_model.objects.select_related("pick_list").order_by("pk").iterator():
        {"cancelled": _cancelled, "issued": _issued}.get(line.pick_list.state, _open)(line)
        line.save()
    apps.get_model("jobs", "PickList").objects.filter(state="issued").update(settled_at=_now())
    _tell_stock(apps)


def _now():
    from django.utils import timezone

    return timezone.now()


def _cancelled(line):
    line.reserved = line.picked = 0
    line.state = "wanted"


def _issued(line):
    # Until now "picked" of an issued list was what had been used.
    line.reserved = 0
    line.issued = line.used = line.picked
    line.state = "used" if line.picked else "short"


def _open(line):
    if line.picked == line.wanted:
        line.state = "staged" if line.pick_list.state == "staged" else "picked"
    else:
        line.state = "reserved" if line.reserved == line.wanted else "short"


def _tell_stock(apps):
    rows = apps.get_model("jobs", "PickLine").objects.filter(
        pick_list__state__in=["open", "staged"], picked__gt=0, stock__isnull=False
    )
    item_model = apps.get_model("stock", "StockItem")
    movement = apps.get_model("stock", "Movement")
    for found in rows.values("stock").order_by("stock").annotate(total=Sum("picked")):
        item = item_model.objects.get(pk=found["stock"])
        item.picked = min(found["total"], item.reserved)
        item.save(update_fields=["picked"])
        movement.objects.create(
            shop_id=item.shop_id,
            stock=item,
            kind="pick",
            picked=item.picked,
            reason="as it stood when movements began",
        )


class Migration(migrations.Migration):

    dependencies = [("jobs", "0008_pick_line_states_and_papers_of_orders")]

    operations = [migrations.RunPython(tell_states, migrations.RunPython.noop)]
