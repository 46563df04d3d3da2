"""False findings in ordinary English: every finding in such a text is invented.

    python tests/real/plain_english.py FOLDER_OR_FILE ... [--words 1000000] [--list]

Brings no text by itself. Reads text and HTML files (packed with gzip or not), a paragraph a
session and a sentence an utterance, and prints words, findings and questions.
"""

from __future__ import annotations

import argparse
import gzip
import html
import re
from collections.abc import Iterator
from pathlib import Path

from dictate.model import Finding, Utterance
from dictate.session import Session

_MARKUP = re.compile(r"<(script|style|pre)\b.*?</\1>|<[^>]+>", re.DOTALL | re.IGNORECASE)
_SENTENCE = re.compile(r"(?<=[.!?])\s+")
#: A file with fewer letters than this among its characters is a table, code or a picture.
PROSE = 0.65


def files(paths: list[Path]) -> Iterator[Path]:
    """The files named, and those under the folders named, in order."""
    for path in paths:
        yield from sorted(p for p in path.rglob("*") if p.is_file()) if path.is_dir() else [path]


def prose(path: Path) -> str:
    """The text of a file without markup; empty where it is no prose."""
    raw = path.read_bytes()
    try:
        text = (gzip.decompress(raw) if raw[:2] == b"\x1f\x8b" else raw).decode("utf-8")
    except (UnicodeDecodeError, OSError):
        return ""
    if "\0" in text:
        return ""
    if ".htm" in path.name:
        text = html.unescape(_MARKUP.sub(" ", text))
    letters = sum(c.isalpha() or c == " " for c in text)
    return text if text and letters / len(text) >= PROSE else ""


def paragraphs(text: str) -> Iterator[list[str]]:
    """The sentences of each paragraph (an empty line or a line with a lone % ends one)."""
    for block in re.split(r"\n\s*\n|^%$", text, flags=re.MULTILINE):
        sentences = _SENTENCE.split(" ".join(block.split()))
        yield [sentence for sentence in sentences if sentence]


def hear(sentences: list[str]) -> tuple[list[Finding], int]:
    """What a paragraph gives: findings, and how many questions."""
    session = Session()
    for number, sentence in enumerate(sentences):
        session.take(Utterance(str(number), sentence))
    record = session.record()
    return list(record.findings), len(record.questions)


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("paths", nargs="+", type=Path, help="folders or files of English")
    parser.add_argument("--words", type=int, default=1_000_000, help="stop after so many words")
    parser.add_argument("--list", action="store_true", help="print each finding")
    args = parser.parse_args()
    words = findings = questions = read = 0
    for path in files(args.paths):
        text = prose(path)
        read += bool(text)
        for sentences in paragraphs(text):
            if words >= args.words:
                break
            words += sum(len(sentence.split()) for sentence in sentences)
            found, asked = hear(sentences)
            findings, questions = findings + len(found), questions + asked
            for finding in found if args.list else ():
                said = sentences[int(finding.said[-1].utterance)]
                print(finding.test, finding.site, finding.side, finding.value, "|", said[:200])
    print(f"{read} files, {words} words: findings {findings}, questions {questions}")


if __name__ == "__main__":
    main()
