import django.db.models.expressions
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [("jobs", "0009_pick_lines_told")]

    operations = [
        migrations.AddConstraint(
            model_name='pickline',
            constraint=models.CheckConstraint(condition=models.Q(('issued__lte', models.F('picked'))), name='pick_issued_within_picked'),
        ),
        migrations.AddConstraint(
            model_name='pickline',
            constraint=models.CheckConstraint(condition=models.Q(('issued__gte', django.db.models.expressions.CombinedExpression(django.db.models.expressions.CombinedExpression(models.F('used'), '+', models.F('returned')), '+', models.F('scrapped')))), name='pick_ends_within_issued', violation_error_message='More is used, returned and scrapped than was issued.'),
        ),
        migrations.AddConstraint(
            model_name='pickline',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('reserved', 0), ('stock__isnull', False), _connector='OR'), models.Q(('ordered', 0), ('purchase_line__isnull', False), _connector='OR')), name='pick_reserved_has_place'),
        ),
        migrations.AddConstraint(
            model_name='pickline',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('issued', 0), ('ordered', 0), ('picked', 0), ('reserved', 0), ('state', 'wanted')), models.Q(('state', 'reserved'), ('wanted', django.db.models.expressions.CombinedExpression(models.F('reserved'), '+', models.F('ordered')))), models.Q(('state', 'short'), ('wanted__gt', django.db.models.expressions.CombinedExpression(models.F('reserved'), '+', models.F('ordered')))), models.Q(('issued', 0), ('picked', models.F('wanted')), ('state__in', ['picked', 'staged'])), models.Q(('issued__gt', django.db.models.expressions.CombinedExpression(django.db.models.expressions.CombinedExpression(models.F('used'), '+', models.F('returned')), '+', models.F('scrapped'))), ('state', 'issued')), models.Q(('issued', django.db.models.expressions.CombinedExpression(django.db.models.expressions.CombinedExpression(models.F('used'), '+', models.F('returned')), '+', models.F('scrapped'))), ('state', 'used'), ('used__gte', 1)), models.Q(('issued', django.db.models.expressions.CombinedExpression(models.F('returned'), '+', models.F('scrapped'))), ('returned__gte', 1), ('state', 'returned'), ('used', 0)), models.Q(('issued', models.F('scrapped')), ('returned', 0), ('scrapped__gte', 1), ('state', 'scrapped'), ('used', 0)), _connector='OR'), name='pick_state_fits_counts'),
        ),
    ]
