"""How each operation may be refused, for the OpenAPI document: as RFC 9457 has it."""

from typing import Any

from ninja import Schema
from pydantic import ConfigDict

PROBLEM = "application/problem+json"
REFUSALS = {
    "400": "What was sent is no JSON.",
    "401": "No token that holds.",
    "403": "The token or the role does not allow it.",
    "404": "There is nothing here, or it may not be seen.",
    "422": "What was sent cannot be read, or nothing was changed; `errors` names the fields.",
    "429": "Too many requests; Retry-After says when to come again.",
    "503": "It is being computed, or the database is away; Retry-After says when to come again.",
}


class FieldRefused(Schema):
    """One field at fault."""

    field: str
    detail: str


class Refusal(Schema):
    """An error, as RFC 9457 has it."""

    model_config = ConfigDict(extra="allow")
    type: str
    title: str
    status: int
    detail: str | None = None
    errors: list[FieldRefused] | None = None


def with_refusals(document: dict[str, Any]) -> dict[str, Any]:
    """Add to each operation of an OpenAPI document how it may be refused."""
    shape = Refusal.model_json_schema(ref_template="#/components/schemas/{model}")
    shapes = document.setdefault("components", {}).setdefault("schemas", {})
    shapes |= {**shape.pop("$defs", {}), "Refusal": shape}
    content = {PROBLEM: {"schema": {"$ref": "#/components/schemas/Refusal"}}}
    for methods in document["paths"].values():
        for method, operation in methods.items():
            answers = operation["responses"]
            for status, words in REFUSALS.items():
                answers[status] = {"description": words, "content": content}
            if method == "get":
                answers["304"] = {"description": "It is still what If-None-Match names."}
    return document
