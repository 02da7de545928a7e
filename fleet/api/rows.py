"""What the endpoints of rows have in common: one row with its version, and writing it through a service."""

from collections.abc import Callable
from typing import Any, NamedTuple

from django.db import transaction
from rest_framework.exceptions import MethodNotAllowed
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.viewsets import ReadOnlyModelViewSet

from common.errors import NotAllowed
from fleet.api.inputs import ModelInput
from fleet.api.once import once
from fleet.api.versions import etag_of, read, require_version
from fleet.selectors.people import require_set_up
from fleet.services.edits import one_at_a_time
from fleet.tenancy import company_id_of


def _never(**kwargs: Any) -> Any:
    raise MethodNotAllowed("PATCH or DELETE")


class Services(NamedTuple):
    """The services that write the rows of an endpoint; each takes ``by``, all but the first the row too."""

    set_up: Callable[..., Any]
    edit: Callable[..., Any] = _never
    remove: Callable[..., None] = _never


class Rows(ReadOnlyModelViewSet):
    """Rows that are listed, and read one by one with their version."""

    lookup_url_kwarg = "id"
    lookup_value_converter = "int"

    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return read(request, self.get_serializer(self.get_object()).data)


class Writing(Rows):
    """What writing needs: who may, and the row as it is now, held until the transaction ends."""

    input_class: type[ModelInput]
    edit_class: type[ModelInput] | None = None
    row_name: str  # what the services call the row
    services: Services
    one_by_one = False  # whether the services save one row of a company at a time
    require: Callable[..., None] = staticmethod(require_set_up)

    def require_some(self, request: Request) -> None:
        """Refuse people who may write nothing at all before anything else is looked at."""
        refused = NotAllowed("Only people of the company write here.")
        user: Any = request.user
        for company in user.company_ids():
            try:
                return self.require(user, company)
            except NotAllowed as error:
                refused = error
        raise refused

    def said(self, request: Request, *, partial: bool = False) -> dict[str, Any]:
        body = (self.edit_class or self.input_class) if partial else self.input_class
        said = body(data=request.data, partial=partial, context=self.get_serializer_context())
        said.is_valid(raise_exception=True)
        return dict(said.validated_data)

    def held(self, request: Request, id: int) -> Any:
        """Return the row asked for, held and in the version the request names.

        Where the services hold the company first, so does this: who holds two rows the other way round than
        somebody else may wait for them forever.
        """
        if self.one_by_one:
            one_at_a_time(company_id_of(get_object_or_404(self.get_queryset(), pk=id)))
        get_object_or_404(
            self.get_queryset().select_related(None).select_for_update(of=("self",)).only("pk"), pk=id
        )
        row = get_object_or_404(self.get_queryset(), pk=id)  # anew: what was waited for has happened by now
        self.require(request.user, company_id_of(row))
        require_version(request, self.get_serializer(row).data)
        return row

    def answer(self, row: Any, *, status: int = 200) -> Response:
        """Answer a row that was just written, as it is read."""
        body = self.get_serializer(self.get_queryset().get(pk=row.pk)).data
        address = self.reverse_action("detail", kwargs={"id": row.pk})
        place = "Location" if status == 201 else "Content-Location"
        return Response(body, status=status, headers={"ETag": etag_of(body), place: address})


class Created(Writing):
    """Rows that are set up by POST."""

    @once
    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        self.require_some(request)
        row = self.services.set_up(by=request.user, **self.said(request))
        return self.answer(row, status=201)


class Edited(Writing):
    """Rows that are edited by PATCH, in the version that was read."""

    def partial_update(self, request: Request, id: int, **kwargs: Any) -> Response:
        with transaction.atomic():
            row = self.held(request, id)
            edited = self.services.edit(
                **{self.row_name: row}, by=request.user, **self.said(request, partial=True)
            )
            return self.answer(edited)


class Removed(Writing):
    """Rows that are deleted while nothing hangs on them."""

    def destroy(self, request: Request, id: int, **kwargs: Any) -> Response:
        with transaction.atomic():
            row = self.held(request, id)
            self.services.remove(**{self.row_name: row}, by=request.user)
        return Response(status=204)
