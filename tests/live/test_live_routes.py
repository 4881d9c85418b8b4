"""What is answered, to whom, and with which headers; no file of the disk among it."""

from __future__ import annotations

import asyncio
import http.client
import json
import os
from pathlib import Path

import pytest
from coilwright.live.app import application
from coilwright.live.making import Inputs, Maker
from coilwright.live.state import Feed, State
from coilwright.pack import Options
from starlette.testclient import TestClient

PORT = 8470
EXAMPLE = Path(__file__).parents[2] / "examples" / "one-coil.hookup"


@pytest.fixture(scope="module")
def maker(tmp_path_factory: pytest.TempPathFactory) -> Maker:
    folder = tmp_path_factory.mktemp("served")
    file = folder / "one.hookup"
    file.write_text(EXAMPLE.read_text())
    (folder / "secret.txt").write_text("not to be served")
    made = Maker(lambda: Inputs([str(file)], frozenset()), str(folder), Options())
    assert made.compile()
    list(made.make())
    return made


@pytest.fixture
def client(maker: Maker) -> TestClient:
    feed = Feed(maker.state)
    feed.close()  # its readers end, and the test with them
    return TestClient(application(maker, feed, PORT), base_url=f"http://127.0.0.1:{PORT}")


def test_the_page_its_script_and_its_style(client: TestClient, maker: Maker) -> None:
    page = client.get("/")
    assert page.status_code == 200 and page.content == maker.html
    assert f'<meta name="live-page" content="{maker.state.page}">' in page.text
    assert page.text.index("/live.js") < page.text.index("</head>")
    assert client.get("/live.js").headers["content-type"].startswith("text/javascript")
    assert client.get("/live.css").headers["content-type"].startswith("text/css")


@pytest.mark.parametrize("path", ["/", "/live.js", "/events", "/nothing"])
def test_every_answer_has_the_policy(client: TestClient, path: str) -> None:
    headers = client.get(path).headers
    policy = dict(part.strip().split(" ", 1) for part in headers["content-security-policy"].split(";"))
    assert policy["default-src"] == "'none'" and policy["script-src"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == policy["form-action"] == "'none'"
    assert headers["x-content-type-options"] == "nosniff" and headers["cache-control"] == "no-store"


@pytest.mark.parametrize("host", [f"127.0.0.1:{PORT}", f"localhost:{PORT}", f"LOCALHOST:{PORT}", f"[::1]:{PORT}"])
def test_own_names_are_answered(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    [
        "",
        "127.0.0.1",
        "localhost",
        "localhost:1",
        "gallery.example",
        f"gallery.example:{PORT}",
        f"127.0.0.1.gallery:{PORT}",
        f"localhost.:{PORT}",
        f"0.0.0.0:{PORT}",
        f"user@localhost:{PORT}",
    ],
)
def test_other_names_are_refused(client: TestClient, host: str) -> None:
    answer = client.get("/", headers={"host": host})
    assert answer.status_code == 403 and "<" not in answer.text


def test_pages_of_others_are_refused(client: TestClient) -> None:
    assert client.get("/events", headers={"origin": "http://gallery.example"}).status_code == 403
    assert client.get("/events", headers={"origin": "null"}).status_code == 403
    assert client.get("/", headers={"origin": f"http://localhost:{PORT}"}).status_code == 200


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "HEAD", "PATCH"])
def test_nothing_but_get(client: TestClient, method: str) -> None:
    answer = client.request(method, "/")
    assert answer.status_code == 405 and answer.headers["allow"] == "GET"


def test_events_begin_with_the_newest_state(maker: Maker) -> None:
    async def first_two() -> list[State]:
        feed = Feed(maker.state)
        found = []
        async for state in feed.states():
            found.append(state)
            if len(found) == 1:
                feed.put(State("missed", "while nobody read"))
                feed.put(State("newest", "1 finding"))
            else:
                feed.close()
        return found

    assert [state.page for state in asyncio.run(first_two())] == [maker.state.page, "newest"]


def test_an_event_is_one_line_of_json() -> None:
    text = State("a", 'line\nbreak </script> " \u2028').event()
    head, data, *rest = text.split("\n")
    assert head == "event: state" and rest == ["", ""]
    assert json.loads(data.removeprefix("data: "))["said"] == 'line\nbreak </script> " \u2028'


_PATHS = ["/secret.txt", "/one.hookup", "/../secret.txt", "/%2e%2e/secret.txt", "/..%2fsecret.txt", "//etc/passwd"]


@pytest.mark.parametrize("path", [*_PATHS, "/live.js/../secret.txt", "/static/secret.txt", "/%00", "/live.js%00.txt"])
def test_no_file_is_served(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404 and "not to be served" not in answer.text


def test_paths_as_they_are_on_the_wire(serve, tmp_path: Path) -> None:
    """A client of its own mends paths before it sends them; this one does not."""
    (tmp_path / "one.hookup").write_text(EXAMPLE.read_text())
    (tmp_path / "secret.txt").write_text("not to be served")
    with serve(tmp_path) as (address, _):
        port = int(address.rstrip("/").rsplit(":", 1)[1])
        for path in _PATHS:
            talk = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
            talk.putrequest("GET", path)
            talk.endheaders()
            answer = talk.getresponse()
            assert answer.status == 404 and b"not to be served" not in answer.read()


@pytest.mark.skipif(not hasattr(os, "symlink"), reason="no links on this system")
def test_links_out_of_the_folder_are_not_read(tmp_path: Path) -> None:
    outside = tmp_path / "outside.hookup"
    outside.write_text("project 'hidden words'\n")
    folder = tmp_path / "served"
    folder.mkdir()
    (folder / "link.hookup").symlink_to(outside)
    (folder / "uses.hookup").write_text('use "../outside.hookup"\nuse "link.hookup"\n')
    for name in ("link.hookup", "uses.hookup"):
        maker = Maker(lambda name=name: Inputs([str(folder / name)], frozenset()), str(folder), Options())
        assert maker.compile()
        list(maker.make())
        assert b"hidden words" not in maker.html and b"outside" in maker.html.lower()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes on this system")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.hookup")
    maker = Maker(lambda: Inputs([str(tmp_path / "pipe.hookup")], frozenset()), str(tmp_path), Options())
    assert maker.compile()
    list(maker.make())
    assert b"is not a file" in maker.html
