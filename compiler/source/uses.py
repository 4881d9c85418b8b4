"""A file and all it uses, included files first, each read once."""

from __future__ import annotations

import posixpath

from ..model.finding import Finding, Note
from ..model.span import Span
from .parser import parse_text
from .reader import Reader, Unreadable
from .tree import Tree, Use

#: Files that a run has read, by path: the tree and its syntax mistakes.
Parsed = dict[str, tuple[Tree, list[Finding]]]


def load_trees(
    path: str, reader: Reader, text: str | None = None, parsed: Parsed | None = None
) -> tuple[list[Tree], list[Finding]]:
    """The trees of a file and of the files it uses, and what was wrong with them.

    `text` is given where the file itself is not to be read. What is in `parsed` is not read again; files that are read
    are added to it. Finds: files that cannot be read, that lie outside the folder of the first file, or that use each
    other in a ring; syntax mistakes.
    """
    loader = _Loader(path, reader, {} if parsed is None else parsed)
    loader.load(path, text, None, ())
    return loader.trees, loader.findings


#: Files that use files that use files … deeper than this are a mistake.
_DEEPEST = 50


class _Loader:
    def __init__(self, root: str, reader: Reader, parsed: Parsed) -> None:
        self.root = root
        self.reader = reader
        self.parsed = parsed
        self.trees: list[Tree] = []
        self.findings: list[Finding] = []
        self._done: set[str] = set()

    def load(self, path: str, text: str | None, by: Span | None, chain: tuple[tuple[str, Span | None], ...]) -> None:
        """One file and what it uses; `by` is the place that asked for it, `chain` the files being loaded."""
        names = [posixpath.normpath(name) for name, _ in chain]
        if posixpath.normpath(path) in names:
            ring = " uses ".join([*names[names.index(posixpath.normpath(path)) :], path])
            notes = tuple(Note(f"`{name}` is used here", span) for name, span in chain[1:] if span is not None)
            self._find("uses-itself", f"files use each other in a ring: {ring}", by, notes)
            return
        if posixpath.normpath(path) in self._done:
            return
        if len(chain) > _DEEPEST:
            self._find("nested-too-deep", f"files use files more than {_DEEPEST} deep", by, ())
            return
        try:
            tree, found = self._read(path) if text is None else parse_text(text, path)
        except Unreadable as problem:
            self._find("file-unreadable", f"`{path}` {problem}", by, (), path)
            return
        self._done.add(posixpath.normpath(path))
        self.findings.extend(found)
        for node in tree.statements:
            if isinstance(node, Use):
                self._use(node, path, (*chain, (path, by)))
        self.trees.append(tree)

    def _read(self, path: str) -> tuple[Tree, list[Finding]]:
        if path not in self.parsed:
            self.parsed[path] = parse_text(self.reader.read(path), path)
        return self.parsed[path]

    def _use(self, node: Use, path: str, chain: tuple[tuple[str, Span | None], ...]) -> None:
        name = node.path.text
        target = posixpath.normpath(posixpath.join(posixpath.dirname(path.replace("\\", "/")), name))
        absolute = name.startswith(("/", "\\")) or name[1:2] == ":"
        if absolute or not self.reader.inside(target, self.root):
            help = "copy it beside the file that uses it"
            message = f"`{name}` lies outside the project's folder"
            self.findings.append(Finding("outside-project", "error", message, node.path.span, help=help))
            return
        self.load(target, None, node.path.span, chain)

    def _find(self, rule: str, message: str, by: Span | None, notes: tuple[Note, ...], path: str = "") -> None:
        self.findings.append(Finding(rule, "error", message, by or Span(path or self.root, 1, 1, 1, 1), notes=notes))
