"""The OpenAPI document: valid, complete, and for anybody."""

from typing import Any

from flask import Flask
from openapi_spec_validator import OpenAPIV31SpecValidator, validate

from app.web.api.document import document
from app.web.api.operation import OPERATIONS
from tests.page_checker import CheckedClient


def test_it_is_an_openapi_document() -> None:
    """By the schema of the OpenAPI Initiative, as the library carries it."""
    validate(document(), cls=OpenAPIV31SpecValidator)


def test_anybody_may_read_it(stranger: CheckedClient) -> None:
    answer = stranger.get("/api/v1/openapi.json")
    assert (answer.status_code, answer.mimetype) == (200, "application/json")
    assert answer.json == document()


def test_it_holds_every_address(app: Flask) -> None:
    described = {
        (f"/api/v1{path}", method.upper())
        for path, methods in document()["paths"].items()
        for method in methods
    }
    served = {
        (rule.rule.replace("<int:", "{").replace(">", "}"), method)
        for rule in app.url_map.iter_rules()
        if rule.endpoint.startswith("api.") and rule.endpoint != "api.openapi"
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    }
    assert described == served
    assert len(described) == len(OPERATIONS)


def test_every_schema_is_described() -> None:
    schemas: dict[str, Any] = document()["components"]["schemas"]
    assert [name for name, schema in schemas.items() if not schema["description"]] == []


def test_what_is_possible_is_told_without_a_token(stranger: CheckedClient) -> None:
    answer = stranger.options("/api/v1/tanks/1/readings")
    assert (answer.status_code, answer.data) == (204, b"")
    assert set(answer.headers["Allow"].split(", ")) == {"GET", "HEAD", "OPTIONS", "POST"}
    assert "Access-Control-Allow-Origin" not in answer.headers
