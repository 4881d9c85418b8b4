"""Files are either whole or as they were."""

import os
import signal
import stat
import sys
from pathlib import Path

import pytest
from coilwright.report import write
from coilwright.report.trouble import Trouble


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_file_is_written_and_replaced(tmp_path: Path) -> None:
    target = tmp_path / "bill.csv"
    write.to_files({target: "one\r\n"})
    write.to_files({target: "two ½\r\n"})
    assert target.read_bytes() == "two ½\r\n".encode()
    assert names(tmp_path) == ["bill.csv"]


def test_failure_halfway_leaves_the_old_file_and_no_litter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "bill.csv"
    target.write_text("old")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Trouble, match=r"cannot write `.*bill.csv`: no space left on device"):
        write.to_files({target: "new"})
    assert target.read_text() == "old"
    assert names(tmp_path) == ["bill.csv"]


def test_of_several_files_none_is_written_if_one_cannot(tmp_path: Path) -> None:
    good, bad = tmp_path / "bill.csv", tmp_path / "missing" / "joints.csv"
    good.write_text("old")
    with pytest.raises(Trouble, match=r"missing/joints.csv`: no such file or directory"):
        write.to_files({good: "new", bad: "new"})
    assert good.read_text() == "old"
    assert names(tmp_path) == ["bill.csv"]


def test_an_interruption_leaves_no_litter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(handle: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write.to_files({tmp_path / "bill.csv": "new"})
    assert names(tmp_path) == []


def test_an_interruption_leaves_all_files_as_they_were(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = [tmp_path / f"{name}.csv" for name in ("bill", "bolting", "joints")]
    for file in files:
        file.write_text("old")
    calls = []

    def interrupt(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 2:
            os.kill(os.getpid(), signal.SIGINT)

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write.to_files(dict.fromkeys(files, "new"))
    assert [file.read_text() for file in files] == ["old"] * 3
    assert names(tmp_path) == ["bill.csv", "bolting.csv", "joints.csv"]


def test_an_interruption_while_files_take_their_places_waits(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = [tmp_path / f"{name}.csv" for name in ("bill", "bolting", "joints")]
    replace = os.replace

    def interrupt(old: str, new: Path) -> None:
        os.kill(os.getpid(), signal.SIGINT)
        replace(old, new)

    monkeypatch.setattr(os, "replace", interrupt)
    before = signal.getsignal(signal.SIGINT)
    with pytest.raises(KeyboardInterrupt):
        write.to_files(dict.fromkeys(files, "new"))
    assert [file.read_text() for file in files] == ["new"] * 3
    assert names(tmp_path) == ["bill.csv", "bolting.csv", "joints.csv"]
    assert signal.getsignal(signal.SIGINT) == before


def test_rights_are_kept_and_new_files_follow_the_mask(tmp_path: Path) -> None:
    old, new = tmp_path / "old", tmp_path / "new"
    old.write_text("x")
    old.chmod(0o640)
    before = os.umask(0o027)
    try:
        write.to_files({old: "y", new: "y"})
    finally:
        os.umask(before)
    assert [stat.S_IMODE(path.stat().st_mode) for path in (old, new)] == [0o640, 0o640]


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    real, link = tmp_path / "real.csv", tmp_path / "link.csv"
    real.write_text("old")
    link.symlink_to(real)
    write.to_files({link: "new"})
    assert link.is_symlink()
    assert real.read_text() == "new"


def test_a_device_is_written_to_and_not_replaced() -> None:
    write.to_files({Path(os.devnull): "new"})
    assert not Path(os.devnull).is_file()


def test_a_write_protected_file_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "bill.csv"
    target.write_text("old")
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    with pytest.raises(Trouble, match="write-protected"):
        write.to_files({target: "new"})
    assert target.read_text() == "old"


def test_bytes_are_written_as_they_are(tmp_path: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    data = b"PK\x03\x04\r\n\xff"
    write.to_files({tmp_path / "job.xlsx": data, tmp_path / "job.csv": "a"})
    assert (tmp_path / "job.xlsx").read_bytes() == data
    write.to_stdout(data)
    assert capfdbinary.readouterr().out == data


def test_a_terminal_gets_no_bytes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    with pytest.raises(Trouble, match=r"nothing for a terminal.*--out job\.xlsx"):
        write.to_stdout(b"PK")


def test_standard_output_is_utf_8(capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    write.to_stdout("½ \udc80\r\n")
    assert capfdbinary.readouterr().out == "½ \\udc80\r\n".encode()
