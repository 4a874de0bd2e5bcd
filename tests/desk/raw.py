"""A desk that listens on a port, and a client that sends what it is told and nothing else."""

from __future__ import annotations

import http.client
import socket
import threading
import time

import uvicorn

from workbook.desk.app import app
from workbook.desk.desk import Desk
from workbook.desk.guard import Door


class Raw:
    """A desk that listens, and a client that sends what it is told and nothing else."""

    def __init__(self, folder):
        self.socket = socket.create_server(("127.0.0.1", 0))
        self.door = Door(self.socket.getsockname()[1])
        self.desk = Desk(folder, self.door)
        self.server = uvicorn.Server(uvicorn.Config(app(self.desk), log_level="warning", ws="none"))
        self.thread = threading.Thread(target=self.server.run, args=([self.socket],))
        self.thread.start()
        while not self.server.started:
            time.sleep(0.01)
        answer, _ = self.ask("GET", self.path_of(self.door.link()), cookie="")
        self.cookie = answer.getheader("set-cookie").split(";")[0]

    def path_of(self, link):
        return link.removeprefix(self.door.origin)

    def ask(self, method, path, body=None, cookie=None, host=None, origin=None, **more):
        """The answer and its text; None takes what the desk's own page would send."""
        connection = http.client.HTTPConnection("127.0.0.1", self.door.port, timeout=20)
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        headers = {"Host": self.door.host if host is None else host}
        if method != "GET":
            headers["Origin"] = self.door.origin if origin is None else origin
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        headers["Cookie"] = self.cookie if cookie is None else cookie
        data = body.encode() if body is not None else b""
        if data:
            headers["Content-Length"] = str(len(data))
        headers |= {name.replace("_", "-"): value for name, value in more.items()}
        for name, value in headers.items():
            if value:
                connection.putheader(name, value)
        connection.endheaders(data)
        answer = connection.getresponse()
        text = answer.read()
        connection.close()
        return answer, text.decode("utf-8", "replace")

    def status(self, *words, **more):
        return self.ask(*words, **more)[0].status

    def close(self):
        self.server.should_exit = True
        self.thread.join()
