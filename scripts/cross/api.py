"""The API against its own document, by schemathesis.

Source: the OpenAPI 3.1 document the server gives out; schemathesis makes the requests, well formed and not, and
checks every answer against it. The server is a rehearsal with a passphrase, on a port of its own.
"""

import json
import os
import re
import subprocess
import sys
import tempfile
import urllib.parse
import urllib.request
from pathlib import Path

PLIMSOLL = os.environ["PLIMSOLL"]


class Stay(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *_):
        return None


def main():
    server = subprocess.Popen(
        [PLIMSOLL, "serve", "--rehearse", "--new-passphrase", "--port", "0"], stdout=subprocess.PIPE, text=True
    )
    try:
        said = ""
        while "Stop with" not in said:
            line = server.stdout.readline()
            assert line, f"the server ended: {said}"
            said += line
        url = re.search(r"Open (\S+)", said).group(1)
        passphrase = re.search(r"lead: (\S+)", said).group(1)
        opener = urllib.request.build_opener(Stay)
        form = urllib.parse.urlencode({"passphrase": passphrase}).encode()
        try:
            opener.open(f"{url}/enter", form)
            raise AssertionError("entering leads on")
        except urllib.error.HTTPError as answer:
            assert answer.code == 303, answer.code
            cookie = answer.headers["set-cookie"].split(";")[0]
        today = opener.open(urllib.request.Request(url, headers={"cookie": cookie})).read().decode()
        wave = re.search(r"/line/([0-9a-f-]{36})", today).group(1)
        with tempfile.TemporaryDirectory() as folder:
            config = Path(folder) / "schemathesis.toml"
            token = cookie.split("=", 1)[1]
            config.write_text(
                f'[auth.openapi.cookie]\napi_key = "{token}"\n[parameters]\n"path.wave" = {json.dumps(wave)}\n'
            )
            # `wait` answers after 25 s by design; its route is asked in the server's own tests.
            done = subprocess.run(
                [
                    Path(sys.executable).with_name("schemathesis"),
                    *("--config-file", config, "run", f"{url}/api/openapi.json"),
                    *("--max-examples", "60", "--seed", "20261125"),
                    *("--exclude-path", "/api/waves/{wave}/wait"),
                ],
                cwd=folder,
            )
            assert done.returncode == 0, "the API and its document differ"
    finally:
        server.terminate()


main()
print("api: the answers fit the document")
