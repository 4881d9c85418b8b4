"""From the files as they are now to the page, and what stays when they do not compile."""

from __future__ import annotations

import hashlib
import pickle
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from ..batch import Batch, compile_files
from ..pack import Options
from ..pack.contents import Contents, gather
from ..pack.html import render
from ..pack.pictures import Pictures, completed, lines_alone, with_others
from ..report.excerpt import Sources
from ..report.result import Result, sum_line, without_repeats
from ..report.trouble import Trouble
from ..version import __version__
from .reading import FolderReader, Mark, mark_of
from .state import MOST_TOLD, State, Told, told

#: What the page needs to be live; the name of the page goes into it.
_HEAD = (
    '<meta name="live-page" content="{}"><link rel="stylesheet" href="/live.css"><script src="/live.js" defer></script>'
)


@dataclass(frozen=True, slots=True)
class Inputs:
    """The files to compile by name; `parts` of them do not stand alone where another one uses them."""

    names: Sequence[str]
    parts: frozenset[str]


class Maker:
    """Compiles and makes pages, one at a time. `find` gives the files there are, or raises Trouble.

    `html` is the last good page; `state` what there is to say.
    """

    def __init__(self, find: Callable[[], Inputs], folder: str, options: Options) -> None:
        self._find = find
        self._folder = folder
        self._options = options
        self._inputs: Inputs | None = None
        self._batch: Batch | None = None
        self._left_out: frozenset[str] = frozenset()
        self._key = ""
        self._drawn: dict[bytes, Pictures] = {}
        self.asked: dict[str, Mark] = {}
        self.html = b""
        self.state = State("", "")

    def compile(self) -> bool:
        """Compile what is there now; whether anything is new since the last time. `state` then tells what was found."""
        try:
            self._inputs = self._find()
        except Trouble as trouble:
            self._batch = None
            return self._keep(str(trouble), (), 0, str(trouble))
        reader = FolderReader(self._folder)
        batch = compile_files(self._inputs.names, reader=reader, parts=self._inputs.parts)
        self.asked = reader.asked
        results = without_repeats([Result(one.name, one.findings, one.sources) for one in batch.compilations])
        said = sum_line(results)
        self._batch = None
        key = _key(batch, self._options)
        if self.html and not self._left_out.issuperset(batch.left_out):
            errors = [finding for finding in batch.findings if finding.severity == "error"]
            return self._keep(key, told(errors, Sources(batch.sources)), max(0, len(errors) - MOST_TOLD), said)
        if key == self._key:
            return False
        self._key, self._batch = key, batch
        self.state = State(self.state.page, said)
        return True

    def make(self) -> Iterator[None]:
        """Make the page of what was compiled, if it can be shown: first with line diagrams and findings alone, named
        `…-part`, then with the lists too, then whole. Yields each time when there is a new one."""
        batch, self._batch = self._batch, None
        if batch is None:
            return
        name = self._key[:32]
        first = gather(batch, self._options, partial(lines_alone, metric=self._options.metric), ())
        self._left_out = frozenset(batch.left_out)
        drawn = iter(first.pictures)
        listed = first
        if first.pictures:
            if self.html:
                self._show(first, f"{name}-part")
                yield
            listed = gather(batch, self._options, lambda *_: next(drawn))
            if self.html:
                self._show(listed, f"{name}-lists-part")
                yield
        self._show(replace(listed, pictures=self._whole(batch, listed.pictures)), name)
        yield

    def _whole(self, batch: Batch, lines: Sequence[Pictures]) -> tuple[Pictures, ...]:
        """The pictures with all other drawings; those of a hookup that is as it was at the last save are kept."""
        before, self._drawn = self._drawn, {}
        made = []
        for hookup, own in zip(batch.hookups, lines, strict=True):
            key = hashlib.sha256(pickle.dumps((hookup, batch.job.settings))).digest()
            found = before.get(key)
            metric = self._options.metric
            self._drawn[key] = with_others(own, found) if found else completed(batch.job, hookup, own, metric=metric)
            made.append(self._drawn[key])
        return tuple(made)

    def _show(self, contents: Contents, name: str) -> None:
        self.html = render(contents, _HEAD.format(name)).encode("utf-8", "backslashreplace")
        self.state = State(name, self.state.said)

    def failed(self, said: str) -> None:
        """The last good page stays, since we failed ourselves."""
        self._keep(said, (), 0, said)

    def changed(self) -> bool:
        """Whether files came or went, or one that was read looks different on disk; a glance, nothing is read."""
        try:
            inputs: Inputs | None = self._find()
        except Trouble:
            inputs = None
        return inputs != self._inputs or any(mark_of(path) != mark for path, mark in self.asked.items())

    def _keep(self, key: str, mistakes: tuple[Told, ...], more: int, said: str) -> bool:
        """The last good page stays."""
        if key == self._key:
            return False
        self._key = key
        self.state = State(self.state.page, said, True, mistakes, more)
        return True


def _key(batch: Batch, options: Options) -> str:
    """The same for the same text of the same files."""
    digest = hashlib.sha256()
    said = [__version__, repr(options), *(one.name for one in batch.compilations)]
    said += [part for name, text in batch.sources.items() for part in (name, text)]
    said += [f"{finding.span} {finding.message}" for finding in batch.findings]
    for part in said:
        data = part.encode("utf-8", "surrogatepass")
        digest.update(len(data).to_bytes(8) + data)
    return digest.hexdigest()
