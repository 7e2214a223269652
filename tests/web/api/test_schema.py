"""The whole API, sent whatever its description allows, and what it does not: never a 500."""

import os
from functools import cache

import pytest
import schemathesis
from django.core.wsgi import get_wsgi_application
from django.test.utils import override_settings
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis.errors import Unsatisfiable
from schemathesis import Case, GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.core.failures import FailureGroup
from schemathesis.schemas import APIOperation
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
)

from putback.web.store import setup
from putback.workshop.people.people import DeviceKind
from tests.web.conftest import FOR_TESTS
from tests.web.site import OWNER, Site

MANY = 300 if os.environ.get("HYPOTHESIS_PROFILE") == "soak" else 12
"""Requests to each operation; bounded, so that all of them take half a minute."""
CHECKS = [not_a_server_error, content_type_conformance, response_schema_conformance]


def _allowed_or_not(operation):
    """Requests as the description allows them, and such as it does not."""
    try:
        return operation.as_strategy(GenerationMode.POSITIVE) | operation.as_strategy(
            GenerationMode.NEGATIVE
        )
    except Unsatisfiable:
        return operation.as_strategy(GenerationMode.POSITIVE)


@pytest.mark.slow
def test_the_api_answers_whatever_it_is_sent(site):
    """As an owner's program: what it is sent is taken or refused as described, never a 500."""
    assert "\n".join(faults_of(site)) == ""


@pytest.mark.slow
@pytest.mark.postgres
def test_postgresql_is_shielded_from_whatever_the_api_is_sent(tmp_path, postgres_url):
    """It is pickier than SQLite: no NUL, no figure beyond its own."""
    opened = setup(tmp_path / "home", postgres_url)
    with override_settings(**FOR_TESTS):
        assert "\n".join(faults_of(Site(tmp_path / "home", opened))) == ""
    opened.close()


@cache
def drawn() -> list[tuple[str, list[Case]]]:
    """Each operation and the requests to it; to draw them takes longer than to answer them."""
    from putback.web.api import api

    schema = schemathesis.openapi.from_dict(api.get_openapi_schema())
    schema.app = get_wsgi_application()
    operations = [each.ok() for each in schema.get_all_operations()]
    assert len(operations) > 15
    return [(each.label, requests_to(each)) for each in operations]


def requests_to(operation: APIOperation) -> list[Case]:
    """Draw requests to one operation."""
    cases: list[Case] = []

    @seed(31)
    @settings(
        max_examples=MANY,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=_allowed_or_not(operation))
    def draw(case: Case) -> None:
        cases.append(case)

    draw()
    return cases


def faults_of(site: Site) -> list[str]:
    """Ask every operation, and tell what was wrong with the answers."""
    token = site.token(OWNER, DeviceKind.PROGRAM)
    headers = {"Authorization": f"Bearer {token}", "Accept-Encoding": "identity"}
    wrong: list[str] = []
    for label, cases in drawn():
        assert cases, label
        for case in cases:
            if case.path_parameters and "logbook" in case.path_parameters:
                case.path_parameters["logbook"] = str(site.vehicle)
            try:
                case.validate_response(case.call(headers=headers), checks=CHECKS)
            except FailureGroup as found:
                wrong += [f"{label}: {each}"[:600] for each in found.exceptions]
    return wrong
