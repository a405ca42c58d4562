"""Other people's libraries read what the service makes: PyJWT an access token (RFC 7519, RFC 9068),
argon2-cffi a stored password hash (RFC 9106).

Usage: tokens.py <the program stridewright>
"""

import base64
import json
import pathlib
import sqlite3
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
import uuid

import argon2
import jwt

PASSWORD = "four-strides-to-the-oxer"
EMAIL = "mara@example.org"


def post(base, path, body):
    request = urllib.request.Request(
        base + path,
        data=json.dumps(body).encode(),
        headers={"Content-Type": "application/json", "Idempotency-Key": str(uuid.uuid4())},
    )
    try:
        with urllib.request.urlopen(request, timeout=20) as answer:
            return json.load(answer)
    except urllib.error.HTTPError as error:
        sys.exit(f"POST {path}: {error.code} {error.read().decode()}")


def check_token(token, keys):
    head = jwt.get_unverified_header(token)
    assert head["alg"] == "HS256" and head["typ"] == "at+jwt", head
    key = keys[head["kid"]]
    claims = jwt.decode(
        token, key, algorithms=["HS256"], audience="stridewright-api", issuer="stridewright",
        options={"require": ["exp", "nbf", "iat", "iss", "aud", "sub", "sid"]},
    )
    assert 0 < claims["exp"] - time.time() <= 3600, claims
    for wrong in (key[:-1] + bytes([key[-1] ^ 1]), b"x" * len(key)):
        try:
            jwt.decode(token, wrong, algorithms=["HS256"], audience="stridewright-api")
        except jwt.InvalidSignatureError:
            continue
        sys.exit("a token was accepted under a wrong key")
    return claims


def check_hash(stored):
    parameters = argon2.extract_parameters(stored)
    assert parameters.type is argon2.Type.ID and parameters.version == 19, parameters
    # the least memory and passes that RFC 9106 and common guidance leave room for
    assert parameters.memory_cost >= 19 * 1024 and parameters.time_cost >= 2, parameters
    argon2.PasswordHasher().verify(stored, PASSWORD)
    try:
        argon2.PasswordHasher().verify(stored, PASSWORD + "!")
    except argon2.exceptions.VerifyMismatchError:
        return
    sys.exit("a wrong password was accepted")


def main(program, folder):
    data = folder / "barns.sqlite3"
    server = subprocess.Popen(
        [program, "--database-url", f"sqlite://{data}", "serve", "--listen", "127.0.0.1:0"],
        stderr=subprocess.PIPE, text=True,
    )
    try:
        base = next(line.split()[-1] for line in server.stderr if line.startswith("listening on"))
        barn = {"name": "Long Meadow", "time_zone": "Europe/Lisbon", "units": "metric", "labels": "british"}
        post(base, "/api/v1/accounts", {"email": EMAIL, "name": "Mara", "password": PASSWORD, "barn": barn})
        token = post(base, "/api/v1/sign-ins", {"email": EMAIL, "password": PASSWORD})["access_token"]
        with sqlite3.connect(data) as rows:
            secrets = rows.execute("SELECT kid, secret FROM signing_key").fetchall()
            account, stored = rows.execute("SELECT id, password_hash FROM account").fetchone()
        keys = {kid: base64.urlsafe_b64decode(secret + "=" * (-len(secret) % 4)) for kid, secret in secrets}
        claims = check_token(token, keys)
        assert claims["sub"] == str(uuid.UUID(bytes=account)), claims
        check_hash(stored)
    finally:
        server.terminate()
        server.wait(timeout=30)
    print("the token and the password hash are read by PyJWT and argon2-cffi")


with tempfile.TemporaryDirectory() as name:
    main(sys.argv[1], pathlib.Path(name))
