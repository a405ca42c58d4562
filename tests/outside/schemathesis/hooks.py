"""What the generator cannot know, said to it in every phase: who asks, and what is there to be asked about.

A part of a request (address, query, headers, body) that was generated as valid is made to name what is there. A part
that was generated to be refused stays as it is, and no request and no check is taken away.
"""
import atexit
import collections
import json
import os
import uuid

import schemathesis
from schemathesis.core.parameters import ParameterLocation as Part

from barn import Barn
from fitting import Fitting

BARN = Barn(os.environ["STRIDEWRIGHT_BASE"], os.environ["STRIDEWRIGHT_ROLE"])
FITTING = Fitting(BARN)
# so often of the valid requests to one operation the body and the query stay as they were made up
AS_GENERATED = 4
# after so many refusals a trainer asks in the role's stead, so that good answers are seen of every operation
REFUSALS = 3
# these read, or concern nothing but the account
ASK_ONLY = {"evaluations_line", "evaluations_group", "evaluations_barn_line", "evaluations_barn_group"}
OF_THE_ACCOUNT = {"sign_in_sign_out", "sign_in_sign_out_everywhere", "sign_in_change_password", "sign_in_change_me",
                  "sign_in_join", "barns_create"}
ENDS_SIGN_INS = {"sign_in_sign_out", "sign_in_sign_out_everywhere", "sign_in_change_password"}

counts = collections.Counter()
sent, refused, answered = collections.Counter(), collections.Counter(), collections.Counter()
issued = set()


def name_of(case):
    return case.operation.definition.raw["operationId"]


def asker(operation):
    return BARN.spare(operation) if operation in OF_THE_ACCOUNT else BARN.who


@schemathesis.auth(refresh_interval=None)
class Bearer:
    def get(self, case, context):
        return asker(name_of(case)).token

    def set(self, case, data, context):
        case.headers["Authorization"] = f"Bearer {data}"


def valid(case, part):
    mode = case.meta.components.get(part) if case.meta else None
    return mode is None or mode.mode.is_positive


def alone(case, operation):
    """Whether what it is about must be nobody else's: it may change or end it."""
    return case.method not in ("GET", "HEAD") and operation not in ASK_ONLY


def address(case, operation):
    if not case.path_parameters or not valid(case, Part.PATH):
        return
    # a later step of a chain is about what an earlier one made
    if case.meta and case.meta.phase.name.value == "stateful":
        ids = [value for name, value in case.path_parameters.items() if name not in ("barn_id", "revision", "code", "file")]
        if all(value in issued for value in ids) and case.path_parameters.get("barn_id", BARN.barn_id) == BARN.barn_id:
            return
    ids = BARN.of(operation, case.path, alone(case, operation))
    if operation == "barns_change" and case.headers.get("Authorization") == f"Bearer {BARN.trainer.token}":
        ids["barn_id"] = BARN.other  # the time zone and the units of the one that is used stay
    case.path_parameters.update(ids)


def headers(case, operation):
    if not valid(case, Part.HEADER):
        return
    if "Idempotency-Key" in case.headers:
        case.headers["Idempotency-Key"] = str(uuid.uuid4())
    if "If-Match" in case.headers and valid(case, Part.PATH):
        path = case.formatted_path.removesuffix("/clearance")
        by = asker(operation) if path == "/api/v1/me" else BARN.trainer
        now = BARN.service.ask("GET", path, token=by.token).headers.get("ETag")
        if now:
            case.headers["If-Match"] = now


@schemathesis.hook
def before_call(context, case, kwargs):
    operation = name_of(case)
    whole = all(valid(case, part) for part in (Part.PATH, Part.QUERY, Part.HEADER, Part.BODY))
    stands_in = whole and case._has_explicit_auth and not answered[operation] and refused[operation] >= REFUSALS
    if stands_in:
        refused[operation] = 0
        case.headers["Authorization"] = f"Bearer {BARN.trainer.token}"
    address(case, operation)
    sent[operation] += whole
    if sent[operation] % AS_GENERATED != 0 or not whole:
        if case.query and valid(case, Part.QUERY) and valid(case, Part.PATH):
            FITTING.query(case.query, operation, case.formatted_path, BARN.trainer.token)
        if case.body and valid(case, Part.BODY):
            case.body = FITTING.body(case.body, operation, case.path_parameters)
    elif operation == "sign_in_create":
        case.body["email"] = f"{uuid.uuid4()}@example.org"  # the same address again and again is barred, rightly
    headers(case, operation)


@schemathesis.hook
def after_call(context, case, response):
    operation, status = name_of(case), response.status_code
    mode = case.meta.generation.mode.value if case.meta else "probe"
    counts[case.meta.phase.name.value if case.meta else "-", operation, mode, status] += 1
    if status in (401, 403, 404) and mode == "positive":
        refused[operation] += 1
    if not 200 <= status < 300:
        return
    if mode == "positive":
        answered[operation] += 1
    if status == 201:
        location = response.headers.get("location", [""])[0]
        issued.update(location.rsplit("/", 1)[1:])
    if case.method in ("GET", "HEAD"):
        return
    if operation in ENDS_SIGN_INS:
        spare = BARN.spare(operation)
        spare.sign_out()
        if operation == "sign_in_change_password":
            spare.password = case.body["new_password"]
    elif operation == "sign_in_refresh":
        BARN.spare(operation).signed = response.json()
    elif operation == "barns_create" and answered[operation] % 50 == 49:
        BARN.spares.pop(operation)  # an account has at most 100 barns
    elif operation not in ASK_ONLY:
        BARN.spend(operation)



@atexit.register
def keep():
    with open(os.environ["STRIDEWRIGHT_COUNTS"], "w", encoding="utf-8") as file:
        json.dump([[*key, n] for key, n in sorted(counts.items())], file)
