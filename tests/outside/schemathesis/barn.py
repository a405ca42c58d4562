"""A barn with one of everything, and more of anything that is to be changed or ended: made over HTTP."""
import collections
import itertools
import re

from service import Member, Service, day, instant

ITEMS = {"wings_pairs": 10, "poles": 40, "planks": 4, "fillers": 4, "cups": 60, "safety_cups": 10}
# sessions lie ahead, rides behind
ABOUT = {"kind": "about", "efforts": 4, "height_cm": 80, "at": instant(-1800)}
FENCES = [{"label": label, "kind": "vertical", "height_cm": 90} for label in ("1", "2")]
LINE = {"label": "1-2", "from": "1", "to": "2", "kind": "straight", "distance_m": 21.9456, "measured": "inside_to_inside"}
REVISION = {"level": "usual", "fences": FENCES, "lines": [LINE]}
NAMES = re.compile(r"{(\w+)}")


def family(path):
    """Whose things they are: the word below a person, where they are a person's."""
    return path.partition("/people/{person_id}/")[2].partition("/")[0]


def drawn(path):
    """What is drawn and set has a place, and a session of it its exercise: nothing else asks for that."""
    return path.endswith("/plan.svg") or "/setting-sheet" in path


class Barn:
    """What is in it is made by the trainer; whose it is follows from the role that asks."""

    def __init__(self, base, role):
        self.service, self.role, self.slots = Service(base), role, itertools.count()
        barn = {"name": "Long Meadow", "time_zone": "Europe/Lisbon", "units": "metric", "labels": "british"}
        self.trainer = Member(self.service, "Mara", barn=barn)
        self.barn_id = self.trainer.now()["memberships"][0]["barn"]["id"]
        self.at = f"/api/v1/barns/{self.barn_id}"
        self.other = self.service.must("POST", "/api/v1/barns", barn, self.trainer.token)["id"]
        self.child = self.person("rider", birth_date="2014-03-09")
        self.rider, self.owner = self.member("Robin", roles=["rider"]), self.member("Ash", roles=["owner"])
        self.guardian = self.member("Jo", roles=[], guardian_of=self.child)
        self.ward = self.person("rider", birth_date="2015-05-09")  # does not ride, so it may be stood down
        self.make(f"/people/{self.ward}/guardians", {"guardian_id": self.guardian.person_id})
        self.rider_id = self.child if role == "guardian" else self.rider.person_id
        self.who, self.acting = getattr(self, role), role
        self.stable, self.places, self.spares = collections.defaultdict(dict), {}, {}

    # people

    def invitation(self, **what):
        return self.make("/invitations", {"name": "Guest", **what})["secret"]

    def member(self, name, **invitation):
        return Member(self.service, name, invitation=self.invitation(**invitation))

    def person(self, role, **more):
        return self.make("/people", {"name": "Pip", "roles": [role] if role else [], **more})["id"]

    def spare(self, operation):
        """Somebody of the same role for one operation: it may end sign-ins or change the account."""
        if operation not in self.spares:
            ways = {"guardian": {"roles": [], "guardian_of": self.child}}
            self.spares[operation] = self.member("Sam", **ways.get(self.role, {"roles": [self.role]}))
        return self.spares[operation]

    # things

    def make(self, path, body, by=None):
        return self.service.must("POST", self.at + path, body, (by or self.trainer).token)

    def slot(self):
        """A quarter of an hour that nothing else is in."""
        n = next(self.slots)
        return {"starts_at": instant(15 * n), "ends_at": instant(15 * n + 15)}

    def of(self, operation, path, alone):
        """The ids of an address: of things that stay, or of things that only this operation sees."""
        ids = self.places.setdefault(operation, {}) if alone or drawn(path) else self.stable[family(path)]
        ids["barn_id"] = self.barn_id
        self.complete(ids, path)
        return {name: ids[name] for name in NAMES.findall(path)}

    def complete(self, ids, path):
        """Makes what the address names and is not there yet, from the left to the right."""
        for name in NAMES.findall(path):
            if name not in ids:
                self.add(name, ids, path)

    def spend(self, operation):
        """The operation changed or ended what it was given: the next time there is something new."""
        self.places.pop(operation, None)

    def add(self, name, ids, path):
        made = getattr(self, "new_" + name.removesuffix("_id"))(ids, path)
        ids.update(made if isinstance(made, dict) else {name: made})

    def new_revision(self, ids, path):
        return {"revision": 1}

    def new_code(self, ids, path):
        return {"code": "invalid-body"}

    def new_exercise_key(self, ids, path):
        return {"exercise_key": "related_five"}

    def new_file(self, ids, path):
        return {"file": "start.js"}

    def new_arena(self, ids, path):
        return self.make("/arenas", {"name": "Top school", "length_m": 60, "width_m": 25})["id"]

    def new_fence_set(self, ids, path):
        return self.make("/fence-sets", {"name": "Top school set", "items": ITEMS})["id"]

    def new_exercise(self, ids, path):
        revision = REVISION
        if drawn(path):
            places = [{"x_m": x, "y_m": 12.0, "heading_deg": 0.0} for x in (19.0, 40.9456)]
            fences = [{**fence, "position": place} for fence, place in zip(FENCES, places)]
            revision = {**REVISION, "fences": fences, "arena_id": self.new_arena(ids, path)}
        return self.make("/exercises", {"name": "Two fences, 72 ft", "revision": revision})["id"]

    def new_invitation(self, ids, path):
        return self.make("/invitations", {"name": "Guest", "roles": ["rider"]})["id"]

    def new_person(self, ids, path):
        stays, below, own = ids is self.stable[family(path)], family(path), self.acting in ("rider", "guardian")
        if self.acting == "rider" and below == "stand-downs" and not path.endswith("/clearance"):
            return self.rider_id
        if below:
            return self.ward if stays or self.acting != "trainer" else self.person("rider", birth_date="2015-05-09")
        if stays or self.acting != "trainer":
            return self.rider_id if own else self.who.person_id
        return self.person("rider")

    def new_guardian(self, ids, path):
        if ids["person_id"] == self.ward and ids is self.stable[family(path)]:
            return self.guardian.person_id
        adult = self.person(None)
        self.make(f"/people/{ids['person_id']}/guardians", {"guardian_id": adult})
        return adult

    def new_horse(self, ids, path):
        horse = self.make("/horses", {"name": "Bramble", "profile": "horse"})["id"]
        self.make(f"/horses/{horse}/ownerships", {"person_id": self.owner.person_id, "kind": "owner"})
        body = {"rider_id": self.rides(ids), "level": "usual", "up_to_height_cm": 110}
        return {"horse_id": horse, "pairing_id": self.make(f"/horses/{horse}/pairings", body)["id"]}

    def rides(self, ids):
        """Who rides: somebody new in each place, where it need not be the role's own; nobody is booked a hundred times."""
        if self.role in ("rider", "guardian") or ids is self.stable[""]:
            return self.rider_id
        if "rider_id" not in ids:
            ids["rider_id"] = self.person("rider")
        return ids["rider_id"]

    def new_ownership(self, ids, path):
        body = {"person_id": self.person("owner"), "kind": "owner"}
        return self.make(f"/horses/{ids['horse_id']}/ownerships", body)["id"]

    def source(self):
        """Who says so: an owner's limits and stand-downs are an owner's, the others a trainer's."""
        return ("owner", self.owner) if self.role == "owner" else ("trainer", self.trainer)

    def new_workload_limit(self, ids, path):
        source, by = self.source()
        body = {"kind": "max_efforts_per_day", "value": 300, "source": source}
        return self.make(f"/horses/{ids['horse_id']}/workload-limits", body, by)["id"]

    def new_outing(self, ids, path):
        body = {"kind": "lesson", "on_date": day(-3), "planned_efforts": 20}
        by = self.who if self.role in ("rider", "guardian") else self.trainer  # who may change it
        return self.make(f"/horses/{ids['horse_id']}/outings", body, by)["id"]

    def new_stand_down(self, ids, path):
        source, by = self.source() if "/horses/" in path else ("trainer", self.trainer)
        down = {"source": source, "scope": "jumping", "from_date": day(-9), "reason": "A knock."}
        if not path.endswith("/clearance"):
            down |= {"from_date": day(40), "free_from_date": day(44)}
        under = f"/horses/{ids['horse_id']}" if "/horses/" in path else f"/people/{ids['person_id']}"
        return self.make(f"{under}/stand-downs", down, by)["id"]

    def new_session(self, ids, path):
        """With the rider on a horse of its own, and places for others; or with places only, to be joined."""
        pair = self.new_horse(ids, path)
        entry = {"horse_id": pair["horse_id"], "rider_id": self.rides(ids), "planned_efforts": 8, "planned_height_cm": 80}
        joins = path.endswith("/entries") and ids is not self.stable[""]
        body = {"kind": "jumping", "title": "Lines", "arena_id": self.new_arena(ids, path), "places": 3,
                "entries": [] if joins else [entry], **self.adult(), **self.slot()}
        if drawn(path):
            body["exercise_id"] = self.new_exercise(ids, path)
        made = self.make("/sessions", body)
        return {"session_id": made["id"]} | {"entry_id": entry["id"] for entry in made["entries"]}

    def adult(self):
        """Where children ride, one stands on the ground."""
        return {"adult_id": self.trainer.person_id} if self.role == "guardian" else {}

    def new_rail_link(self, ids, path):
        return self.make(f"/sessions/{ids['session_id']}/rail-links", {"label": "Gate"})["id"]

    def new_ride(self, ids, path):
        rides = f"/sessions/{ids['session_id']}/entries/{ids['entry_id']}/rides"
        if not path.endswith("/choice"):
            return self.make(rides, ABOUT)["id"]
        # two versions of one go that do not agree
        versions = [{"go": 1, "at": ABOUT["at"], "fences": [{"fence": "1", "outcome": outcome}]} for outcome in ("jumped", "refusal")]
        return [self.make(rides, version)["id"] for version in versions][-1]
