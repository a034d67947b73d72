"""Requests nobody thought of, made from the app's own description: never a fault of ours, never a trace on the page."""

import re

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings

from underdial.bench.demo import open_demo
from underdial.web.app import create_app

FIRST_OF_OURS = 500
# What works the sums out or sets a paper is tried elsewhere; here it would only take time.
SLOW = re.compile(r"wrong/answer|papers/|/choices$|/train\.svg$")


@pytest.fixture(scope="module")
def operations(tmp_path_factory):
    schema = schemathesis.openapi.from_asgi("/openapi.json", create_app(open_demo(tmp_path_factory.mktemp("demo"))))
    return [found.ok() for found in schema.get_all_operations() if not SLOW.search(found.ok().path)]


def test_no_request_brings_out_a_fault_of_ours(operations):
    assert len(operations) > 15  # Derived: fewer would mean that the description is not read

    for operation in operations:

        @given(case=operation.as_strategy())
        @settings(
            max_examples=6, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True, database=None
        )
        def ask(case):
            if case.path_parameters and "tag" in case.path_parameters:
                case.path_parameters["tag"] = "31"
            answer = case.call()

            assert answer.status_code < FIRST_OF_OURS, f"{case.method} {case.path}: {answer.text[:300]}"
            assert "Traceback" not in answer.text

        ask()
