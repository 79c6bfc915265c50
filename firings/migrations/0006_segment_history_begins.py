"""Segments that were kept before they had a history begin theirs with their programme."""

from django.db import migrations


def begin(apps, schema_editor):
    alias = schema_editor.connection.alias
    Segment = apps.get_model("firings", "Segment")
    HistoricalSegment = apps.get_model("firings", "HistoricalSegment")
    rows = (
        HistoricalSegment(
            id=segment.pk,
            programme_id=segment.programme_id,
            position=segment.position,
            rate_c_per_h=segment.rate_c_per_h,
            target_c=segment.target_c,
            hold_min=segment.hold_min,
            history_date=segment.programme.created_at,
            history_type="+",
        )
        for segment in Segment.objects.using(alias).select_related("programme").iterator(500)
    )
    HistoricalSegment.objects.using(alias).bulk_create(rows, batch_size=500)


def forget(apps, schema_editor):
    alias = schema_editor.connection.alias
    apps.get_model("firings", "HistoricalSegment").objects.using(alias).delete()


class Migration(migrations.Migration):
    dependencies = [("firings", "0005_segment_history")]

    operations = [migrations.RunPython(begin, forget)]
