"""A headless Chromium, driven through the DevTools protocol: a page, what it logs, what it asks the network for."""

import base64
import itertools
import json
import os
import shutil
import subprocess
import tempfile
import time
import urllib.request

import websocket

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")


def program():
    """The path of Chromium, or None; the variable CHROMIUM names another one."""
    named = os.environ.get("CHROMIUM")
    return named or next((path for path in map(shutil.which, NAMES) if path), None)


class Browser:
    """One page of a browser that ends with the `with` block."""

    def __enter__(self):
        self.folder = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        options = ["--headless=new", "--no-sandbox", "--remote-debugging-port=0", "--use-gl=angle",
                   "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--hide-scrollbars",
                   "--disable-gpu-rasterization", "--disable-background-networking", "--no-first-run", f"--user-data-dir={self.folder.name}"]
        self.process = subprocess.Popen([program(), *options, "about:blank"],
                                        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        port = self._port()
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/json") as answer:
            page = next(p for p in json.load(answer) if p["type"] == "page")
        self.socket = websocket.create_connection(page["webSocketDebuggerUrl"], timeout=60, suppress_origin=True,
                                                  max_size=None)
        self.numbers = itertools.count(1)
        self.logged, self.asked = [], []
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.send(f"{domain}.enable")
        return self

    def __exit__(self, *_):
        self.socket.close()
        self.process.terminate()
        self.process.wait(timeout=20)
        self.folder.cleanup()

    def _port(self):
        path = os.path.join(self.folder.name, "DevToolsActivePort")
        for _ in range(300):
            if os.path.exists(path):
                with open(path, encoding="utf-8") as file:
                    lines = file.read().split()
                if lines:
                    return lines[0]
            time.sleep(0.1)
        raise RuntimeError("Chromium does not start")

    def send(self, method, **arguments):
        """Sends a command and gives its result."""
        number = next(self.numbers)
        self.socket.send(json.dumps({"id": number, "method": method, "params": arguments}))
        while True:
            told = json.loads(self.socket.recv())
            self._note(told)
            if told.get("id") == number:
                if "error" in told:
                    raise RuntimeError(f"{method}: {told['error']}")
                return told["result"]

    def _note(self, told):
        method, about = told.get("method"), told.get("params", {})
        if method == "Runtime.exceptionThrown":
            details = about["exceptionDetails"]
            self.logged.append(details.get("exception", {}).get("description", details["text"]))
        elif method == "Log.entryAdded" and about["entry"]["level"] in ("error", "warning"):
            self.logged.append(about["entry"]["text"])
        elif method == "Runtime.consoleAPICalled" and about["type"] in ("error", "warning"):
            self.logged.append(str(about["args"]))
        elif method == "Network.requestWillBeSent":
            self.asked.append(about["request"]["url"])

    def js(self, text):
        """The value of an expression, awaited."""
        result = self.send("Runtime.evaluate", expression=text, awaitPromise=True, returnByValue=True)
        if "exceptionDetails" in result:
            raise RuntimeError(result["exceptionDetails"])
        return result["result"].get("value")

    def wait(self, text, seconds=30):
        """Waits until an expression is true; gives the seconds it took."""
        start = time.monotonic()
        while time.monotonic() - start < seconds:
            if self.js(text):
                return time.monotonic() - start
            time.sleep(0.02)
        raise AssertionError(f"not so within {seconds} s: {text}")

    def size(self, width, height, dark=False, touch=False):
        """Sets the size of the window and the colours that its user prefers."""
        self.send("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=touch)
        self.send("Emulation.setTouchEmulationEnabled", enabled=touch)
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.send("Emulation.setEmulatedMedia", features=[scheme, {"name": "prefers-reduced-motion", "value": "reduce"}])

    def open(self, address):
        """Goes to a page and waits until its view stands."""
        self.send("Page.navigate", url=address)
        self.wait("document.readyState === 'complete' && document.body?.dataset.ready === 'yes'")

    def picture(self, clip=None):
        """A picture of the window, or of `[x, y, width, height]`, as PNG."""
        area = {"clip": dict(zip(("x", "y", "width", "height"), clip), scale=1)} if clip else {}
        return base64.b64decode(self.send("Page.captureScreenshot", format="png", **area)["data"])

    def mouse(self, kind, x, y, **more):
        self.send("Input.dispatchMouseEvent", type=kind, x=x, y=y, **more)

    def click(self, x, y):
        for kind in ("mousePressed", "mouseReleased"):
            self.mouse(kind, x, y, button="left", clickCount=1)

    def drag(self, start, end, button="left"):
        """Drags with the mouse in four steps."""
        self.mouse("mousePressed", *start, button=button, clickCount=1)
        for k in range(1, 5):
            at = [a + (b - a) * k / 4 for a, b in zip(start, end)]
            self.mouse("mouseMoved", *at, button=button, buttons=2 if button == "right" else 1)
        self.mouse("mouseReleased", *end, button=button, clickCount=1)

    def key(self, key, shift=False):
        """Presses a key where the focus is."""
        text = {"text": key} if len(key) == 1 else {}
        for kind in ("keyDown", "keyUp"):
            self.send("Input.dispatchKeyEvent", type=kind, key=key, modifiers=8 if shift else 0,
                      **(text if kind == "keyDown" else {}))
