"""``ringcut guide``: short pages on a topic, as Markdown files beside this package."""

from __future__ import annotations

from importlib.resources import files

import click

from ringcut_cli.exits import Exit


@click.command()
@click.argument("topic", required=False)
def command(topic: str | None) -> Exit:
    """Explain a topic; without one, list the topics."""
    from ringcut.reading.suggest import canonical, near
    from ringcut_cli.shown.page import out

    pages = topics()
    if topic is None:
        width = max(len(name) for name in pages)
        lines = [f"  {name:<{width}}  {_title(text)}" for name, text in pages.items()]
        out("\n".join(["ringcut guide TOPIC explains:", "", *lines]) + "\n")
        return Exit.CONFORMS
    name = canonical(topic)
    if name not in pages:
        close = near(name, pages)
        meant = f" Did you mean {close}?" if close else ""
        raise click.UsageError(f"There is no topic {topic}.{meant} The topics are: {', '.join(pages)}.")
    out(pages[name])
    return Exit.CONFORMS


def topics() -> dict[str, str]:
    """The pages by topic, in alphabetical order."""
    found = [item for item in (files("ringcut_cli") / "guide").iterdir() if item.name.endswith(".md")]
    return {
        item.name.removesuffix(".md"): item.read_text(encoding="utf-8")
        for item in sorted(found, key=lambda item: item.name)
    }


def _title(text: str) -> str:
    return text.partition("\n")[0].lstrip("# ").strip()
