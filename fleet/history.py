"""What every row was before: the earlier rows of a model, kept by django-simple-history for the back office.

A model whose rows people edit says ``history = Kept()``. Rows the service writes itself (weather, nights,
events) keep none, nor do its own bulk writes: what those changed is noted when a person next saves the
row, as nobody's doing, so that it is never taken for theirs.
"""

from __future__ import annotations

from typing import Any

from django.apps import apps
from django.conf import settings
from django.db import models
from django.db.models.signals import pre_save
from simple_history.models import HistoricalRecords

from fleet.tenancy import TenantQuerySet

AS_FOUND = "as it was before"
BY_ITSELF = "changed by the service, or in bulk"


class Earlier(models.Model):
    """A row as it once was. It belongs to no company that could read it: only the back office does."""

    company_path = None  # parents may be gone or belong to others by now, so no chain of relations is safe

    objects: models.Manager[Any] = TenantQuerySet.as_manager()

    class Meta:
        abstract = True


class Kept(HistoricalRecords):
    """The earlier rows of one model: who saved or deleted it, when, and what it was."""

    def __init__(self, *, leave_out: tuple[str, ...] = ()) -> None:
        super().__init__(
            bases=(Earlier,),
            excluded_fields=list(leave_out),
            history_id_field=models.BigAutoField(),
        )

    def finalize(self, sender: type[models.Model], **kwargs: Any) -> None:
        super().finalize(sender, **kwargs)
        if sender is self.cls:
            pre_save.connect(self.note_what_was, sender=sender, weak=False)

    def get_meta_options(self, model: type[models.Model]) -> dict[str, Any]:
        named = model._meta
        return super().get_meta_options(model) | {
            "verbose_name": f"earlier {named.verbose_name}",
            "verbose_name_plural": f"earlier {named.verbose_name_plural}",
            "default_permissions": (),  # who may see the row may see what it was
        }

    def _get_history_user_fields(self) -> dict[str, Any]:
        # Who did it stays written down when that person's row goes.
        user = models.ForeignKey(
            settings.AUTH_USER_MODEL, models.DO_NOTHING, null=True, related_name="+", db_constraint=False
        )
        return {"history_user": user}

    def post_save(self, instance: models.Model, created: bool, using: Any = None, **kwargs: Any) -> None:
        if created or self.is_told(instance, kwargs.get("update_fields")):
            super().post_save(instance, created, using=using, **kwargs)

    def is_told(self, instance: models.Model, fields: Any) -> bool:
        """Tell whether a save of these fields is worth a row: signing in, say, is not."""
        return fields is None or bool({f.name for f in self.fields_included(instance)} & set(fields))

    def note_what_was(self, instance: Any, raw: bool = False, **kwargs: Any) -> None:
        """Before a row is saved, keep what it was if nothing has yet, or not all of it."""
        skipped = raw or instance._state.adding or hasattr(instance, "skip_history_when_saving")
        if skipped or not self.is_told(instance, kwargs.get("update_fields")):
            return
        before = type(instance)._base_manager.filter(pk=instance.pk).first()
        if before is None:
            return
        last = getattr(before, self.manager_name).first()
        if last is None or self._differs(last, before):
            before._history_user = None
            before._change_reason = AS_FOUND if last is None else BY_ITSELF
            self.create_historical_record(before, "+" if last is None else "~")

    def _differs(self, last: Any, before: Any) -> bool:
        names = [field.attname for field in self.fields_included(before)]
        return any(getattr(last, name) != getattr(before, name) for name in names)


def forget_what_is_gone() -> None:
    """Drop the history of rows that are no longer there: for a database that is emptied on purpose."""
    every: list[Any] = apps.get_models()
    for earlier in every:
        if issubclass(earlier, Earlier):
            model = earlier.instance_type
            earlier._base_manager.exclude(id__in=model._base_manager.values("pk")).delete()
