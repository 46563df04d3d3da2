"""The model is loaded with a wider search, and its own folder is left as it was."""

from __future__ import annotations

import pytest

from dictate.errors import ModelError
from dictate.recognise import search_width
from dictate.recognise.search_width import WIDTHS, widened


@pytest.fixture
def folder(tmp_path):
    model = tmp_path / "model"
    (model / "conf").mkdir(parents=True)
    (model / "am").mkdir()
    (model / "am" / "final.mdl").write_text("acoustics")
    (model / "conf" / "mfcc.conf").write_text("--num-ceps=40\n")
    (model / "conf" / "model.conf").write_text(
        "--beam=10.0\n--min-active=200\n--lattice-beam=2.0\n"
    )
    return model


def test_the_widths_are_ours_and_all_else_the_models(folder):
    with widened(folder) as wide:
        lines = (wide / "conf" / "model.conf").read_text().splitlines()
        assert (wide / "am" / "final.mdl").read_text() == "acoustics"
        features = (wide / "conf" / "mfcc.conf").read_text().splitlines()
    assert features == ["--num-ceps=40", "--dither=0.0"]
    assert lines == ["--min-active=200", *(f"--{name}={value}" for name, value in WIDTHS.items())]
    assert not wide.exists()
    assert "--beam=10.0" in (folder / "conf" / "model.conf").read_text()
    assert (folder / "am" / "final.mdl").exists()


def test_no_room_for_it_is_said(folder, monkeypatch):
    def full(*_args, **_options):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(search_width.tempfile, "TemporaryDirectory", full)
    with pytest.raises(ModelError, match=r"No space left on device.*TMPDIR"), widened(folder):
        pass


def test_a_damaged_setting_goes_through_as_it_is_for_the_engine_to_refuse(folder):
    with (folder / "conf" / "model.conf").open("ab") as file:
        file.write(b"--frames=\xff\xfe\n")
    with widened(folder) as wide:
        assert b"--frames=\xff\xfe\n" in (wide / "conf" / "model.conf").read_bytes()
