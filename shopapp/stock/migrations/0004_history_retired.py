from django.db import migrations


class Migration(migrations.Migration):

    dependencies = [("stock", "0003_history_into_movements")]

    operations = [migrations.DeleteModel(name="HistoricalStockItem")]
