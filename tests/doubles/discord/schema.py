"""Validates request bodies against the service's own OpenAPI document, where it is present.

The document is looked for beside the repository, in `../shared/data/discord-openapi.json`; it is
no part of the repository. Where it is absent `is_present()` says so, and the hand-written limits
alone are checked.
"""

from __future__ import annotations

import json
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

DOCUMENT = Path(__file__).resolve().parents[4] / "shared" / "data" / "discord-openapi.json"
_ROOT = "urn:discord"


def is_present() -> bool:
    return DOCUMENT.is_file()


@cache
def _registry() -> Any:
    from referencing import Registry
    from referencing.jsonschema import DRAFT202012

    contents = json.loads(DOCUMENT.read_text(encoding="utf-8"))
    return Registry().with_resource(_ROOT, DRAFT202012.create_resource(contents))


@cache
def _paths() -> dict[str, Any]:
    paths: dict[str, Any] = _registry()[_ROOT].contents["paths"]
    return paths


@cache
def _validator(method: str, path: str) -> Any:
    """Return the validator of a route's body, None where it takes none."""
    from jsonschema import Draft202012Validator

    route = _paths()[path][method.lower()]
    if "application/json" not in route.get("requestBody", {}).get("content", {}):
        return None
    place = "/".join(part.replace("~", "~0").replace("/", "~1") for part in (
        "paths", path, method.lower(), "requestBody", "content", "application/json", "schema",
    ))  # fmt: skip
    reference = {"$ref": f"{_ROOT}#/{place}"}
    return Draft202012Validator(reference, registry=_registry())


def knows(method: str, path: str) -> bool:
    """Tell whether the document has this route; without the document every route is known."""
    return not is_present() or method.lower() in _paths().get(path, {})


def body_problems(method: str, path: str, body: Any) -> list[str]:
    """Return what the document says is wrong with a body."""
    if not is_present():
        return []
    # The same commands are sent at every start, and take a third of a second to validate.
    return list(_problems(method, path, json.dumps(_normalised(body))))


@lru_cache(maxsize=256)
def _problems(method: str, path: str, text: str) -> tuple[str, ...]:
    body = json.loads(text)
    validator = _validator(method, path)
    if validator is None:
        return () if body is None else (f"{method} {path} takes no body",)
    return tuple(
        f"{'/'.join(str(part) for part in error.absolute_path) or 'body'}: {error.message[:300]}"
        for error in validator.iter_errors(body)
    )


def _normalised(body: Any) -> Any:
    """Write ids of attachments, roles and what is picked as text: the service takes numbers, its
    document does not."""
    if isinstance(body, dict):
        inner = {key: _normalised(value) for key, value in body.items()}
        for name in {"attachments", "default_values"} & inner.keys():
            if isinstance(inner[name], list):
                inner[name] = [
                    {**each, "id": str(each["id"])}
                    if isinstance(each, dict) and "id" in each
                    else each
                    for each in inner[name]
                ]
        if isinstance(inner.get("roles"), list):
            inner["roles"] = [str(each) for each in inner["roles"]]
        return inner
    if isinstance(body, list):
        return [_normalised(each) for each in body]
    return body
