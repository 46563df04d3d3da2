"""Speaks the scripts of this folder with a synthetic voice, as recordings to try dictate on.

Run it with the Python that dictate is installed in::

    python audio_demo/make_sound.py FOLDER [SCRIPT ...]

It needs one of three speech synthesisers, all free and in Debian: ``festival`` with
``festvox-us-slt-hts``, ``flite`` or ``espeak-ng``. Nothing is written outside FOLDER.
"""

from __future__ import annotations

import argparse
import io
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import av
import av.filter
import numpy as np
from numpy.typing import NDArray

from dictate.errors import DictateError, InputError, UsageError
from dictate.recognise.typed import read_typed, typed_utterances
from dictate.store import write_private

Samples = NDArray[np.int16]

HERE = Path(__file__).resolve().parent
RATE_HZ = 16_000
#: Silence between two utterances (seconds); the recogniser ends an utterance after 0.75.
PAUSE_S = (0.9, 1.1)
#: Speeds that the tempo filter takes in one step (times the voice's own speed).
SLOWEST, FASTEST = 0.5, 2.0
#: A synthesiser that needs longer for one utterance hangs (seconds).
PATIENCE_S = 60.0
#: In this order the first that is installed is used: engine, its program, its voice.
ENGINES = {
    "festival": ("text2wave", "cmu_us_slt_arctic_hts"),
    "flite": ("flite", "slt"),
    "espeak-ng": ("espeak-ng", "en-us"),
}
FORMATS = {"flac": ("flac", "flac"), "wav": ("wav", "pcm_s16le")}


def main() -> None:
    """Read the arguments and speak each script."""
    given = _arguments()
    try:
        engine, voice = choose_voice(given.voice)
        for script in given.scripts or sorted(HERE.glob("*.txt")):
            sound = speak(script, engine, voice, given, random.Random(given.seed))
            target = given.folder / f"{script.stem}.{given.format}"
            write_private(target, encode(sound, given.format))
            print(f"{target}: {len(sound) / RATE_HZ:.0f} s, {engine}:{voice}")
    except DictateError as fault:
        print(fault, file=sys.stderr)
        sys.exit(fault.exit_code)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Speak the scripts with a synthetic voice.")
    parser.add_argument("folder", type=Path, help="where the recordings go")
    parser.add_argument("scripts", type=Path, nargs="*", help="which scripts (default: all)")
    parser.add_argument("--voice", help="engine, or engine:voice, e.g. flite:slt")
    parser.add_argument("--speed", type=_speed, default=1.0, help="times the voice's own speed")
    parser.add_argument("--seed", type=int, default=1, help="fixes the length of the pauses")
    parser.add_argument("--format", choices=FORMATS, default="flac")
    return parser.parse_args()


def _speed(text: str) -> float:
    speed = float(text)
    if not SLOWEST <= speed <= FASTEST:
        raise argparse.ArgumentTypeError(f"give a speed from {SLOWEST} to {FASTEST}")
    return speed


def choose_voice(asked: str | None) -> tuple[str, str]:
    """Find a synthesiser that is installed.

    Args:
        asked: ``engine`` or ``engine:voice``; None for the first engine that is there.

    Returns:
        The engine and its voice.

    Raises:
        UsageError: There is none, or not the one asked for.
    """
    engine, _, voice = (asked or "").partition(":")
    if asked and engine not in ENGINES:
        raise UsageError(f"There is no engine {engine!r}. Give one of: {', '.join(ENGINES)}.")
    for name in [engine] if asked else ENGINES:
        program, usual = ENGINES[name]
        if shutil.which(program):
            _check_voice(name, voice)
            return name, voice or usual
    raise UsageError(
        f"{engine or 'No speech synthesiser'} is not installed. "
        "On Debian: apt install festival festvox-us-slt-hts"
    )


def _check_voice(engine: str, voice: str) -> None:
    """Refuse a voice that flite lacks: it would speak with another without a word."""
    if engine != "flite" or not voice:
        return
    listed = subprocess.run(["flite", "-lv"], capture_output=True, text=True, check=False).stdout
    voices = listed.partition(":")[2].split()
    if voice not in voices:
        raise UsageError(f"flite has no voice {voice!r}. Give one of: {', '.join(voices)}.")


def speak(
    script: Path, engine: str, voice: str, given: argparse.Namespace, chance: random.Random
) -> Samples:
    """Speak a script, one utterance a line, with a pause after each.

    Args:
        script: The text.
        engine: One of ENGINES.
        voice: A voice of it.
        given: The arguments: ``folder`` for scratch files, ``speed``.
        chance: Draws the pauses.

    Returns:
        16 kHz mono sound.

    Raises:
        InputError: The script cannot be read.
        UsageError: The synthesiser cannot speak it.
    """
    given.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    parts = [_silence(PAUSE_S[0])]
    with tempfile.TemporaryDirectory(dir=given.folder, prefix=".speaking-") as scratch:
        for utterance in typed_utterances(read_typed(script)):
            wave = Path(scratch) / "utterance.wav"
            _synthesise(utterance.text, engine, voice, wave)
            parts += [_decode(wave, given.speed), _silence(chance.uniform(*PAUSE_S))]
    if len(parts) == 1:
        raise InputError(f"{script.name} says nothing. Give one utterance a line.")
    return np.concatenate(parts)


def _silence(seconds: float) -> Samples:
    return np.zeros(round(seconds * RATE_HZ), np.int16)


def _synthesise(text: str, engine: str, voice: str, wave: Path) -> None:
    commands = {
        "festival": ["text2wave", "-eval", f"(voice_{voice})", "-o", str(wave)],
        "flite": ["flite", "-voice", voice, "-t", text, "-o", str(wave)],
        "espeak-ng": ["espeak-ng", "-v", voice, "-w", str(wave), "--stdin"],
    }
    try:
        done = subprocess.run(
            commands[engine],
            input=text.encode(),
            env={**os.environ, "TMPDIR": str(wave.parent)},
            capture_output=True,
            timeout=PATIENCE_S,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired):
        raise UsageError(f"{engine} cannot be run. Choose another with --voice.") from None
    if done.returncode or not wave.exists() or wave.stat().st_size == 0:
        raise UsageError(f"{engine} cannot speak with the voice {voice!r}. Choose another one.")


def _decode(wave: Path, speed: float) -> Samples:
    """Read a synthesiser's file at 16 kHz mono, with another tempo at the same pitch."""
    resampler = av.AudioResampler("s16", "mono", RATE_HZ)
    with av.open(str(wave)) as container:
        stream = container.streams.audio[0]
        graph = av.filter.Graph()
        graph.link_nodes(
            graph.add_abuffer(template=stream),
            graph.add("atempo", str(speed)),
            graph.add("abuffersink"),
        ).configure()
        frames = [
            again.to_ndarray()[0]
            for frame in _filtered(graph, container.decode(stream))
            for again in resampler.resample(frame)
        ]
    rest = [frame.to_ndarray()[0] for frame in resampler.resample(None)]
    return np.concatenate([*frames, *rest])


def _filtered(graph: av.filter.Graph, frames: Iterator[av.AudioFrame]) -> Iterator[av.AudioFrame]:
    for frame in (*frames, None):
        graph.push(frame)
        while True:
            try:
                yield graph.pull()  # type: ignore[misc]
            except (av.BlockingIOError, av.EOFError):
                break


def encode(sound: Samples, name: str) -> bytes:
    """Pack sound as a file.

    Args:
        sound: 16 kHz mono.
        name: One of FORMATS.
    """
    container_name, codec = FORMATS[name]
    packed = io.BytesIO()
    with av.open(packed, "w", format=container_name) as container:
        stream = container.add_stream(codec, rate=RATE_HZ, layout="mono")
        frame = av.AudioFrame.from_ndarray(sound[np.newaxis, :], "s16", "mono")
        frame.sample_rate = RATE_HZ
        for part in (frame, None):
            container.mux(stream.encode(part))
    return packed.getvalue()


if __name__ == "__main__":
    main()
