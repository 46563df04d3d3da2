"""The page's interface as an OpenAPI document (3.1), from the shapes that the server itself uses.

For schemathesis: ``python tests/web/interface.py [SECONDS]`` serves an examination, hunts for that
long, and ends with an error where the server had one.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import urllib.request
from pathlib import Path
from urllib.parse import urlsplit

from dictate.render import RENDERERS
from dictate.web.requests import ACTIONS

ROOT = Path(__file__).resolve().parents[2]
_SAID = """Right biceps four out of five.
Knee jerk two plus.
Close your eyes.
Vibration is, um.
Left ankle jerk absent.
"""


def document(address):
    """The interface of a served page; ids are those of the examination that it shows."""
    with urllib.request.urlopen(f"{address}state", timeout=60) as answer:
        state = json.load(answer)
    known = {
        "utterance": [one["id"] for one in state["utterances"]],
        "question": [one["id"] for one in state["questions"]],
        "finding": [one["key"] for one in state["findings"]],
    }
    ids = {name: {"enum": [*values, "none"]} for name, values in known.items()}
    sentence = {"type": "object", "required": ["sentence"]}
    said = {"content": {"application/json": {"schema": sentence}}, "description": "a sentence"}
    refused = {str(code): said for code in (400, 403, 404, 405, 409, 413, 415, 421, 422, 431, 507)}
    fine = {"200": {"description": "fine"}, "206": {"description": "a part"}, **refused}
    paths = {f"/{name}": {"get": {"responses": fine}} for name in ("", "show", "state", "sound")}
    whole, text = {"type": "integer"}, {"type": "string"}
    for path, names in {
        "/choices/{key}": {"key": ids["finding"]},
        "/peaks/{level}/{number}": {"level": whole, "number": whole},
        "/static/{name}": {"name": text},
        "/output/{name}": {"name": {"enum": [*RENDERERS, "none"]}},
    }.items():
        parameters = [
            {"in": "path", "name": name, "required": True, "schema": shape}
            for name, shape in names.items()
        ]
        paths[path] = {"get": {"parameters": parameters, "responses": fine}}
    for name, action in ACTIONS.items():
        schema = action.shape.model_json_schema()
        for key in ids.keys() & schema.get("properties", {}).keys():
            schema["properties"][key] |= ids[key]
        body = {"required": True, "content": {"application/json": {"schema": schema}}}
        paths[f"/do/{name}"] = {"post": {"requestBody": body, "responses": fine}}
    return {
        "openapi": "3.1.0",
        "info": {"title": "dictate review", "version": "1"},
        "servers": [{"url": address.rstrip("/")}],
        "paths": paths,
    }


def hunt(seconds):
    """Serve an examination and let schemathesis look for errors of the server.

    Returns:
        The exit code of schemathesis.
    """
    with tempfile.TemporaryDirectory() as folder:
        text = Path(folder) / "said.txt"
        text.write_text(_SAID)
        served = subprocess.Popen(
            [sys.executable, "-m", "dictate", "review", text, "--out", f"{folder}/kept",
             "--no-browser"],
            stdout=subprocess.PIPE, text=True, cwd=ROOT,
        )  # fmt: skip
        try:
            address = served.stdout.readline().strip()
            file = Path(folder) / "interface.json"
            file.write_text(json.dumps(document(address)))
            origin = "http://" + urlsplit(address).netloc
            command = [
                Path(sys.executable).with_name("schemathesis"), "run", file,
                "--url", address.rstrip("/"), "--header", f"Origin: {origin}",
                "--checks", "not_a_server_error", "--max-time", str(seconds), "--no-color",
                "--request-timeout", "60",
                "--generation-deterministic", "--suppress-health-check", "all",
            ]  # fmt: skip
            return subprocess.run(command, check=False, cwd=folder).returncode
        finally:
            served.terminate()
            served.wait(30)


if __name__ == "__main__":
    sys.exit(hunt(int(sys.argv[1]) if len(sys.argv) > 1 else 60))
