//! A barn in which every kind of row exists, three times: near, far, and about a minor. Every text says whose it is.
use std::collections::BTreeMap;
use stridewright_tests::barn::{Member, PASSWORD, fresh_email, sign_in};
use stridewright_tests::client::fresh;
use stridewright_tests::server::Server;
use stridewright_tests::{Client, Value, World, json};

/// What addresses and bodies can name: the ids of one horse, its rider, and all that hangs under them.
#[derive(Debug, Clone, Default)]
pub struct Place {
    /// By the name of a parameter or field, or `part of an operation's line>name` where that one needs another;
    /// a part that ends in `!` is the whole line.
    ids: BTreeMap<String, String>,
}

impl Place {
    /// The id that the parameter or field wants in the operation.
    pub fn id(&self, line: &str, name: &str) -> Option<&String> {
        let special = self.ids.iter().filter_map(|(key, id)| Some((key.split_once('>')?, id)));
        let applies = |part: &str| part.strip_suffix('!').map_or_else(|| line.contains(part), |whole| line == whole);
        let fits = special.filter(|((part, of), _)| *of == name && applies(part));
        // the longest part is the most particular
        fits.max_by_key(|((part, _), _)| part.len()).map(|(_, id)| id).or_else(|| self.ids.get(name))
    }

    pub fn set(&mut self, key: &str, id: &str) {
        self.ids.insert(key.to_owned(), id.to_owned());
    }

    pub fn all(&self) -> impl Iterator<Item = &String> {
        self.ids.values()
    }
}

/// What is booked or stood in is not removed: a spare one of its kind is.
const SPARE_HORSE: &str = "DELETE /api/v1/barns/{barn_id}/horses/{horse_id}!>horse_id";

pub struct Yard {
    pub world: World,
    pub canary: String,
    pub near: Place,
    pub far: Place,
    pub ward: Place,
    pub rider: Member,
    pub owner: Member,
    pub guardian: Member,
    /// Secrets of rail links: to the near session, and a revoked one.
    pub rail: String,
    pub revoked_rail: String,
    pub invitation: String,
}

impl Yard {
    pub fn new(server: &'static Server, canary: &str) -> Self {
        let world = found(server, canary);
        let yard = Making { world: &world, canary };
        let (rider, owner, guardian) = (yard.member("rider"), yard.member("owner"), yard.member("owner"));
        let (other, others) = (yard.member("rider"), yard.member("owner"));
        let child = |name: &str| {
            yard.make("people", json!({"name": yard.says(name), "roles": ["rider"], "birth_date": "2014-03-09"}))
        };
        let (minor, other_minor) = (child("Pip"), child("Kit"));
        let [near, far, ward] = [
            yard.place(&rider.person_id, &owner, 9),
            yard.place(&other.person_id, &others, 11),
            yard.place(&minor, &owner, 13),
        ];
        let mut places = [near, far, ward];
        for (place, of, by) in [(0, &minor, &guardian), (1, &other_minor, &others), (2, &minor, &guardian)] {
            yard.guardians(&mut places[place], of, &by.person_id);
            let child = places[place].ids["[of a child]>person_id"].clone();
            let guardians = world.at(&format!("people/{child}/guardians"));
            world.trainer.post(&guardians, json!({"guardian_id": by.person_id})).expect(201);
        }
        let [near, far, ward] = places;
        let links = format!("sessions/{}/rail-links", near.ids["session_id"]);
        let link = |name: &str| world.trainer.post(&world.at(&links), json!({"label": yard.says(name)})).expect(201);
        let (rail, revoked) = (link("Gate"), link("Lost"));
        world.trainer.delete(&revoked.header("location"), &revoked.etag()).expect(204);
        let invitation = yard.invitation(json!({"name": yard.says("Guest"), "roles": ["rider"]}));
        let (rail, revoked_rail) = (rail.text_of("secret"), revoked.text_of("secret"));
        Self {
            canary: canary.to_owned(),
            near,
            far,
            ward,
            rider,
            owner,
            guardian,
            rail,
            revoked_rail,
            invitation,
            world,
        }
    }

    pub fn client(&self, token: &str) -> Client {
        self.world.anonymous().with_token(token)
    }
}

/// Founds a barn whose texts say whose they are.
fn found(server: &'static Server, canary: &str) -> World {
    let anonymous = Client::new(&server.base);
    let email = fresh_email("trainer");
    let barn = json!({"name": format!("Long Meadow {canary}"), "time_zone": "Europe/Lisbon", "units": "metric", "labels": "british"});
    let account = json!({"email": email, "name": format!("Mara {canary}"), "password": PASSWORD, "barn": barn});
    anonymous.post("/api/v1/accounts", account).expect(201);
    let signed_in = sign_in(&anonymous, &email);
    World { server, barn_id: signed_in.barn_id, trainer: signed_in.member }
}

struct Making<'a> {
    world: &'a World,
    canary: &'a str,
}

impl Making<'_> {
    fn says(&self, text: &str) -> String {
        format!("{text} {}", self.canary)
    }

    #[track_caller]
    fn make(&self, things: &str, body: Value) -> String {
        self.world.make(things, body)
    }

    fn invitation(&self, body: Value) -> String {
        self.world.trainer.post(&self.world.at("invitations"), body).expect(201).text_of("secret")
    }

    /// Somebody with an account; a second trainer can be asked for too.
    fn member(&self, role: &str) -> Member {
        let secret = self.invitation(json!({"name": self.says("Robin"), "roles": [role]}));
        let email = fresh_email(self.canary);
        let account = json!({"email": email, "name": self.says("Robin"), "password": PASSWORD, "invitation": secret});
        self.world.anonymous().post("/api/v1/accounts", account).expect(201);
        sign_in(&self.world.anonymous(), &email).member
    }

    /// A horse, whose it is and who rides it; where, with what, and what was ridden.
    fn place(&self, rider: &str, owner: &Member, hour: u8) -> Place {
        let mut place = Place::default();
        let (world, trainer) = (self.world, &self.world.trainer.person_id);
        let horse = |name: &str| {
            let id = self.make(
                "horses",
                json!({"name": self.says(name), "profile": "horse",
                "normal_stride": {"measured_on": "2026-05-04", "source": "counted", "stride_m": 3.5}}),
            );
            let owned =
                self.make(&format!("horses/{id}/ownerships"), json!({"person_id": owner.person_id, "kind": "owner"}));
            let paired = json!({"rider_id": rider, "level": "usual", "up_to_height_cm": 110});
            (id.clone(), owned, self.make(&format!("horses/{id}/pairings"), paired))
        };
        let (id, ownership, pairing) = horse("Bramble");
        let arena = |name: &str| self.make("arenas", json!({"name": self.says(name), "length_m": 60, "width_m": 25}));
        let items = json!({"wings_pairs": 10, "poles": 40, "planks": 4, "fillers": 4, "cups": 60, "safety_cups": 10});
        let set = |name: &str| self.make("fence-sets", json!({"name": self.says(name), "items": items}));
        let (school, fences) = (arena("Top school"), set("Top school set"));
        let fence = |label: &str, x: f64| json!({"label": label, "kind": "vertical", "height_cm": 80, "position": {"x_m": x, "y_m": 12.0, "heading_deg": 0.0}});
        let exercise = |name: &str| {
            self.make("exercises", json!({"name": self.says(name), "purpose": self.says("Rhythm"),
            "revision": {"level": "novice", "arena_id": school, "fences": [fence("1", 18.0), fence("2", 38.1168)],
                "lines": [{"label": "1-2", "from": "1", "to": "2", "kind": "straight", "distance_m": 20.1168, "measured": "inside_to_inside"}]}}))
        };
        let lines = exercise("Two fences, 66 ft");
        for (name, value) in [
            ("barn_id", &world.barn_id),
            ("horse_id", &id),
            ("ownership_id", &ownership),
            ("pairing_id", &pairing),
            ("arena_id", &school),
            ("fence_set_id", &fences),
            ("exercise_id", &lines),
            ("person_id", &rider.to_owned()),
            ("rider_id", &rider.to_owned()),
            ("trainer_id", trainer),
            ("adult_id", trainer),
            (SPARE_HORSE, &horse("Spare").0),
            ("DELETE /api/v1/barns/{barn_id}/arenas/{arena_id}>arena_id", &arena("Spare school")),
            ("DELETE /api/v1/barns/{barn_id}/fence-sets>fence_set_id", &set("Spare set")),
            ("DELETE /api/v1/barns/{barn_id}/exercises>exercise_id", &exercise("Spare line")),
            ("/ownerships>person_id", &owner.person_id),
            ("[a trainer]>person_id", trainer),
            ("other_owner_id", &self.make("people", json!({"name": self.says("Spare owner"), "roles": ["owner"]}))),
            ("other_rider_id", &self.make("people", json!({"name": self.says("Spare rider"), "roles": ["rider"]}))),
        ] {
            place.set(name, value);
        }
        self.sessions(&mut place, hour);
        self.health(&mut place, owner);
        let invitations =
            world.trainer.post(&world.at("invitations"), json!({"name": self.says("Guest"), "roles": ["owner"]}));
        place.set("invitation_id", &invitations.expect(201).id());
        place
    }

    /// A session with an entry, its rides and a link; and one with places to join.
    fn sessions(&self, place: &mut Place, hour: u8) {
        let get = |name: &str| place.ids[name].clone();
        let session = |day: u8, places: u8, entries: Value| {
            json!({
            "kind": "jumping", "title": self.says("Lines"), "note": self.says("Fresh"), "arena_id": get("arena_id"), "trainer_id": get("trainer_id"),
            "fence_set_id": get("fence_set_id"), "exercise_id": get("exercise_id"), "places": places, "entries": entries,
            "starts_at": format!("2026-06-{day:02}T{hour:02}:00:00Z"), "ends_at": format!("2026-06-{day:02}T{:02}:00:00Z", hour + 1)})
        };
        let entry = json!([{"horse_id": get("horse_id"), "rider_id": get("rider_id"), "planned_efforts": 20, "planned_height_cm": 80}]);
        let made = self.world.trainer.post(&self.world.at("sessions"), session(1, 0, entry)).expect(201);
        let (id, entry) = (made.id(), made["entries"][0]["id"].as_str().unwrap().to_owned());
        let to_join = self.make("sessions", session(5, 3, json!([])));
        let rides = format!("sessions/{id}/entries/{entry}/rides");
        let ride = |outcome: &str| {
            json!({"go": 1, "note": self.says("Kept the rhythm"), "at": "2026-06-01T07:00:00Z",
            "fences": [{"fence": "1", "outcome": "jumped"}, {"fence": "2", "outcome": outcome}],
            "attempts": [{"line": "1-2", "asked": 5, "ridden": 5}]})
        };
        let first = self.make(&rides, ride("jumped"));
        let second = self.world.trainer.post(&self.world.at(&rides), ride("rail"));
        assert_eq!(second["standing"], "disputed", "{}", second.text());
        let link = self.make(&format!("sessions/{id}/rail-links"), json!({"label": self.says("Phone")}));
        for (name, value) in [
            ("session_id", &id),
            ("entry_id", &entry),
            ("ride_id", &first),
            ("rail_link_id", &link),
            ("/choice>ride_id", &second.id()),
            ("POST /api/v1/barns/{barn_id}/sessions/{session_id}/entries!>session_id", &to_join),
        ] {
            place.set(name, value);
        }
    }

    /// Limits, stand-downs and outings, by those whose they are.
    fn health(&self, place: &mut Place, owner: &Member) {
        let horses = ["horse_id", SPARE_HORSE].map(|name| format!("horses/{}", place.ids[name]));
        let by = |source: &str| if source == "owner" { &owner.client } else { &self.world.trainer.client };
        let down = |source: &str, from: &str| json!({"source": source, "scope": "jumping", "from_date": from, "reason": self.says("Shod late")});
        for source in ["trainer", "owner", "vet"] {
            let post = |path: String, body: Value| by(source).post(&self.world.at(&path), body).expect(201).id();
            let limit = json!({"kind": "max_efforts_per_day", "value": 60, "source": source, "hard": false, "note": self.says("At most")});
            let limit = post(format!("{}/workload-limits", horses[0]), limit);
            place.set(&format!("[{source}]>workload_limit_id"), &limit);
            // one to come of the horse that is ridden, one to be cleared of one that is not
            let to_come = post(format!("{}/stand-downs", horses[0]), down(source, "2026-10-01"));
            place.set(&format!("[{source}]>stand_down_id"), &to_come);
            let to_clear = post(format!("{}/stand-downs", horses[1]), down(source, "2026-05-10"));
            place.set(&format!("/clearance [{source}]>stand_down_id"), &to_clear);
        }
        let spare = place.ids[SPARE_HORSE].clone();
        place.set("/clearance [>horse_id", &spare);
        let outing =
            json!({"kind": "lesson", "on_date": "2026-06-01", "planned_efforts": 10, "note": self.says("Away")});
        place.set("outing_id", &self.make(&format!("{}/outings", horses[0]), outing));
        let of_rider = format!("people/{}/stand-downs", place.ids["person_id"]);
        place.set("/people/>stand_down_id", &self.make(&of_rider, down("vet", "2026-10-01")));
        // until it is cleared nothing is booked: it is of a child that does not ride
        let child =
            self.make("people", json!({"name": self.says("Lee"), "roles": ["rider"], "birth_date": "2015-03-09"}));
        place.set("[of a child]>person_id", &child);
        let to_clear = self.make(&format!("people/{child}/stand-downs"), down("trainer", "2026-05-10"));
        place.set("[of a child]>stand_down_id", &to_clear);
    }

    /// Guardians stand under a minor.
    fn guardians(&self, place: &mut Place, minor: &str, guardian: &str) {
        let path = format!("people/{minor}/guardians");
        let known = self.world.trainer.get(&self.world.at(&format!("{path}/{guardian}"))).status == 200;
        if !known {
            self.world.trainer.post(&self.world.at(&path), json!({"guardian_id": guardian})).expect(201);
        }
        let other = self.make("people", json!({"name": self.says("Aunt"), "roles": []}));
        place.set("/guardians>person_id", minor);
        place.set("/guardians>guardian_id", guardian);
        place.set("POST /api/v1/barns/{barn_id}/people/{person_id}/guardians>guardian_id", &other);
        place.set("guardian_of", minor);
    }
}

/// An id that nobody has.
pub fn nobody() -> String {
    fresh()
}
