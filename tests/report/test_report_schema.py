"""The published description of the JSON form, against everything that is written in it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from coilwright import compile_file
from coilwright.report import document, explanations
from coilwright.report.document import Look
from coilwright.report.explanations import Explained
from coilwright.report.result import Result
from coilwright.report.units import METRIC
from example_lists import EXAMPLES, result

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "output.schema.json").read_text(encoding="utf-8"))


def closed(schema: Any) -> Any:
    """The description with no room for keys that it does not name: it must name all that we write."""
    if isinstance(schema, list):
        return [closed(one) for one in schema]
    if not isinstance(schema, dict):
        return schema
    made = {key: closed(value) for key, value in schema.items()}
    if schema.get("type") == "object" and "additionalProperties" not in schema:
        made["unevaluatedProperties"] = False
    return made


STRICT = jsonschema.Draft202012Validator(closed(SCHEMA))
OPEN = jsonschema.Draft202012Validator(SCHEMA)


def test_the_description_is_one_and_of_this_form() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["properties"]["form"] == {"const": document.JSON_FORM}
    assert SCHEMA["$id"].endswith(f":{document.JSON_FORM}")


@pytest.mark.parametrize("units", ["inch-pound", "metric"])
@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_every_list_of_every_example_fits(example: Path, units: Any) -> None:
    written = document.render([result(example)], "json", Look(units=units))
    data = json.loads(written)
    STRICT.validate(data)
    assert data["units"] == units
    (file,) = data["files"]
    assert len(file["tables"]) > 20
    if units == "metric":
        assert not {column["unit"] for table in file["tables"] for column in table["columns"]} & METRIC.keys()


def test_a_job_of_two_files_fits() -> None:
    files = [result(example) for example in EXAMPLES[:2]]
    job = Result("all 2 files", (), {}, files[0].tables, of_job=True)
    data = json.loads(document.render([job, *files], "json"))
    STRICT.validate(data)
    assert data["job"]["name"] == "all 2 files"
    assert data["job"]["tables"] == data["files"][0]["tables"]
    assert len(data["files"]) == 2


def test_findings_are_among_what_was_held_against_it() -> None:
    assert sum(len(result(example).findings) for example in EXAMPLES) > 10


def test_explanations_fit() -> None:
    made = compile_file(str(EXAMPLES[0]))
    explanation = made.why("bill:1")
    assert explanation is not None
    written = explanations.render([Explained("a.hookup", explanation, made.sources)], "json")
    data = json.loads(written)
    STRICT.validate(data)
    assert data["explanations"][0]["places"]


@pytest.mark.parametrize(
    "broken",
    [
        {"form": 2},
        {"units": "furlongs"},
        {"count": {"error": -1, "must": 0, "should": 0, "note": 0}},
        {"files": [{"file": "a"}]},
        {"files": [{"file": "a", "findings": [], "tables": [{"name": "bill"}]}]},
        {"explanations": []},
    ],
)
def test_what_does_not_fit_is_refused(broken: dict[str, Any]) -> None:
    good = json.loads(document.render([], "json"))
    STRICT.validate(good)
    with pytest.raises(jsonschema.ValidationError):
        OPEN.validate({**good, **broken})


def test_new_keys_are_allowed_for_within_a_form() -> None:
    good = json.loads(document.render([], "json"))
    OPEN.validate({**good, "new": 1})
    with pytest.raises(jsonschema.ValidationError):
        STRICT.validate({**good, "new": 1})
