"""Listens to all the pages of one browser window and notes whatever should not happen."""

import re


class Watch:
    """Console messages, script errors, failed or refused requests, and requests that leave this machine."""

    def __init__(self, context, address):
        self.address = address
        self.troubles = []
        self.refusals = set()  # answers that a test brings about on purpose
        context.on("console", self._console)
        context.on("weberror", lambda error: self.troubles.append(f"script error: {error.error}"))
        context.on("request", self._request)
        context.on("requestfailed", self._failed)
        context.on("response", self._response)

    def may_answer(self, *statuses):
        """The test provokes these answers; the browser's own line about them is no trouble either."""
        self.refusals.update(statuses)

    def _console(self, message):
        refused = re.search(r"responded with a status of (\d+)", message.text)
        if not (refused and int(refused[1]) in self.refusals):
            self.troubles.append(f"console: {message.text}")

    def _request(self, request):
        if not request.url.startswith((self.address, "blob:")):
            self.troubles.append(f"left this machine: {request.url}")

    def _failed(self, request):
        if request.failure != "net::ERR_ABORTED":  # a page left before its pictures had come
            self.troubles.append(f"failed: {request.url} {request.failure}")

    def _response(self, response):
        if response.status >= 400 and response.status not in self.refusals:
            self.troubles.append(f"{response.status}: {response.url}")
