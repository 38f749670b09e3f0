"""A headless Chromium driven over its debugging pipe, with nothing but Python's own library.

    with Browser() as browser:
        page = browser.page("/path/report.html", width=360)
        page.value("document.title")

The protocol is the Chrome DevTools Protocol: JSON messages with a NUL behind each, on file descriptors 3 and 4.
"""
import base64
import json
import os
import select
import shutil
import subprocess
import tempfile


class Browser:
    def __init__(self):
        self.profile = tempfile.mkdtemp()
        read_commands, self.commands = os.pipe()
        self.answers, write_answers = os.pipe()
        # Descriptors 3 and 4 are the browser's ends, whatever numbers they have here.
        shell = f'exec "$0" "$@" 3<&{read_commands} 4>&{write_answers}'
        self.process = subprocess.Popen(
            ["bash", "-c", shell, "chromium", "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
             "--hide-scrollbars", "--remote-debugging-pipe", f"--user-data-dir={self.profile}", "about:blank"],
            pass_fds=(read_commands, write_answers), stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL)
        os.close(read_commands)
        os.close(write_answers)
        self.rest, self.number, self.events = b"", 0, []

    def __enter__(self):
        return self

    def __exit__(self, *_):
        os.close(self.commands)
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        os.close(self.answers)
        shutil.rmtree(self.profile, ignore_errors=True)

    def message(self, seconds):
        while b"\0" not in self.rest:
            if not select.select([self.answers], [], [], seconds)[0]:
                raise TimeoutError("the browser does not answer")
            block = os.read(self.answers, 1 << 16)
            if not block:
                raise EOFError("the browser has ended")
            self.rest += block
        line, self.rest = self.rest.split(b"\0", 1)
        return json.loads(line)

    def call(self, method, session=None, seconds=60, **parameters):
        self.number += 1
        command = {"id": self.number, "method": method, "params": parameters}
        if session:
            command["sessionId"] = session
        os.write(self.commands, json.dumps(command).encode() + b"\0")
        while True:
            message = self.message(seconds)
            if message.get("id") == self.number:
                if "error" in message:
                    raise RuntimeError(f"{method}: {message['error']['message']}")
                return message["result"]
            self.events.append(message)

    def wait_for(self, method, session, seconds=60):
        while True:
            for i, event in enumerate(self.events):
                if event.get("method") == method and event.get("sessionId") == session:
                    return self.events.pop(i)
            self.events.append(self.message(seconds))

    def page(self, path, **look):
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        page = Page(self, session, target)
        page.look(**look)
        page.open(path)
        return page


class Page:
    def __init__(self, browser, session, target):
        self.browser, self.session, self.target = browser, session, target
        self.call("Page.enable")
        self.call("Runtime.enable")
        self.call("Network.enable")

    def call(self, method, **parameters):
        return self.browser.call(method, self.session, **parameters)

    def look(self, width=1280, height=900, dark=False):
        self.call("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=width < 600)
        self.call("Emulation.setEmulatedMedia",
                  features=[{"name": "prefers-color-scheme", "value": "dark" if dark else "light"}])

    def open(self, path):
        self.call("Page.navigate", url="file://" + os.path.abspath(path))
        self.browser.wait_for("Page.loadEventFired", self.session)

    def value(self, expression):
        result = self.call("Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in result:
            raise RuntimeError(result["exceptionDetails"]["exception"].get("description", "?"))
        return result["result"].get("value")

    def picture(self, path):
        shot = self.call("Page.captureScreenshot", format="png", captureBeyondViewport=True)
        with open(path, "wb") as file:
            file.write(base64.b64decode(shot["data"]))

    def pdf(self):
        return base64.b64decode(self.call("Page.printToPDF", preferCSSPageSize=True, printBackground=False)["data"])

    def complaints(self):
        """What the page wanted and did not get, and what its console says."""
        return [e for e in self.browser.events if e.get("sessionId") == self.session and e["method"] in
                ("Runtime.exceptionThrown", "Runtime.consoleAPICalled", "Log.entryAdded", "Network.loadingFailed")]

    def requests(self):
        return [e["params"]["request"]["url"] for e in self.browser.events
                if e.get("sessionId") == self.session and e["method"] == "Network.requestWillBeSent"]

    def close(self):
        self.browser.call("Target.closeTarget", targetId=self.target)
