"""A group whose commands are imported when they are called, and listed without being imported.

Never knows what a command does: its sentence is read from the source in which it is written.
"""

import ast
from importlib import import_module
from importlib.metadata import entry_points
from importlib.util import find_spec
from pathlib import Path

import click


class Placed(click.Command):
    """A command of which no more is known than where it is: "module:function", and under which heading it stands."""

    def __init__(self, name: str, place: str, heading: str) -> None:
        super().__init__(name)
        self.heading = heading
        self._module, _, self._function = place.partition(":")

    def loaded(self) -> click.Command:
        """The command itself, its module imported now."""
        command: click.Command = getattr(import_module(self._module), self._function)
        return command

    def get_short_help_str(self, limit: int = 45) -> str:
        """The first sentence of its docstring, from the source, shortened to a limit of characters."""
        spec = find_spec(self._module)  # imports the package around the module, never the module
        source = Path(spec.origin).read_text(encoding="utf-8") if spec and spec.origin else ""
        for node in ast.parse(source).body:
            if isinstance(node, ast.FunctionDef) and node.name == self._function:
                return click.Command(None, help=ast.get_docstring(node)).get_short_help_str(limit)
        return ""


class LazyGroup(click.Group):
    """A group that stands for all its commands until one is called."""

    def place(self, heading: str, **places: str) -> None:
        """Commands under a heading, in this order: name="module:function", with _ for - in names.

        A name that is a word of Python ends in _: import_.
        """
        for name, place in places.items():
            self.add_command(Placed(name.rstrip("_").replace("_", "-"), place, heading))

    def place_plugged(self, heading: str, group: str) -> None:
        """The commands that installed packages add by entry points of a group."""
        for each in entry_points(group=group):
            self.add_command(Placed(each.name, each.value, heading))

    def list_commands(self, ctx: click.Context) -> list[str]:
        """All names, as they were placed."""
        return [*self.commands]

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does it, and then the command itself for what stood for it."""
        name, command, rest = super().resolve_command(ctx, args)
        return name, command.loaded() if isinstance(command, Placed) else command, rest

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Each heading with its commands, the sentences one below the other."""
        placed = [each for each in self.commands.values() if isinstance(each, Placed)]
        longest = max(len(each.name or "") for each in placed)
        for heading in dict.fromkeys(each.heading for each in placed):
            rows = [
                ((each.name or "").ljust(longest), each.get_short_help_str(formatter.width - 6 - longest))
                for each in placed
                if each.heading == heading
            ]
            with formatter.section(heading):
                formatter.write_dl(rows)
