"""Nodes from the events of a YAML parser: aliases with a limit, tags and second documents refused."""

from __future__ import annotations

from typing import Any

import msgspec
import yaml

from ringcut.reading.problems import Place, Problem
from ringcut.reading.suggest import canonical
from ringcut.reading.yamlnodes import Map, Node, Scalar, Seq
from ringcut.reading.yamlslips import eaten_block_text, mend_entries, mend_items, quoted
from ringcut.reading.yamlsource import LOADER, Source

__all__ = ["DEEPEST", "MOST_NODES", "Builder", "GiveUp"]

DEEPEST = 50
"""Levels of lists and mappings in one another."""
MOST_NODES = 500_000
"""Scalars, lists and mappings in a file, aliases counted as what they stand for."""


class GiveUp(Exception):
    """The rest of the file is not read; the problem is told already."""


class _Open(msgspec.Struct):
    """A list or mapping that is not yet closed, with the key that waits for its value."""

    node: Seq | Map
    anchor: str | None
    key: Scalar | None = None
    drop: bool = False
    """The value that comes next is not kept."""
    seen: dict[str, Place] = {}
    nulls: bool = False


class Builder:
    """Reads one text once. After a syntax error its state says what was open."""

    def __init__(self, source: Source, problems: list[Problem]) -> None:
        self.problems = problems
        self.long_quote: tuple[int, int, int] | None = None
        """The last quoted text over several lines: its line, its column, its last line (all from 0)."""
        self._source = source
        self._stack: list[_Open] = []
        self._root: Node | None = None
        self._anchors: dict[str, Node] = {}
        self._sizes: dict[int, tuple[int, int]] = {}
        self._unused: dict[str, Place] = {}
        self._nodes = 0

    def build(self) -> Node | None:
        """The root, None for a file without any. Raises yaml.YAMLError or GiveUp."""
        documents = 0
        for event in yaml.parse(self._source.text, Loader=LOADER):
            if isinstance(event, yaml.ScalarEvent):
                self._scalar(event)
            elif isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent)):
                self._begin(event)
            elif isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
                self._finish()
            elif isinstance(event, yaml.AliasEvent):
                self._alias(event)
            elif isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents == 2:
                    self._tell(event, "a second document begins here", "one document a file", "split the file")
                    break
        for anchor, place in self._unused.items():
            hint = f"put the text in quotes: {quoted('&' + anchor + ' ...')}"
            found = f"&{anchor} is an anchor in YAML and no part of the text"
            self.problems.append(Problem(place, found, "", hint))
        return self._root

    def open_bracket(self) -> Place | None:
        """Where the innermost bracket or brace stands that is not closed."""
        flows = [frame.node.place for frame in self._stack if frame.node.flow]
        return flows[-1] if flows else None

    def _place(self, event: Any) -> Place:
        mark = event.start_mark
        return self._source.place(mark.line, mark.column)

    def _tell(self, event: Any, found: str, expected: str = "", hint: str = "") -> None:
        self.problems.append(Problem(self._place(event), found, expected, hint))

    def _count(self, event: Any, nodes: int, levels: int) -> None:
        self._nodes += nodes
        if len(self._stack) + levels > DEEPEST:
            self._tell(event, f"more than {DEEPEST} levels of lists and mappings", "", "write it flatter")
            raise GiveUp
        if self._nodes > MOST_NODES:
            self._tell(event, f"more than {MOST_NODES} values, aliases (*name) counted in full", "", "split it")
            raise GiveUp

    def _scalar(self, event: Any) -> None:
        self._count(event, 1, 0)
        place = self._place(event)
        plain = not event.style
        node = Scalar(self._source.restored(event.value), plain, place)
        self._tagged(event)
        if not plain:
            if event.style in "|>":
                told = eaten_block_text(node, self._source)
                self.problems.extend([told] if told else [])
            elif event.end_mark.line > event.start_mark.line:
                start = event.start_mark
                self.long_quote = (start.line, start.column, event.end_mark.line)
        if event.anchor:
            self._anchored(event.anchor, node)
            self._unused[event.anchor] = place
        self._add(node)

    def _tagged(self, event: Any) -> None:
        if event.tag:
            hint = "if it is text, put it in quotes; else delete the tag"
            self._tell(event, f"{event.tag} is a tag in YAML", "no tags", hint)

    def _begin(self, event: Any) -> None:
        self._count(event, 1, 1)
        self._tagged(event)
        place, flow = self._place(event), bool(event.flow_style)
        new: Seq | Map = Map([], place, flow) if isinstance(event, yaml.MappingStartEvent) else Seq([], place, flow)
        self._stack.append(_Open(new, event.anchor))

    def _finish(self) -> None:
        frame = self._stack.pop()
        node = frame.node
        if frame.nulls:
            if isinstance(node, Map):
                node.entries = mend_entries(node, self._source, self.problems)
            else:
                node.items = mend_items(node, self._source, self.problems)
        if frame.anchor:
            self._anchored(frame.anchor, node)
        self._add(node)

    def _add(self, node: Node) -> None:
        if not self._stack:
            self._root = node
            return
        frame = self._stack[-1]
        into = frame.node
        if isinstance(node, Scalar) and node.plain and not node.text:
            frame.nulls = True
        if isinstance(into, Seq):
            into.items.append(node)
        elif frame.key is None:
            self._key(frame, node)
        else:
            if not frame.drop:
                into.entries.append((frame.key, node))
            frame.key, frame.drop = None, False

    def _key(self, frame: _Open, node: Node) -> None:
        """Take a node as the key that waits for its value; a wrong or second one loses its value."""
        if not isinstance(node, Scalar):
            self.problems.append(
                Problem(node.place, "a list or mapping as a key", "a text before the colon", "put it in quotes")
            )
            frame.key, frame.drop = Scalar("", False, node.place), True
            return
        name = canonical(node.text)
        if node.plain and not name:
            self.problems.append(Problem(node.place, "a key is empty", "a text before the colon"))
            frame.drop = True
        elif name in frame.seen:
            first = frame.seen[name]
            found = f"{node.text} stands here twice, first in line {first.line}"
            self.problems.append(Problem(node.place, found, "each key once", "delete or rename one"))
            frame.drop = True
        frame.seen.setdefault(name, node.place)
        frame.key = node

    def _anchored(self, anchor: str, node: Node) -> None:
        self._anchors[anchor] = node
        self._measure(node)

    def _measure(self, node: Node) -> tuple[int, int]:
        """How many nodes and levels there are in it; remembered, so that anchors in anchors cost nothing."""
        known = self._sizes.get(id(node))
        if known:
            return known
        if isinstance(node, Scalar):
            return 1, 0
        inside = node.items if isinstance(node, Seq) else [value for _, value in node.entries]
        sizes = [self._measure(item) for item in inside]
        size = 1 + sum(size for size, _ in sizes), 1 + max((levels for _, levels in sizes), default=0)
        self._sizes[id(node)] = size
        return size

    def _alias(self, event: Any) -> None:
        name = str(event.anchor)
        self._unused.pop(name, None)
        node = self._anchors.get(name)
        if node is None:
            within = any(frame.anchor == name for frame in self._stack)
            found = f"*{name} stands within itself" if within else f"*{name} is an alias in YAML, without anchor"
            self._tell(event, found, "", f"if it is text, put it in quotes: {quoted('*' + name)}")
            node = Scalar(f"*{name}", False, self._place(event))
        else:
            self._count(event, *self._measure(node))
        self._add(node)
