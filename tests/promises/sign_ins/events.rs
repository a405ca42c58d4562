//! What ends somebody's rights, against each channel by which they are used: dead at the next request.
use super::{ME, SIGN_INS, refresh, signed_in};
use std::process::Command;
use stridewright_tests::barn::{Member, PASSWORD};
use stridewright_tests::client::fresh;
use stridewright_tests::server::Database;
use stridewright_tests::{Answer, Client, World, json};

/// What happens to a trainer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Event {
    SignOut,
    SignOutEverywhere,
    PasswordChange,
    Removal,
    Disabling,
    RoleChange,
    ResetPassword,
}

const EVENTS: [Event; 7] = [
    Event::SignOut,
    Event::SignOutEverywhere,
    Event::PasswordChange,
    Event::Removal,
    Event::Disabling,
    Event::RoleChange,
    Event::ResetPassword,
];

/// A second trainer, signed in once, with a request that was answered, and a link that was handed out.
struct Subject {
    email: String,
    member: Member,
    refresh_token: String,
    horse_key: String,
    horse: String,
    link_key: String,
    rail: Client,
    rides: String,
}

impl Subject {
    fn new(world: &World, day: u8, hour: u8) -> Self {
        let made = world.member(&["trainer", "rider"]);
        let signed = signed_in(&world.anonymous(), &made.email);
        let client = world.anonymous().with_token(&signed.text_of("access_token"));
        let member = Member { client, ..made };
        let arena = world.arena();
        let at = |hour: u8| format!("2026-06-{day:02}T{hour:02}:00:00Z");
        let session = world.session(&arena, &at(hour), &at(hour + 1));
        let horse = world.horse("Bramble");
        let entry = world.make(
            &format!("sessions/{session}/entries"),
            json!({"horse_id": horse, "planned_efforts": 0, "planned_pole_passes": 0}),
        );
        let (horse_key, link_key) = (fresh(), fresh());
        let subject = Self {
            email: member.email.clone(),
            refresh_token: signed.text_of("refresh_token"),
            horse: String::new(),
            rail: world.anonymous(),
            rides: world.at(&format!("sessions/{session}/entries/{entry}/rides")),
            member,
            horse_key,
            link_key,
        };
        let links = world.at(&format!("sessions/{session}/rail-links"));
        let horse = subject.make_horse(world).expect(201).id();
        let made = subject.make_link(&links).expect(201);
        let rail = world.anonymous().with_token(&made.text_of("secret"));
        Self { horse, rail, ..subject }
    }

    fn make_horse(&self, world: &World) -> Answer {
        let body = json!({"name": "Sorrel", "profile": "horse"});
        self.member.ask("POST", &world.at("horses")).key(&self.horse_key).json(&body).send()
    }

    fn make_link(&self, links: &str) -> Answer {
        self.member.ask("POST", links).key(&self.link_key).json(&json!({"label": "Gate"})).send()
    }

    fn links(&self) -> String {
        format!("{}/rail-links", self.rides.split("/entries/").next().unwrap())
    }

    fn happens(&self, world: &World, event: Event) {
        let person = world.at(&format!("people/{}", self.member.person_id));
        match event {
            Event::SignOut => drop(self.member.ask("DELETE", "/api/v1/sign-ins/current").send().expect(204)),
            Event::SignOutEverywhere => drop(self.other(world).ask("DELETE", SIGN_INS).send().expect(204)),
            Event::PasswordChange => {
                let body = json!({"old_password": PASSWORD, "new_password": "five-strides-to-the-oxer"});
                self.other(world).ask("POST", "/api/v1/me/password").json(&body).send().expect(204);
            }
            Event::Removal => {
                let etag = world.trainer.get(&person).expect(200).etag();
                world.trainer.delete(&person, &etag).expect(204);
            }
            Event::RoleChange => drop(world.trainer.change(&person, json!({"roles": ["rider"]})).expect(200)),
            Event::Disabling => drop(operator(&world.server.url, "disable-account", &self.email)),
            Event::ResetPassword => drop(operator(&world.server.url, "reset-password", &self.email)),
        }
    }

    /// The same account at another device.
    fn other(&self, world: &World) -> Client {
        let nobody = world.anonymous();
        nobody.with_token(&signed_in(&nobody, &self.email).text_of("access_token"))
    }
}

/// Whoever runs the service, at the command line.
pub fn operator(url: &str, command: &str, email: &str) -> String {
    let program = env!("CARGO_BIN_EXE_barn-server");
    let done = Command::new(program).args(["--database-url", url, command, "--email", email]).output().unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    String::from_utf8(done.stdout).unwrap().trim().to_owned()
}

/// Every channel by which a right is used, and what it answers before.
fn channels(world: &World, subject: &Subject) -> [(&'static str, u16); 6] {
    [
        ("bearer on the account", subject.member.get(ME).status),
        ("bearer in the barn", subject.member.get(&world.at(&format!("horses/{}", subject.horse))).status),
        ("stored answer of a horse", subject.make_horse(world).status),
        ("stored answer of a rail link", subject.make_link(&subject.links()).status),
        ("rail link", subject.rail.get(&subject.rides).status),
        // last: it is used up
        ("refresh token", refresh(&world.anonymous(), &subject.refresh_token).status),
    ]
}

/// What each channel answers after the event.
fn expected(event: Event) -> [u16; 6] {
    match event {
        // the right is the trainer's, not the device's: the helper at the rail goes on
        Event::SignOut => [401, 401, 401, 401, 200, 401],
        // the account is as it was, in this barn it is nobody
        Event::Removal => [200, 404, 404, 404, 401, 200],
        // a rider is not paired with the horse, sees no links, and may make no horses
        Event::RoleChange => [200, 404, 403, 404, 401, 200],
        Event::SignOutEverywhere | Event::PasswordChange | Event::Disabling | Event::ResetPassword => [401; 6],
    }
}

fn dead_at_the_next_request(world: &World) {
    let mut cells = 0;
    for (day, event) in (2..).zip(EVENTS) {
        // somebody like them to whom nothing happens shows that every channel is open
        let (subject, spared) = (Subject::new(world, day, 9), Subject::new(world, day, 11));
        subject.happens(world, event);
        let after = channels(world, &subject);
        for ((channel, status), expected) in after.into_iter().zip(expected(event)) {
            assert_eq!(status, expected, "{event:?}, {channel}");
            cells += 1;
        }
        let open = channels(world, &spared).map(|(_, status)| status);
        assert_eq!(open, [200, 200, 201, 201, 200, 200], "{event:?} spared nobody else");
    }
    println!(
        "sessions of people on {:?}: {} events by 6 channels, {cells} cells, 0 stale grants",
        world.server.database,
        EVENTS.len()
    );
}

/// What a trainer was answered is not answered again to the rider they are now, although riders too may ask.
fn old_answers_go_with_the_role(world: &World) {
    let subject = Subject::new(world, 20, 9);
    let body = json!({
        "kind": "flat", "title": "Poles", "arena_id": world.arena(), "trainer_id": world.trainer.person_id,
        "starts_at": "2026-06-21T09:00:00Z", "ends_at": "2026-06-21T10:00:00Z"
    });
    let key = fresh();
    let ask = || subject.member.ask("POST", &world.at("sessions")).key(&key).json(&body).send();
    let first = ask().expect(201);
    assert_eq!(ask().expect(201).bytes, first.bytes);
    subject.happens(world, Event::RoleChange);
    ask().refused(403, "forbidden");
    // the new role counts at once
    subject.member.get(&world.at("arenas")).expect(200);
    let person = world.at(&format!("people/{}", subject.member.person_id));
    world.trainer.change(&person, json!({"roles": ["trainer", "rider"]})).expect(200);
    assert_eq!(ask().expect(201).bytes, first.bytes);
    assert_eq!(subject.rail.get(&subject.rides).status, 401, "a link that ended stays ended");
}

/// A disabled account comes back without what it had.
fn enabled_again(world: &World) {
    let subject = Subject::new(world, 22, 9);
    subject.happens(world, Event::Disabling);
    super::sign_in(&world.anonymous(), &subject.email, PASSWORD).refused(401, "wrong_credentials");
    operator(&world.server.url, "enable-account", &subject.email);
    assert_eq!(channels(world, &subject).map(|(_, status)| status), [401; 6]);
    signed_in(&world.anonymous(), &subject.email);
}

fn all(world: &World) {
    dead_at_the_next_request(world);
    old_answers_go_with_the_role(world);
    enabled_again(world);
}

#[test]
fn sqlite() {
    World::on(Database::Sqlite, all);
}

#[test]
fn postgres() {
    World::on(Database::Postgres, all);
}
