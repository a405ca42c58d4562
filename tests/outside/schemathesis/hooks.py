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
from hypothesis import strategies
from schemathesis.core.parameters import ParameterLocation as Part

from barn import Barn
from fitting import Fitting
from known import of

# without it the phase of coverage has no valid If-Match: of a header's pattern it makes letters and digits only
schemathesis.openapi.format("entity-tag", strategies.from_regex(r'"v[0-9]{1,19}"', fullmatch=True))
# a document is bytes, of which its schema says no more
schemathesis.deserializer("application/pdf")(lambda _, response: response.content.decode("latin-1"))
BARN = Barn(os.environ["STRIDEWRIGHT_BASE"], os.environ["STRIDEWRIGHT_ROLE"])
FITTING = Fitting(BARN)
# of so many valid requests to one operation one stays as it was made up, and one has a body that is known to be taken
AS_GENERATED = 4
# after so many refusals a trainer asks in the role's stead, so that good answers are seen of every operation
REFUSALS = 2
# these read, or concern nothing but the account
ASK_ONLY = {"evaluations_line", "evaluations_group", "evaluations_barn_line", "evaluations_barn_group"}
OF_THE_ACCOUNT = {"sign_in_sign_out", "sign_in_sign_out_everywhere", "sign_in_change_password", "sign_in_change_me",
                  "sign_in_join", "barns_create"}
ENDS_SIGN_INS = {"sign_in_sign_out", "sign_in_sign_out_everywhere", "sign_in_change_password"}

counts = collections.Counter()
sent, refused, answered = collections.Counter(), collections.Counter(), collections.Counter()
issued, founders = {("barn_id", BARN.barn_id)}, {}


def name_of(case):
    return case.operation.definition.raw["operationId"]


def asker(case, operation):
    """The role; or a spare one, of whose account or whose own barn it is."""
    spare = BARN.spare(operation) if operation in OF_THE_ACCOUNT else BARN.who
    return founders.get(case.path_parameters.get("barn_id"), spare)


@schemathesis.auth(refresh_interval=None)
class Bearer:
    def get(self, case, context):
        return asker(case, name_of(case)).token

    def set(self, case, data, context):
        case.headers["Authorization"] = f"Bearer {data}"


def valid(case, part):
    mode = case.meta.components.get(part) if case.meta else None
    return mode is None or mode.mode.is_positive


def alone(case, operation):
    """Whether what it is about must be nobody else's: it may change or end it."""
    return case.operation.method.upper() != "GET" and operation not in ASK_ONLY


def made_under_what_stays(case, operation):
    """A creation leaves what it is made under as it was; but nobody rides twice in one session."""
    return "Idempotency-Key" in case.headers and not operation.startswith("sessions_")


def parameter_of(case):
    """What an address calls the things that are made at this one."""
    under = [path.removeprefix(case.path) for path in case.operation.schema.raw_schema["paths"] if path.startswith(case.path + "/{")]
    return next((path[2:-1] for path in under if path.count("/") == 1), None)


def place_of(operation, stands_in):
    return operation + " by a trainer" if stands_in else operation


def address(case, operation, stands_in):
    if not case.path_parameters or not valid(case, Part.PATH):
        return
    # a later step of a chain is about what an earlier one made
    if case.meta and case.meta.phase.name.value == "stateful":
        if all(item in issued for item in case.path_parameters.items() if item[0].endswith("_id")):
            return
    founded = case.path_parameters.get("barn_id") in founders and not stands_in
    ids = BARN.of(place_of(operation, stands_in), case.path, alone(case, operation))
    if operation == "barns_change" and (stands_in or BARN.who is BARN.trainer):
        ids["barn_id"] = BARN.other  # the time zone and the units of the one that is used stay
    case.path_parameters.update(ids)
    # it came by no link: the tool takes for linked whatever is not as it was made up
    case._components[Part.PATH].value.update(ids)
    if founded and case._has_explicit_auth:
        case.headers["Authorization"] = f"Bearer {asker(case, operation).token}"


def headers(case, operation):
    if not valid(case, Part.HEADER):
        return
    if "Idempotency-Key" in case.headers:
        case.headers["Idempotency-Key"] = str(uuid.uuid4())
    if "If-Match" in case.headers and valid(case, Part.PATH):
        path = case.formatted_path.removesuffix("/clearance")
        by = asker(case, operation)
        by = by if path == "/api/v1/me" or by in founders.values() else BARN.trainer
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
    BARN.acting = "trainer" if stands_in else BARN.role
    address(case, operation, stands_in)
    sent[operation] += whole
    as_generated = whole and sent[operation] % AS_GENERATED == 0
    if case.query and valid(case, Part.QUERY) and valid(case, Part.PATH):
        if not as_generated:
            FITTING.query(case.query, operation)
        if "cursor" in case.query:
            FITTING.cursor(case.query, case.formatted_path, BARN.trainer.token)
    if case.body and valid(case, Part.BODY):
        takes = whole and (stands_in or sent[operation] % AS_GENERATED == 1)
        known = of(operation, FITTING, case.path_parameters) if takes else None
        if known is not None:
            case.body = known
        elif not as_generated:
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
    stood_in = BARN.who is not BARN.trainer and BARN.acting == "trainer"
    if status == 201 and not stood_in:  # what a trainer made is not always the role's to see
        made = response.headers.get("location", [""])[0].rsplit("/", 1)[-1]
        issued.add((parameter_of(case), made))
        if operation == "barns_create":
            founders[made] = BARN.spare(operation)
    if not alone(case, operation):
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
    elif not made_under_what_stays(case, operation) or answered[operation] % 10 == 0:
        BARN.spend(operation)
        BARN.spend(place_of(operation, True))


@atexit.register
def keep():
    with open(os.environ["STRIDEWRIGHT_COUNTS"], "w", encoding="utf-8") as file:
        json.dump([[*key, n] for key, n in sorted(counts.items())], file)
