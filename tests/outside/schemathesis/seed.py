"""Fills a barn with one of everything over HTTP, and prints the tokens of its people and the ids of its things."""
import datetime
import json
import sys
import urllib.request
import uuid

TOMORROW = datetime.date.today() + datetime.timedelta(days=1)
BASE, PASSWORD = sys.argv[1], "four-strides-to-the-oxer"


def call(method, path, body=None, token=None, **headers):
    request = urllib.request.Request(BASE + path, method=method, data=None if body is None else json.dumps(body).encode())
    request.add_header("Content-Type", "application/json")
    request.add_header("Idempotency-Key", str(uuid.uuid4()))
    if token:
        request.add_header("Authorization", f"Bearer {token}")
    for name, value in headers.items():
        request.add_header(name.replace("_", "-"), value)
    with urllib.request.urlopen(request) as answer:
        text = answer.read()
        return json.loads(text) if text else None


def sign_in(email):
    return call("POST", "/api/v1/sign-ins", {"email": email, "password": PASSWORD})


def email(who):
    return f"{who}.{uuid.uuid4()}@example.org"


trainer_email = email("trainer")
barn = {"name": "Long Meadow", "time_zone": "Europe/Lisbon", "units": "metric", "labels": "british"}
call("POST", "/api/v1/accounts", {"email": trainer_email, "name": "Mara", "password": PASSWORD, "barn": barn})
signed = sign_in(trainer_email)
trainer, barn_id = signed["access_token"], signed["memberships"][0]["barn"]["id"]
ids = {"barn_id": barn_id, "trainer_id": signed["memberships"][0]["person_id"], "revision": 1}
at = f"/api/v1/barns/{barn_id}"


def make(path, body):
    return call("POST", at + path, body, trainer)


def member(name, **invitation):
    made = make("/invitations", {"name": name, **invitation})
    address = email("member")
    call("POST", "/api/v1/accounts", {"email": address, "name": name, "password": PASSWORD, "invitation": made["secret"]})
    signed = sign_in(address)
    return signed["access_token"], signed["memberships"][0]["person_id"]


def thing(name, path, body):
    ids[name] = make(path, body)["id"]
    return ids[name]


child = thing("child_id", "/people", {"name": "Pip", "roles": ["rider"], "birth_date": "2014-03-09"})
rider, ids["rider_id"] = member("Robin", roles=["rider"])
owner, ids["owner_id"] = member("Ash", roles=["owner"])
guardian, ids["guardian_id"] = member("Jo", roles=[], guardian_of=child)
ids["person_id"] = ids["rider_id"]
horse = "/horses/" + thing("horse_id", "/horses", {"name": "Bramble", "profile": "horse"})
thing("ownership_id", horse + "/ownerships", {"person_id": ids["owner_id"], "kind": "owner"})
thing("pairing_id", horse + "/pairings", {"rider_id": ids["rider_id"], "level": "usual", "up_to_height_cm": 110})
thing("workload_limit_id", horse + "/workload-limits", {"kind": "max_efforts_per_day", "value": 300, "source": "trainer"})
thing("outing_id", horse + "/outings", {"kind": "lesson", "on_date": "2026-06-04", "planned_efforts": 20})
down = {"source": "trainer", "scope": "jumping", "from_date": "2026-05-20", "free_from_date": "2026-05-22", "reason": "A knock."}
thing("stand_down_id", horse + "/stand-downs", down)
thing("rider_stand_down_id", f"/people/{child}/stand-downs", down)
thing("arena_id", "/arenas", {"name": "Top school", "length_m": 60, "width_m": 25})
items = {"wings_pairs": 10, "poles": 40, "planks": 4, "fillers": 4, "cups": 60, "safety_cups": 10}
thing("fence_set_id", "/fence-sets", {"name": "Top school set", "items": items})
fences = [{"label": label, "kind": "vertical", "height_cm": 90} for label in ("1", "2")]
line = {"from": "1", "to": "2", "kind": "straight", "distance_m": 21.9456, "measured": "inside_to_inside"}
thing("exercise_id", "/exercises", {"name": "Two fences, 72 ft", "revision": {"level": "usual", "fences": fences, "lines": [line]}})
thing("invitation_id", "/invitations", {"name": "Guest", "roles": ["rider"]})
entry = {"id": str(uuid.uuid4()), "horse_id": ids["horse_id"], "rider_id": ids["rider_id"], "planned_efforts": 8, "planned_height_cm": 80}
session = {"kind": "jumping", "title": "Lines", "arena_id": ids["arena_id"], "trainer_id": ids["trainer_id"],
           "adult_id": ids["trainer_id"], "starts_at": f"{TOMORROW}T09:00:00Z", "ends_at": f"{TOMORROW}T10:00:00Z", "entries": [entry]}
thing("session_id", "/sessions", session)
ids["entry_id"] = entry["id"]
thing("rail_link_id", f"/sessions/{ids['session_id']}/rail-links", {"label": "Gate"})
thing("ride_id", f"/sessions/{ids['session_id']}/entries/{ids['entry_id']}/rides", {"kind": "about", "efforts": 4, "height_cm": 80})
ids["code"], ids["file"] = "not-found", "start.js"
print(json.dumps({"tokens": {"trainer": trainer, "rider": rider, "owner": owner, "guardian": guardian}, "ids": ids}))
