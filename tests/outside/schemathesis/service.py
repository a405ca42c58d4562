"""Asks the program beside the requests that are tested: whoever makes things ready for those."""
import datetime
import time
import uuid

import requests

PASSWORD = "four-strides-to-the-oxer"
# an access token is good for longer than this
FRESH = 300


class Service:
    def __init__(self, base):
        self.base, self.session = base, requests.Session()

    def ask(self, method, path, body=None, token=None):
        headers = {"Idempotency-Key": str(uuid.uuid4())}
        if token:
            headers["Authorization"] = f"Bearer {token}"
        return self.session.request(method, self.base + path, json=body, headers=headers, timeout=30)

    def must(self, method, path, body=None, token=None):
        answer = self.ask(method, path, body, token)
        if answer.status_code >= 300:
            raise RuntimeError(f"{method} {path}: {answer.status_code} {answer.text}")
        return answer.json() if answer.content else None


class Member:
    """An account, and how it is signed in."""

    def __init__(self, service, name, **way):
        self.service, self.password, self.signed, self.known_as = service, PASSWORD, None, None
        self.email = f"{name.lower()}.{uuid.uuid4()}@example.org"
        service.must("POST", "/api/v1/accounts", {"email": self.email, "name": name, "password": PASSWORD, **way})

    def sign_in(self):
        body = {"email": self.email, "password": self.password}
        self.signed, self.since = self.service.must("POST", "/api/v1/sign-ins", body), time.monotonic()
        return self.signed

    def sign_out(self):
        """Its tokens are not used again."""
        self.signed = None

    def now(self):
        old = self.signed is None or time.monotonic() - self.since > FRESH
        return self.sign_in() if old else self.signed

    @property
    def token(self):
        return self.now()["access_token"]

    @property
    def person_id(self):
        """In the barn that it began with."""
        self.known_as = self.known_as or self.now()["memberships"][0]["person_id"]
        return self.known_as


def day(ahead):
    return (datetime.datetime.now(datetime.UTC).date() + datetime.timedelta(days=ahead)).isoformat()


def instant(minutes_ahead):
    """Of tomorrow, so many minutes after its midnight."""
    return f"{day(1 + minutes_ahead // 1440)}T{minutes_ahead % 1440 // 60:02}:{minutes_ahead % 60:02}:00Z"
