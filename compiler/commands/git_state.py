"""Hookup files as they stand in a commit. Asks git for the text of files and changes nothing in its repository."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Callable, Sequence
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from ..report.trouble import Trouble
from .inputs import ENDING

if TYPE_CHECKING:
    from ..batch import Batch


def compile_state(commit: str, words: Sequence[str], progress: Callable[[int, int], None] | None = None) -> Batch:
    """The files and folders named, as they are in a commit (any name that git has for one), as one job.

    Raises Trouble where there is no git, no repository, no such commit, or nothing of that name in it.
    """
    from .. import compile_files

    state = State(commit, words[0])
    names: dict[str, bool] = {}
    for word in words:
        for name, in_folder in state.files(word):
            names.setdefault(name, in_folder)
    parts = {name for name, in_folder in names.items() if in_folder}
    return compile_files(names, reader=state, parts=parts, progress=progress)


class State:
    """One commit of the repository that holds a file; a `Reader` of what it has under the paths of today."""

    def __init__(self, commit: str, near: str) -> None:
        folder = os.path.abspath(near)
        while not os.path.isdir(folder):  # the file may be gone since, and its folder with it
            folder = os.path.dirname(folder)
        self._folder = folder
        try:
            top = self._git("rev-parse", "--show-toplevel")
        except FailedGit as error:
            raise Trouble(f"`{near}` is in no git repository: {error}") from None
        self._top = os.path.realpath(top.decode("utf-8", "surrogateescape").rstrip("\n"))
        self._commit = commit
        if not commit or commit.startswith("-"):
            raise Trouble(f"`{commit}` is no name of a commit")
        try:
            self._id = self._git("rev-parse", "--verify", "--quiet", f"{commit}^{{commit}}").decode("ascii").strip()
        except FailedGit:
            raise Trouble(f"git knows no commit `{commit}`") from None

    def files(self, word: str) -> list[tuple[str, bool]]:
        """The hookup files that a word names in this commit, and whether only their folder was named."""
        inside = self._inside(word)
        below = self._git("ls-tree", "-r", "-z", "--name-only", "--full-tree", self._id, "--", inside or ".")
        found = [name for name in below.decode("utf-8", "surrogateescape").split("\0") if name]
        if found == [inside]:
            return [(word, False)]
        hookups = [name for name in found if name.endswith(ENDING) and not _hidden(name, inside)]
        if not hookups:
            raise Trouble(f"there is no file `{word}`, nor a folder with hookups, in `{self._commit}`")
        return [(os.path.join(word, os.path.relpath(name, inside or ".")), True) for name in sorted(hookups)]

    def read(self, path: str) -> str:
        """The text of a file as it is in the commit."""
        from ..source.reader import Unreadable, decoded

        try:
            inside = self._inside(path)
        except Trouble:
            raise Unreadable("cannot be read: it is outside of the repository") from None
        try:
            return decoded(self._git("cat-file", "blob", f"{self._id}:{inside}"))
        except FailedGit:
            raise Unreadable(f"cannot be read: there is no such file in `{self._commit}`") from None

    def inside(self, path: str, of: str) -> bool:
        """Whether `path` lies in the folder of the file `of`; links are not followed."""
        return Path(os.path.abspath(path)).is_relative_to(Path(os.path.abspath(of)).parent)

    def _inside(self, path: str) -> str:
        """A path from the top of the repository, with slashes; empty for the top itself."""
        folder, name = os.path.split(os.path.abspath(path))
        place = os.path.relpath(os.path.join(os.path.realpath(folder), name), self._top)
        if place.split(os.sep)[0] == os.pardir:
            raise Trouble(f"`{path}` is not in the repository of the first file")
        return "" if place == os.curdir else PurePosixPath(*Path(place).parts).as_posix()

    def _git(self, *words: str) -> bytes:
        environ = {**os.environ, "GIT_OPTIONAL_LOCKS": "0", "LC_ALL": "C", "GIT_LITERAL_PATHSPECS": "1"}
        try:
            done = subprocess.run(
                ["git", "-C", self._folder, *words], capture_output=True, env=environ, stdin=subprocess.DEVNULL
            )
        except OSError as error:
            raise Trouble(f"git cannot be run: {(error.strerror or str(error)).lower()}") from None
        if done.returncode:
            raise FailedGit(done.stderr.decode("utf-8", "replace").strip().removeprefix("fatal: "))
        return done.stdout


class FailedGit(Exception):
    """What git said when it could not do what it was asked."""


def _hidden(name: str, folder: str) -> bool:
    """Whether the file, or a folder on the way to it, has a name that begins with a dot."""
    return any(part.startswith(".") for part in PurePosixPath(os.path.relpath(name, folder or ".")).parts)
