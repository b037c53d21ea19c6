"""A programme's rule file as JSON Schema, for people who write one."""

from __future__ import annotations

import json

from retrofit_desk.rules.programme_file import Programme


def programme_schema() -> str:
    """As published in `shared/programme.schema.json`; TOML holds the same keys."""
    schema = Programme.model_json_schema()
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    return json.dumps(schema, indent=1, sort_keys=True) + "\n"
