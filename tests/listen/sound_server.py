"""A private sound server with a virtual source: what is played into it is what PortAudio hears.

PulseAudio from Debian with a null sink whose monitor is the default source, and ALSA's default
device set to it (packages pulseaudio, pulseaudio-utils, libasound2-plugins, libportaudio2).
"""

from __future__ import annotations

import os
import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_ALSA = """
</usr/share/alsa/alsa.conf>
pcm.!default { type pulse }
ctl.!default { type pulse }
"""


class SoundServer:
    """A running server; programs that are given ``environment`` use it."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._process: subprocess.Popen[bytes] | None = None
        alsa = folder / "alsa.conf"
        alsa.write_text(_ALSA)
        self.environment = os.environ | {
            "PULSE_SERVER": f"unix:{folder / 'native'}",
            "PULSE_RUNTIME_PATH": str(folder),
            "PULSE_STATE_PATH": str(folder),
            "PULSE_COOKIE": str(folder / "cookie"),
            # else a null sink gives its silence in bursts of two seconds
            "PULSE_LATENCY_MSEC": "30",
            "ALSA_CONFIG_PATH": str(alsa),
        }

    def start(self) -> None:
        """Start it, and wait until it answers."""
        self._process = subprocess.Popen(
            [
                "pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1",
                "--use-pid-file=no", "--disable-shm=yes", "--log-target=stderr",
                "--resample-method=speex-float-10",
                f"--load=module-native-protocol-unix socket={self._folder / 'native'} "
                "auth-anonymous=1",
                "--load=module-null-sink sink_name=room rate=44100",
            ],
            env=self.environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        for _ in range(100):
            told = self.run("pactl", "info")
            if "room.monitor" in told:
                return
            time.sleep(0.1)
        raise OSError("the sound server does not answer")

    def stop(self) -> None:
        """Stop it, as a plug that is pulled."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
        (self._folder / "native").unlink(missing_ok=True)

    def run(self, *command: str) -> str:
        """Run a program against it; its output."""
        done = subprocess.run(
            command, env=self.environment, capture_output=True, text=True, timeout=300, check=False
        )
        return done.stdout


def why_not() -> str:
    """Why no server can run here; empty where one can."""
    for program in ("pulseaudio", "paplay", "pactl"):
        if shutil.which(program) is None:
            return f"there is no sound server here: {program} is missing (Debian: pulseaudio)"
    if not list(Path("/usr/lib").glob("*/alsa-lib/libasound_module_pcm_pulse.so")):
        return "ALSA cannot use the sound server (Debian: libasound2-plugins)"
    return ""


@contextmanager
def sound_server(folder: Path) -> Iterator[SoundServer]:
    """A server for as long as the context lasts."""
    server = SoundServer(folder)
    try:
        server.start()
        yield server
    finally:
        server.stop()
