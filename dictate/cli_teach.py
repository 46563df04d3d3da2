"""The command that teaches the adapted listener, for maintainers: reads arguments, prints."""

from __future__ import annotations

import os
from pathlib import Path

import click


@click.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.option(
    "--base",
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    required=True,
    help="The folder of the open weights, named as they are called.",
)
@click.option("--sentences", "count", default=9000, help="How many sentences are spoken.")
@click.option(
    "--talk",
    type=click.Path(path_type=Path, dir_okay=False, exists=True),
    multiple=True,
    help="A text file of ordinary talk, beside our own; may be given again.",
)
@click.option(
    "--voice", "voices", multiple=True, help="A voice that is here; all if none is named."
)
@click.option("--seed", "seeds", type=int, multiple=True, default=(1,), show_default=True)
@click.option(
    "--windows", default=20_000, show_default=True, help="Windows of sound to learn from."
)
@click.option("--steps", default=1000, show_default=True)
@click.option("--rank", default=32, show_default=True, help="Of the adapter.")
@click.option("--processes", default=os.cpu_count() or 1, show_default=True)
@click.option(
    "--begin",
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    help="The folder of an adapter that is taught on.",
)
@click.option(
    "--on-processor", is_flag=True, help="Short windows, cut to their speech: hours, not days."
)
@click.option(
    "--grammar", "grammar_folder", type=click.Path(path_type=Path), help="Another grammar's folder."
)
def teach(
    folder: Path, base: Path, count: int, talk: tuple[Path, ...], voices: tuple[str, ...],
    seeds: tuple[int, ...], windows: int, steps: int, rank: int, processes: int,
    begin: Path | None, on_processor: bool, grammar_folder: Path | None,
) -> None:  # fmt: skip
    """Teach the adapted listener what the grammar lets be said (needs the extra 'teach').

    FOLDER keeps sentences, speech and adapters; it belongs outside the project. What is in it is
    not done again, and a teaching that was ended goes on. Let the listener use an adapter with
    DICTATE_ADAPTER=FOLDER/adapter-1 dictate setup. Minutes on a graphics processor, days without
    one; --on-processor takes hours.
    """
    from dictate.errors import UsageError
    from dictate.grammar import load_grammar
    from dictate.teach import steps as work

    try:
        from dictate.teach.train import Settings
    except ImportError as error:
        raise UsageError(
            f"Teaching needs more packages ({error}). Run: pip install 'dictate[teach]'"
        ) from None

    def tell(sentence: str) -> None:
        click.echo(sentence, err=True)

    grammar = load_grammar(grammar_folder)
    texts = work.write_sentences(grammar, folder, count, talk, tell)
    clips = work.speak_sentences(texts, folder, voices, processes, tell)
    settings = Settings(rank=rank, steps=steps)
    for place in work.teach_adapter(
        grammar, base, clips, folder, seeds, windows, settings, processes, tell, begin, on_processor
    ):
        click.echo(place)
