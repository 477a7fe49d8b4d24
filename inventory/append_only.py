"""What is never changed in place: lines of the book, and facts, which change through it alone."""

import json
import uuid
from collections.abc import Collection, Mapping
from functools import cache
from typing import Any, ClassVar, Self, TypeVar

from django.core.exceptions import ValidationError
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.measured import digits
from chemistry.quantity import quantity
from inventory.dates import long_day
from inventory.refusals import Refused


class AppendOnly(Exception):
    """The book is written once: a mistake is struck, never edited or deleted."""


Row = TypeVar("Row", bound=models.Model)
Thing = TypeVar("Thing", bound="AuditedModel")


class AppendOnlyQuerySet(models.QuerySet[Row]):
    def update(self, **kwargs: Any) -> int:
        raise AppendOnly("Lines of the book are never changed in place.")

    def delete(self) -> tuple[int, dict[str, int]]:
        raise AppendOnly("Lines of the book are never deleted.")


class AppendOnlyModel(models.Model):
    """NOT_SEALED: fields that may be made anew, such as an address that is secret."""

    NOT_SEALED: ClassVar[Collection[str]] = ()

    class Meta:
        abstract = True

    def save(self, **kwargs: Any) -> None:
        # a second save would change what others have already read and acted on
        if not self._state.adding:
            raise AppendOnly(f"{self} is already written; strike its entry instead.")
        super().save(**kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise AppendOnly(f"{self} stays in the book; strike its entry instead.")


@cache
def as_one_check(model: type[models.Model]) -> list[models.BaseConstraint]:
    """The constraints of a model, all checks of a row as one: each would take a question to the database of its own."""
    checks = [each for each in model._meta.constraints if isinstance(each, models.CheckConstraint)]
    others = [each for each in model._meta.constraints if each not in checks]
    if not checks:
        return others
    together = models.Q(*(each.condition for each in checks))
    return [*others, models.CheckConstraint(name=f"checks_of_{model._meta.model_name}", condition=together)]


def as_json(value: Any) -> Any:
    """A fact as `FactChange` keeps it: a row by its key, a day by its ISO form."""
    return json.loads(json.dumps(value.pk if isinstance(value, models.Model) else value, cls=DjangoJSONEncoder))


class AuditedQuerySet(models.QuerySet[Thing]):
    def update(self, **values: Any) -> int:
        facts = {name for field in self.model.fact_fields().values() for name in (field.name, field.attname)}
        if touched := sorted(facts & values.keys()):
            raise AppendOnly(f"{', '.join(touched)}: facts are changed by `facts.change` alone.")
        return super().update(**values)

    def delete(self) -> tuple[int, dict[str, int]]:
        raise AppendOnly("What the book speaks of is never deleted.")


class AuditedModel(models.Model):
    """
    Something whose facts are changed through `facts.change` alone, which keeps what they were.

    KEPT_BY_CODE: fields that are no facts, such as a running sum, a revision, a key. GO_WITH_ALL: facts that no check
    asks about, whatever else is known.
    """

    KEPT_BY_CODE: ClassVar[Collection[str]] = ()
    GO_WITH_ALL: ClassVar[Collection[str]] = ()
    UNITS: ClassVar[Mapping[str, str]] = {}  # of the figures among its facts, by the sums
    NOT_WRITTEN: str | Promise = gettext_lazy("not written down")
    # where another one is written down, in words and as the name of a page, and whether keyholders alone do so
    MADE_AT: ClassVar[tuple[str | Promise, str, bool] | None] = None

    # sealed with its words, which could otherwise be guessed from their digest
    mark = models.UUIDField(default=uuid.uuid4, editable=False)

    objects = AuditedQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, **kwargs: Any) -> None:
        facts = self.fact_fields().keys()
        if not self._state.adding and facts & set(kwargs.get("update_fields") or facts):
            raise AppendOnly(f"What is known of {self} is changed by `facts.change` alone.")
        super().save(**kwargs)

    def get_absolute_url(self) -> str:
        raise NotImplementedError

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise AppendOnly(f"The book speaks of {self}; it is never deleted.")

    @classmethod
    def fact_fields(cls) -> dict[str, "models.Field[Any, Any]"]:
        known = (field for field in cls._meta.concrete_fields if not field.primary_key)
        return {field.name: field for field in known if field.name not in cls.no_facts()}

    @classmethod
    def no_facts(cls) -> set[str]:
        return {"mark", *cls.KEPT_BY_CODE}

    @classmethod
    def rows_to_lock(cls, keys: Collection[int]) -> "models.QuerySet[Self]":
        """Those that are locked before a fact of some of them changes, in one order for everybody."""
        return cls._base_manager.select_for_update(of=("self",)).filter(pk__in=keys).order_by("pk")

    def get_constraints(self) -> list[Any]:
        return [(type(self), as_one_check(type(self)))]

    def told_on_its_page(self) -> list["AuditedModel"]:
        """Things whose changes are told on the page of this one."""
        return [self]

    def facts(self) -> dict[str, Any]:
        return {name: self.fact(name) for name in self.fact_fields()}

    def fact(self, name: str) -> Any:
        return as_json(getattr(self, self.fact_fields()[name].attname))

    def set_fact(self, name: str, value: Any) -> None:
        field = self.fact_fields()[name]
        setattr(self, field.attname, field.to_python(value))

    def check_facts(self) -> None:
        """Refuse what does not go together, before it is written or comes back by a strike."""
        try:
            self.validate_constraints()
        except ValidationError as error:
            raise Refused(
                None, _("What would be known of %(thing)s does not go together.") % {"thing": self}
            ) from error

    def shown_fact(self, name: str, value: Any) -> str:
        field = self.fact_fields()[name]
        if isinstance(field, models.BooleanField):
            return _("yes") if value else _("no")
        if value in (None, "", []):
            labels: dict[Any, object] = dict(field.flatchoices)
            return str(labels.get(value or "", self.NOT_WRITTEN))
        if isinstance(field, models.ForeignKey):
            return str(field.related_model._base_manager.get(pk=value))
        if isinstance(field, models.DateField):
            return long_day(field.to_python(value))
        if name in self.UNITS:
            return quantity(value, self.UNITS[name])
        return digits(value) if isinstance(value, float) else str(dict(field.flatchoices).get(value, value))


class ListedQuerySet(AuditedQuerySet[Thing]):
    def listed(self) -> Self:
        """Those that are on the studio's lists: what a struck list brought is on none any more."""
        return self.filter(is_listed=True)


class Listed(AuditedModel):
    """Something that is chosen from lists; an entry that brought it takes it off them again when it is struck."""

    GO_WITH_ALL = ("is_listed",)

    is_listed = models.BooleanField(gettext_lazy("on the lists"), default=True)

    objects: ClassVar[Any] = ListedQuerySet.as_manager()

    class Meta:
        abstract = True
