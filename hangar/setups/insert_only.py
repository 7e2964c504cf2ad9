"""Rows which are written once: the model refuses to change or delete them, and so do triggers in the database."""

from collections.abc import Iterable
from typing import Any, NoReturn, TypeVar

from django.db import models

from .errors import Immutable

M = TypeVar("M", bound=models.Model)


class InsertOnlyQuerySet(models.QuerySet[M]):
    def _refuse(self, what: str) -> NoReturn:
        raise Immutable(f"A {self.model._meta.verbose_name} is never {what}: record a new one instead.")

    def update(self, **kwargs: Any) -> NoReturn:
        self._refuse("changed")

    async def aupdate(self, **kwargs: Any) -> NoReturn:
        self._refuse("changed")

    def bulk_update(self, objs: Iterable[M], fields: Iterable[str], batch_size: int | None = None) -> NoReturn:
        self._refuse("changed")

    def bulk_create(self, objs: Iterable[M], *args: Any, **kwargs: Any) -> NoReturn:
        self._refuse("written past its checks")

    def delete(self) -> NoReturn:
        self._refuse("deleted")

    async def adelete(self) -> NoReturn:
        self._refuse("deleted")


class InsertOnly(models.Model):
    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise Immutable(f"A {self._meta.verbose_name} is never changed: record a new one instead.")
        kwargs["force_insert"] = True
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise Immutable(f"A {self._meta.verbose_name} is never deleted: record a new one instead.")
