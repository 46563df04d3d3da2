"""The command that teaches the network that weighs pairs, for maintainers."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("teach-entailment")
@click.argument("judged", type=click.Path(path_type=Path, dir_okay=False, exists=True))
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.option(
    "--base",
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    required=True,
    help="The folder of the open network.",
)
@click.option(
    "--layers", default=6, show_default=True, help="Of the open network's, from the first."
)
@click.option("--turns", default=14.0, show_default=True, help="How often every pair is shown.")
@click.option("--seed", default=0, show_default=True)
@click.option(
    "--grammar", "grammar_folder", type=click.Path(path_type=Path), help="Another grammar's folder."
)
def teach_entailment(
    judged: Path, folder: Path, base: Path, layers: int, turns: float, seed: int,
    grammar_folder: Path | None,
) -> None:  # fmt: skip
    """Teach the network that weighs whether a line means a finding (needs the extra 'teach').

    JUDGED holds pairs, a line of JSON each (tests/entail/samples.py makes them). FOLDER gets the
    weights, for dictate/entail/weights. Minutes on a graphics processor, days without one.
    """
    from dictate.errors import UsageError
    from dictate.grammar.folder import grammar_files
    from dictate.grammar.folder import grammar_folder as folder_of

    try:
        from dictate.teach.entail_files import teach_into
        from dictate.teach.entail_train import Settings
    except ImportError as error:
        raise UsageError(
            f"Teaching needs more packages ({error}). Run: pip install 'dictate[teach]'"
        ) from None
    settings = Settings(layers=layers, turns=turns, seed=seed)
    texts = [
        line for _, text in grammar_files(folder_of(grammar_folder)) for line in text.split("\n")
    ]
    teach_into(folder, judged, base, texts, settings, lambda told: click.echo(told, err=True))
    click.echo(folder)
