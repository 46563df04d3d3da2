"""Negation on real dictated passages: ours beside negspacy, on the same mentions, in one run.

    python tests/real/negation.py [--list]

Each mention of a sign in ../shared/data (by place, judged by hand in negation_gold.yaml) is absent
or present. negspacy is given the mentions as entities in a blank English pipeline; ours reads the
passage. A question is an answer held back, and is counted apart.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from pathlib import Path

import yaml

from dictate.model import Record, Utterance
from dictate.session import Session

PASSAGES = Path(__file__).resolve().parents[3] / "shared" / "data" / "real_passages_dev.jsonl"
GOLD = Path(__file__).with_name("negation_gold.yaml")


def passages() -> dict[str, str]:
    """The passages' text, by id."""
    lines = map(json.loads, PASSAGES.read_text("utf-8").splitlines())
    return {line["id"]: line["text"] for line in lines}


def read_gold() -> dict[str, list[tuple[int, int, str]]]:
    """The mentions judged by hand."""
    return yaml.safe_load(GOLD.read_text("utf-8"))


def _record(text: str) -> tuple[Record, dict[str, int]]:
    """The record of a passage, a line an utterance, and where each line begins."""
    session, starts, at = Session(), {}, 0
    for number, line in enumerate(text.split("\n")):
        starts[str(number)] = at
        session.take(Utterance(str(number), line))
        at += len(line) + 1
    return session.record(), starts


def ours(text: str, mentions: list[tuple[int, int, str]]) -> list[str]:
    """absent, present, asked or unread for each mention of a passage."""
    record, starts = _record(text)
    answers = []
    for start, end, _ in mentions:
        said = {
            finding.normal is not False
            for finding in record.findings
            for p in finding.said
            if starts[p.utterance] + p.start < end and start < starts[p.utterance] + p.end
        }
        asked = any(
            starts[p.utterance] + p.start < end and start < starts[p.utterance] + p.end
            for question in record.questions
            for p in question.about
        )
        if said:
            answers.append("present" if False in said else "absent")
        else:
            answers.append("asked" if asked else "unread")
    return answers


def negspacy(text: str, mentions: list[tuple[int, int, str]]) -> list[str]:
    """absent or present for each mention of a passage, by negspacy."""
    import spacy
    from negspacy.negation import Negex

    nlp = spacy.blank("en")
    sentences = nlp.create_pipe("sentencizer")
    negex = Negex(nlp, "negex", **_settings())
    doc = sentences(nlp.make_doc(text))
    spans = [doc.char_span(a, b, label="SIGN", alignment_mode="expand") for a, b, _ in mentions]
    doc.ents = [span for span in spans if span is not None]
    doc = negex(doc)
    negated = {(e.start_char, e.end_char) for e in doc.ents if e._.negex}
    return [
        "absent" if span is not None and (span.start_char, span.end_char) in negated else "present"
        for span in spans
    ]


def _settings() -> dict[str, object]:
    from negspacy.termsets import termset

    return {
        "neg_termset": termset("en_clinical").get_patterns(),
        "ent_types": [],
        "extension_name": "negex",
        "chunk_prefix": [],
    }


def figures(listed: bool = False) -> dict[str, Counter[str]]:
    """For each of the two: right, wrong, asked and unread mentions."""
    texts = passages()
    counts: dict[str, Counter[str]] = {"ours": Counter(), "negspacy": Counter()}
    for name, mentions in read_gold().items():
        for who, judge in (("ours", ours), ("negspacy", negspacy)):
            for (start, end, truth), answer in zip(
                mentions, judge(texts[name], mentions), strict=True
            ):
                held = answer in {"asked", "unread"}
                counts[who][answer if held else "right" if answer == truth else "wrong"] += 1
                if listed and answer != truth:
                    print(f"{who}: {name} {start}-{end} {truth}: {answer}")
    return counts


def main() -> None:
    """Print both figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--list", action="store_true", help="print each mention that is not right")
    for who, count in figures(parser.parse_args().list).items():
        answered = count["right"] + count["wrong"]
        print(
            f"{who}: {sum(count.values())} mentions, right {count['right']},"
            f" wrong {count['wrong']}, asked {count['asked']}, unread {count['unread']};"
            f" of those answered {100 * count['right'] / max(1, answered):.1f}% right"
        )


if __name__ == "__main__":
    main()
