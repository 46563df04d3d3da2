"""How widely the engine searches: the model's own files with other widths of the search.

A model is made for a telephone and gives up unlikely readings early. Two cores have time to follow
more of them: fewer words are misheard, and a word's confidence tells more, since there are others
to compare it with.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from dictate.errors import ModelError

_CONF = "conf"
#: Names of Kaldi's decoders. Measured on 60 narrations of the voice that is heard worst: with the
#: model's own (10 and 2) 25% of the words were wrong, with these 22%; time over duration 0.17 and
#: 0.23; a beam of 13 took 0.34 and heard no better. Of the words that the taught listener heard
#: of another voice, 90% had full confidence, and 68% have it now. The model's own limit
#: (max-active 3,000) stays: 5,000 took a fifth longer in babble and heard no better.
WIDTHS = {"beam": "11.5", "lattice-beam": "6.0"}

#: Files of the model's settings, and what of them is ours. The engine's dither comes by chance;
#: ``dither.py`` puts the same noise under the same sound.
SETTINGS = {"model.conf": WIDTHS, "mfcc.conf": {"dither": "0.0"}}


@contextmanager
def widened(folder: Path) -> Iterator[Path]:
    """A folder that is the model with a wider search, while it is loaded.

    Args:
        folder: The model's own; it is not changed.

    Raises:
        ModelError: The temporary folder cannot be written.
    """
    try:
        with tempfile.TemporaryDirectory(prefix="dictate-") as name:
            yield _copy(folder.resolve(), Path(name) / folder.name)
    except OSError as error:
        raise ModelError(
            f"The speech model cannot be prepared: {error.strerror or error}. "
            "Make room in the temporary folder, or name another with TMPDIR."
        ) from None


def _copy(folder: Path, copy: Path) -> Path:
    """Links to what is in the folder, and settings of its own."""
    (copy / _CONF).mkdir(parents=True)
    for path in folder.iterdir():
        if path.name != _CONF:
            (copy / path.name).symlink_to(path)
    for path in (folder / _CONF).iterdir():
        if path.name not in SETTINGS:
            (copy / _CONF / path.name).symlink_to(path)
    for name, ours in SETTINGS.items():
        # a damaged file is the engine's to refuse, so any bytes go through as they are
        text = (folder / _CONF / name).read_text(encoding="utf-8", errors="surrogateescape")
        lines = text.splitlines()
        kept = [line for line in lines if line.partition("=")[0].lstrip("-") not in ours]
        put = [f"--{option}={value}" for option, value in ours.items()]
        (copy / _CONF / name).write_text(
            "\n".join([*kept, *put]) + "\n", encoding="utf-8", errors="surrogateescape"
        )
    return copy
