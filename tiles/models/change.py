"""What was written about results, for processes that hold a copy of them in memory."""

from django.db import models


class ResultChange(models.Model):
    """One record that results depend on was written. Filled by the database's own triggers, in the writing transaction.

    `about` and `key` name the record: an outcome, or one that many outcomes share. `stamp` is a random number, so that
    a row of a database put back from a backup is not taken for another of the same id. `on_transaction` is the writing
    transaction's number on PostgreSQL, where ids need not become visible in their order; 0 on SQLite.
    """

    about = models.CharField(max_length=8)
    key = models.BigIntegerField()
    stamp = models.BigIntegerField()
    on_transaction = models.BigIntegerField(default=0)

    class Meta:
        default_permissions = ()
        indexes = [models.Index(fields=["on_transaction"], name="resultchange_transaction")]

    def __str__(self) -> str:
        return f"{self.about} {self.key}"
