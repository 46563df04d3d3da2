"""What crashes, hangs or fails in a process of its own ends in a clause that says so."""

from __future__ import annotations

import pytest

from dictate.errors import ModelError
from dictate.recognise.own_process import run_program, run_python


def test_output_and_arguments():
    assert run_python("import sys, dictate; print(sys.argv[1:])", ["é"], 30, "it") == "['é']\n"


@pytest.mark.parametrize(
    ("code", "says"),
    [
        ("import os; os.abort()", r"it failed \(it crashed with signal 6\)"),
        ("import time; time.sleep(60)", "it took longer than 1 seconds"),
        ("import sys; sys.exit('no such model')", r"it failed \(no such model\)"),
        ("import sys; print('[ERROR] first'); print('last'); sys.exit(1)", "ERROR. first"),
        ("import sys; sys.exit(3)", "no reason given"),
    ],
)
def test_what_goes_wrong(code, says):
    with pytest.raises(ModelError, match=says):
        run_python(code, [], 1 if "sleep" in code else 30, "it")


def test_no_such_program(tmp_path):
    with pytest.raises(ModelError, match="it cannot be run"):
        run_program([str(tmp_path / "none")], 30, "it")
