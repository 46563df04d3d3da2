"""A program that does things by hand to an examination, and says what was acknowledged.

    python tests/examination/busy.py FOLDER SEED

Each line on standard output is one deed that returned: its number in the journal and its event.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

from dictate.errors import UsageError
from dictate.examination import Examination
from dictate.model import Utterance

SITES = ["deltoid", "biceps", "triceps", "grip"]
VALUES = ["3", "4", "4+", "5"]
KINDS = ["finding", "remark", "to_patient"]


def _once(x: Examination, draw: random.Random) -> None:
    record = x.live()
    heard = [u.id for u in record.utterances if u.hand != "added"]
    deed = draw.randrange(9)
    site, side = draw.choice(SITES), draw.choice(["right", "left"])
    if deed == 0 or not record.findings:
        x.hear(Utterance(f"u{len(heard) + 1}", f"{side} {site} strength {draw.choice('345')}"))
    elif deed == 1 and heard:
        x.correct(draw.choice(heard), f"{side} {site} strength {draw.choice('345')}")
    elif deed == 2 and heard:
        x.sort(draw.choice(heard), draw.choice(KINDS))  # type: ignore[arg-type]
    elif deed == 3:
        x.change(draw.choice(record.findings), value=draw.choice(VALUES))
    elif deed == 4:
        x.take_out(draw.choice(record.findings))
    elif deed == 5 and record.questions:
        question = draw.choice(record.questions)
        x.answer(question.id, draw.choice([c.label for c in question.choices] or ["not sure"]))
    elif deed == 6:
        x.type(f"{site} strength {draw.choice('345')}")
    elif deed == 7:
        draw.choice([x.undo, x.redo])()
    else:
        x.put("strength", site, side, draw.choice(VALUES))


def main() -> None:
    """Go on until killed."""
    folder, draw = Path(sys.argv[1]), random.Random(int(sys.argv[2]))
    x = Examination.open(folder)
    if not x.writes:
        sys.exit("somebody else writes")
    while True:
        try:
            _once(x, draw)
        except UsageError:
            continue
        last = x.events(x.version - 1)[-1]
        print(last["n"], last["event"], flush=True)


if __name__ == "__main__":
    main()
