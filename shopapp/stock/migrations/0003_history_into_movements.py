"""What the history of each count said becomes movements; one more brings the sums to the counts."""

from django.db import migrations


def tell_as_movements(apps, schema_editor):
    item_model = apps.get_model("stock", "StockItem")
    past = apps.get_model("stock", "HistoricalStockItem")
    movement = apps.get_model("stock", "Movement")
    for item in item_model.objects.order_by("pk").iterator(chunk_size=500):
        rows, on_hand, reserved = [], 0, 0
        for row in past.objects.filter(id=item.pk).order_by("history_date", "history_id"):
            if row.on_hand != on_hand:
                rows.append(
                    movement(
                        shop_id=item.shop_id,
                        stock=item,
                        kind="adjust",
                        on_hand=row.on_hand - on_hand,
                        reason=row.history_change_reason or "no reason noted",
                        by_id=row.history_user_id,
                        at=row.history_date,
                    )
                )
                on_hand = row.on_hand
        if (item.on_hand, item.reserved) != (on_hand, reserved):
            rows.append(
                movement(
                    shop_id=item.shop_id,
                    stock=item,
                    kind="adjust",
                    on_hand=item.on_hand - on_hand,
                    reserved=item.reserved,
                    reason="as it stood when movements began",
                )
            )
        movement.objects.bulk_create(rows)


class Migration(migrations.Migration):

    dependencies = [("stock", "0002_movements_orders_counts")]

    operations = [migrations.RunPython(tell_as_movements, migrations.RunPython.noop)]
