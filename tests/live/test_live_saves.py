"""Saves of every kind on real files: what comes of them, and what stays."""

from __future__ import annotations

import asyncio
import os
import time
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from coilwright.live import making, watching
from coilwright.live.making import Inputs, Maker
from coilwright.live.watching import changes
from coilwright.pack import Options
from coilwright.report.trouble import Trouble

_EXAMPLES = Path(__file__).parents[2] / "examples"
GOOD = (_EXAMPLES / "one-coil.hookup").read_text()
MEASURED = (_EXAMPLES / "quarantine-measured.hookup").read_text()


def maker_of(folder: Path) -> Maker:
    def find() -> Inputs:
        names = sorted(str(path) for path in folder.glob("*.hookup"))
        if not names:
            raise Trouble("the folder holds no file")
        return Inputs(names, frozenset(names))

    return Maker(find, str(folder), Options())


def made(maker: Maker) -> bool:
    new = maker.compile()
    for _ in maker.make():
        pass
    return new


def test_a_save_makes_a_new_page_and_no_change_none(tmp_path: Path) -> None:
    file = tmp_path / "one.hookup"
    file.write_text(GOOD)
    maker = maker_of(tmp_path)
    assert made(maker) and not made(maker)
    before, page = maker.state, maker.html
    assert b"BV-900" not in page
    file.write_text(GOOD.replace("BV-", "BV-900"))
    assert maker.changed() and made(maker) and not maker.changed()
    assert maker.state.page != before.page and b"BV-900" in maker.html
    file.write_text(GOOD)
    assert made(maker) and maker.state == before and maker.html == page


def test_the_line_diagrams_come_first(tmp_path: Path) -> None:
    file = tmp_path / "one.hookup"
    file.write_text(GOOD)
    maker = maker_of(tmp_path)
    made(maker)
    file.write_text(f"# more\n{GOOD}")
    assert maker.compile()
    names = [maker.state.page for _ in maker.make()]
    assert names == [f"{names[-1]}-part", f"{names[-1]}-lists-part", maker.state.page]
    assert not names[-1].endswith("-part")


def test_drawings_of_a_hookup_that_did_not_change_are_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a.hookup").write_text(MEASURED)
    (tmp_path / "b.hookup").write_text(GOOD)
    maker = maker_of(tmp_path)
    made(maker)
    drawn: list[str] = []
    draw = making.completed
    monkeypatch.setattr(
        making,
        "completed",
        lambda job, hookup, lines, **how: drawn.append(hookup.name) or draw(job, hookup, lines, **how),
    )
    (tmp_path / "b.hookup").write_text(GOOD.replace("BV-", "BV-900"))
    assert made(maker)
    assert drawn and "quarantine" not in drawn
    fresh = maker_of(tmp_path)
    made(fresh)
    assert maker.html == fresh.html
    drawn.clear()
    (tmp_path / "a.hookup").write_text(MEASURED.replace("left 14 in", "left 15 in"))
    assert made(maker)
    assert set(drawn) == {"quarantine"}
    made(fresh)
    assert maker.html == fresh.html


def test_what_does_not_compile_leaves_the_last_good_page(tmp_path: Path) -> None:
    file = tmp_path / "one.hookup"
    file.write_text(GOOD)
    maker = maker_of(tmp_path)
    made(maker)
    page, name = maker.html, maker.state.page
    for bad in (GOOD[: len(GOOD) // 2] + "\n    coyl", "", "\0", "unit <script>alert(1)</script> is"):
        file.write_text(bad)
        assert made(maker)
        assert maker.html == page and maker.state.page == name and maker.state.stale and maker.state.mistakes
        assert not made(maker)
    file.unlink()
    assert made(maker) and maker.html == page and maker.state.said == "the folder holds no file"
    file.write_text(GOOD)
    assert made(maker) and not maker.state.stale and maker.html == page and not maker.state.mistakes


def test_a_file_that_never_compiled_does_not_stop_the_others(tmp_path: Path) -> None:
    (tmp_path / "bad.hookup").write_text("coyl\n")
    good = tmp_path / "good.hookup"
    good.write_text(GOOD)
    maker = maker_of(tmp_path)
    made(maker)
    good.write_text(GOOD.replace("BV-", "BV-900"))
    assert made(maker) and not maker.state.stale and b"BV-900" in maker.html


def test_a_page_of_a_file_that_does_not_compile_shows_why(tmp_path: Path) -> None:
    (tmp_path / "bad.hookup").write_text("coyl <script>alert(1)</script>\n")
    maker = maker_of(tmp_path)
    assert made(maker) and b"&lt;script&gt;alert" in maker.html and b"<script>alert" not in maker.html


def test_used_files_are_asked_for(tmp_path: Path) -> None:
    (tmp_path / "one.hookup").write_text(f'use "more.txt"\n{GOOD}')
    maker = Maker(lambda: Inputs([str(tmp_path / "one.hookup")], frozenset()), str(tmp_path), Options())
    made(maker)
    assert any(path.endswith("more.txt") for path in maker.asked) and not maker.changed()
    (tmp_path / "more.txt").write_text("# nothing\n")
    assert maker.changed()


# -- watching ------------------------------------------------------------------------------------------------------


@asynccontextmanager
async def watched(
    folder: Path, below: bool = True, glance: Callable[[], bool] = lambda: False
) -> AsyncIterator[Callable[[], Awaitable[None]]]:
    """Waits for the next sign of a change when called."""
    stop = asyncio.Event()
    signs: asyncio.Queue[None] = asyncio.Queue()

    async def follow() -> None:
        found = changes(
            lambda: [str(folder)], below=below, ours=lambda p: p.endswith(".hookup"), glance=glance, stop=stop
        )
        async for _ in found:
            signs.put_nowait(None)

    async def sign() -> None:
        await asyncio.wait_for(signs.get(), 10)
        await asyncio.sleep(0.4)
        while not signs.empty():
            signs.get_nowait()

    task = asyncio.create_task(follow())
    await asyncio.sleep(0.5)
    try:
        yield sign
    finally:
        stop.set()
        await asyncio.wait_for(task, 10)


def test_every_way_to_save_is_noticed(tmp_path: Path) -> None:
    file = tmp_path / "one.hookup"
    file.write_text(GOOD)

    async def play() -> None:
        async with watched(tmp_path) as sign:
            file.write_text("a")
            await sign()
            (tmp_path / "one.hookup~").write_text("b")
            os.replace(tmp_path / "one.hookup~", file)  # as editors do that save beside and rename
            await sign()
            file.unlink()
            await sign()
            file.write_text("c")
            await sign()
            (tmp_path / "floor").mkdir()
            await asyncio.sleep(0.3)
            (tmp_path / "floor" / "two.hookup").write_text("d")
            await sign()

    asyncio.run(play())


def test_other_files_wake_nobody(tmp_path: Path) -> None:
    async def play() -> None:
        async with watched(tmp_path) as sign:
            (tmp_path / "notes.txt").write_text("a")
            with pytest.raises(asyncio.TimeoutError):
                await asyncio.wait_for(sign(), 1.5)

    asyncio.run(play())


def test_a_folder_that_is_made_anew_is_watched_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(watching, "GLANCE", 200)
    folder = tmp_path / "job"
    folder.mkdir()
    file = folder / "one.hookup"
    file.write_text("a")

    async def play() -> None:
        async with watched(folder) as sign:
            file.unlink()
            folder.rmdir()
            await asyncio.sleep(0.6)
            folder.mkdir()
            await asyncio.sleep(1.0)
            file.write_text("b")
            await sign()

    asyncio.run(play())


def test_a_thousand_saves(serve, tmp_path: Path) -> None:
    import urllib.request

    file = tmp_path / "one.hookup"
    file.write_text(GOOD)
    with serve(file) as (address, process):
        for number in range(1000):
            text = GOOD.replace("BV-", f"BV-9{number}-")
            if number % 3 == 1:
                text = text[: len(text) // 3]  # half written
            if number % 2:
                (tmp_path / "new").write_text(text)
                os.replace(tmp_path / "new", file)
            else:
                file.write_text(text)
        file.write_text(GOOD.replace("BV-", "BV-LAST-"))
        end = time.monotonic() + 60
        while b"BV-LAST-" not in urllib.request.urlopen(address, timeout=30).read():
            assert time.monotonic() < end and process.poll() is None
            time.sleep(0.1)
